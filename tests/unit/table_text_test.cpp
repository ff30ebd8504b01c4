#include "catch.hpp"

#include <string>

#include "table_samples.hpp"

using namespace fedfrom;

TEST_CASE("to_text lines up what it is given", "[table]") {
    CHECK(to_text(samples::sheet(), 60) == R"--(Standby bus
===========
Model: Two-bus example, edition 1
State: gen_l lost
A line alone.

Element  Load (A)  Status
-------  --------  ---------
radio_1       3.5  ✓ kept
galley             ✗
pump           12  ~ standby

✓ kept, ~ degraded, ✗ lost
Currents are those of cruise.
For study and training only. Not approved data: the approved
flight manual, checklists and minimum equipment list, and
the authority's rules, govern.
)--");
}

TEST_CASE("to_text keeps hostile text in its cell", "[table]") {
    CHECK(to_text(samples::hostile(), 60) == R"--(# <b>T</b>
==========
Model: a b </dl>

=HEAD()                      a|b (<A>)
---------------------------  -------------------------------
=1+1                         a|b
                             c
<script>alert('x')</script>  *bold* _it_ gen_l `c` [l](u)
                             $x$ \
[31mred                      café € �
@cmd                         say "hi", x

- not a list
For study and training only. Not approved data: the approved
flight manual, checklists and minimum equipment list, and
the authority's rules, govern.
)--");
}

TEST_CASE("to_text measures what a terminal shows", "[table]") {
    Table t{.columns = {{"Name"}, {"N"}}};
    t.rows = {{"caf\u00e9", 1}, {"e\u0301e\u0301", 2}, {"\u6771\u4eac", 3}};
    const std::string text = to_text(t);
    CHECK(text.starts_with("Name  N\n----  -\ncaf\u00e9  1\ne\u0301e\u0301    2\n\u6771\u4eac  3\n"));
}

TEST_CASE("to_text never exceeds its width where words can be broken", "[table]") {
    Table t = samples::hostile();
    t.rows.push_back({"a word of " + std::string(200, 'x'), "short"});
    for (int width = 60; width < 120; ++width) {
        const std::string text = to_text(t, width);
        std::size_t start = 0;
        while (start < text.size()) {
            const std::size_t end = text.find('\n', start);
            // Bytes: the one line with accents is short.
            REQUIRE(end - start <= static_cast<std::size_t>(width) + 8);
            start = end + 1;
        }
    }
}

TEST_CASE("to_text cuts a table that is too wide into blocks that repeat the first column", "[table]") {
    Table t{.columns = {{"Element"}, {"first_function"}, {"second_function"}}};
    t.rows.push_back({"gen_l", Mark::lost, Mark::kept});
    CHECK(to_text(t, 30).starts_with("Element  first_function\n-------  --------------\ngen_l    \u2717\n\n"
                                     "Element  second_function\n-------  ---------------\ngen_l    \u2713\n\n"));
}

TEST_CASE("to_text never breaks a number", "[table]") {
    Table t{.columns = {{"A long heading over it"}}};
    t.rows = {{std::int64_t{-9223372036854775807}}};
    CHECK(to_text(t, 20).find("-9223372036854775807\n") != std::string::npos);
}

TEST_CASE("to_text says when there is nothing", "[table]") {
    CHECK(to_text({}).starts_with("(no rows)\n"));
    CHECK(to_text({.columns = {{"A"}}}).starts_with("A\n-\n(no rows)\n"));
}
