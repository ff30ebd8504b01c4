#include "catch.hpp"

#include <string>
#include <vector>

#include "table_samples.hpp"

using namespace fedfrom;

TEST_CASE("to_markdown writes a pipe table", "[table]") {
    CHECK(to_markdown(samples::sheet()) == R"--(### Standby bus

- **Model:** Two-bus example, edition 1
- **State:** gen_l lost
- A line alone.

| Element | Load (A) | Status |
| --- | ---: | --- |
| radio_1 | 3.5 | ✓ kept |
| galley |  | ✗ |
| pump | 12 | ~ standby |

✓ kept, ~ degraded, ✗ lost

Currents are those of cruise.

*For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment list, and the authority's rules, govern.*
)--");
}

TEST_CASE("to_markdown leaves hostile text literal", "[table]") {
    CHECK(to_markdown(samples::hostile()) == R"--(### \# &lt;b&gt;T&lt;/b&gt;

- **Model:** a b &lt;/dl&gt;

| =HEAD() | a\|b (&lt;A&gt;) |
| --- | --- |
| =1+1 | a\|b<br>c |
| &lt;script&gt;alert('x')&lt;/script&gt; | \*bold\* \_it\_ gen_l \`c\` \[l\](u) \$x\$ \\ |
|  \[31mred | café € � |
| @cmd | say "hi",  x |

\- not a list

*For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment list, and the authority's rules, govern.*
)--");
}

TEST_CASE("to_markdown escapes what would open a heading or a list, and nothing in an id", "[table]") {
    CHECK(to_markdown({.footnotes = {"1. one", "+ two", "# three", "gear_valve_l"}}) ==
          "(no rows)\n\n1\\. one\n\n\\+ two\n\n\\# three\n\ngear_valve_l\n\n*" + std::string(caution) + "*\n");
}

TEST_CASE("to_markdown says of several tables once what they share", "[table]") {
    const Table other{.title = "Other", .captions = {{"State", "gen_l lost"}, {"Of", "other"}}, .columns = {{"A"}}, .rows = {{1}}};
    const std::vector<Table> tables{{.title = "Sheet", .captions = {{"State", "gen_l lost"}}, .columns = {{"A"}}, .rows = {{"x"}}}, other};
    CHECK(to_markdown(tables, "Sheet") == "## Sheet\n\n- **State:** gen_l lost\n\n| A |\n| --- |\n| x |\n\n"
                                          "### Other\n\n- **Of:** other\n\n| A |\n| ---: |\n| 1 |\n\n*" + std::string(caution) + "*\n");
    CHECK(to_markdown({}, "None") == "## None\n\n*" + std::string(caution) + "*\n");
}
