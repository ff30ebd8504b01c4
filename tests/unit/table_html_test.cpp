#include "catch.hpp"

#include <span>
#include <string>
#include <vector>

#include "table_samples.hpp"

using namespace fedfrom;

namespace {
std::string without_style(const std::string& html) {
    const std::string end = "</style>\n";
    return html.substr(html.find(end) + end.size());
}

std::string body(const std::string& page) {
    const std::string start = "<body>\n";
    return page.substr(page.find(start) + start.size());
}

/// With every foot taken out: the caution's wording is not what these tests are about.
std::string without_feet(std::string html) {
    const std::string end = "</tfoot>\n";
    for (std::size_t at; (at = html.find("<tfoot>")) != html.npos;) html.erase(at, html.find(end, at) + end.size() - at);
    return html;
}

std::size_t count(const std::string& text, const std::string& part) {
    std::size_t n = 0;
    for (std::size_t at = text.find(part); at != text.npos; at = text.find(part, at + 1)) ++n;
    return n;
}
}  // namespace

TEST_CASE("to_html_fragment writes a section with head, rows, signs and caution", "[table]") {
    CHECK(without_style(to_html_fragment(samples::sheet())) == R"--(<section class="fedfrom">
<h2>Standby bus</h2>
<dl>
<dt>Model</dt><dd>Two-bus example, edition 1</dd>
<dt>State</dt><dd>gen_l lost</dd>
<dd class="alone">A line alone.</dd>
</dl>
<table>
<thead><tr><th scope="col">Element</th><th scope="col" class="right">Load <span class="unit">(A)</span></th><th scope="col">Status</th></tr></thead>
<tbody>
<tr><th scope="row">radio_1</th><td class="right">3.5</td><td class="kept"><abbr title="kept">✓</abbr>&nbsp;kept</td></tr>
<tr><th scope="row">galley</th><td class="right"></td><td class="lost"><abbr title="lost">✗</abbr></td></tr>
<tr><th scope="row">pump</th><td class="right">12</td><td class="degraded"><abbr title="degraded">~</abbr>&nbsp;standby</td></tr>
</tbody>
<tfoot><tr><td colspan="3">
<p><abbr title="kept">✓</abbr>&nbsp;kept, <abbr title="degraded">~</abbr>&nbsp;degraded, <abbr title="lost">✗</abbr>&nbsp;lost</p>
<p>Currents are those of cruise.</p>
<p class="caution">For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment list, and the authority&#39;s rules, govern.</p>
</td></tr></tfoot>
</table>
</section>
)--");
}

TEST_CASE("to_html_fragment escapes hostile text", "[table]") {
    CHECK(without_style(to_html_fragment(samples::hostile())) == R"--(<section class="fedfrom">
<h2># &lt;b&gt;T&lt;/b&gt;</h2>
<dl>
<dt>Model</dt><dd>a b &lt;/dl&gt;</dd>
</dl>
<table>
<thead><tr><th scope="col">=HEAD()</th><th scope="col">a|b <span class="unit">(&lt;A&gt;)</span></th></tr></thead>
<tbody>
<tr><th scope="row">=1+1</th><td>a|b<br>c</td></tr>
<tr><th scope="row" class="long">&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;</th><td>*bold* _it_ gen_l `c` [l](u) $x$ \</td></tr>
<tr><th scope="row"> [31mred</th><td>café € �</td></tr>
<tr><th scope="row">@cmd</th><td>say &quot;hi&quot;,  x</td></tr>
</tbody>
<tfoot><tr><td colspan="2">
<p>- not a list</p>
<p class="caution">For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment list, and the authority&#39;s rules, govern.</p>
</td></tr></tfoot>
</table>
</section>
)--");
}

TEST_CASE("to_html is one page that loads nothing, with the caution under every table", "[table]") {
    const std::vector<Table> tables{samples::sheet(), samples::hostile()};
    const std::string page = to_html(tables, "Two & more");
    CHECK(page.starts_with("<!DOCTYPE html>"));
    CHECK(page.find("<title>Two &amp; more</title>") != std::string::npos);
    for (const char* loads : {"http:", "https:", "src=", "href=", "@import", "url(", "<script"})
        CHECK(page.find(loads) == std::string::npos);
    CHECK(count(page, "class=\"caution\"") == 2);
    CHECK(to_html(samples::sheet()) == to_html(std::span(tables).first(1), "Standby bus"));
}

TEST_CASE("to_html cuts a wide table into blocks that repeat the first column", "[table]") {
    Table t{.title = "Wide", .columns = {{"Failure"}}, .rows = {{"bus"}}};
    for (int i = 1; i <= 12; ++i) {
        t.columns.push_back({"f" + std::to_string(i)});
        t.rows[0].push_back(i);
    }
    t.rows[0][11] = Mark::lost;
    const std::string html = without_style(to_html_fragment(t));
    CHECK(without_feet(html) == R"--(<section class="fedfrom">
<h2>Wide</h2>
<table class="goes-on">
<thead><tr><td class="part" colspan="11">Columns 1–10 of 12</td></tr>
<tr><th scope="col">Failure</th><th scope="col" class="right">f1</th><th scope="col" class="right">f2</th><th scope="col" class="right">f3</th><th scope="col" class="right">f4</th><th scope="col" class="right">f5</th><th scope="col" class="right">f6</th><th scope="col" class="right">f7</th><th scope="col" class="right">f8</th><th scope="col" class="right">f9</th><th scope="col" class="right">f10</th></tr></thead>
<tbody>
<tr><th scope="row">bus</th><td class="right">1</td><td class="right">2</td><td class="right">3</td><td class="right">4</td><td class="right">5</td><td class="right">6</td><td class="right">7</td><td class="right">8</td><td class="right">9</td><td class="right">10</td></tr>
</tbody>
</table>
<table>
<thead><tr><td class="part" colspan="3">Columns 11–12 of 12</td></tr>
<tr><th scope="col">Failure</th><th scope="col">f11</th><th scope="col" class="right">f12</th></tr></thead>
<tbody>
<tr><th scope="row">bus</th><td class="lost"><abbr title="lost">✗</abbr></td><td class="right">12</td></tr>
</tbody>
</table>
</section>
)--");
    // Each block prints on sheets of its own: the legend and the caution go with each.
    CHECK(count(html, "class=\"caution\"") == 2);
    CHECK(count(html, "<p><abbr title=\"lost\">✗</abbr>&nbsp;lost</p>") == 2);
}

TEST_CASE("to_html cuts by words that cannot be broken, and says when one column is left", "[table]") {
    Table t{.columns = {{"Failure"}}, .rows = {{"bus"}}};
    for (int i = 0; i < 5; ++i) t.columns.push_back({std::string(18, static_cast<char>('a' + i))});
    const std::string html = to_html_fragment(t);
    CHECK(count(html, "Columns 1–4 of 5</td>") == 1);
    CHECK(count(html, "Column 5 of 5</td>") == 1);
}

TEST_CASE("to_html keeps a mark's sign with its word", "[table]") {
    const Table t{.columns = {{"Element"}, {"Is"}}, .rows = {{"pump", {"degraded: hand pump", Mark::degraded}}}};
    const std::string html = to_html_fragment(t);
    CHECK(count(html, "<abbr title=\"degraded\">~</abbr>&nbsp;degraded: hand pump</td>") == 1);
    CHECK(count(html, "<p><abbr title=\"degraded\">~</abbr>&nbsp;degraded</p>") == 1);
    CHECK(count(html, "</abbr> ") == 0);
}

TEST_CASE("to_html breaks long words after their underscores, and what has none anywhere", "[table]") {
    const Table t{.columns = {{"Effect"}, {"_very_long__name_"}},
                  .rows = {{"landing_speed_increment 20", "short_id"}, {"x " + std::string(21, 'y'), std::string(20, 'z')}}};
    CHECK(without_feet(without_style(to_html_fragment(t))) == R"--(<section class="fedfrom">
<table>
<thead><tr><th scope="col">Effect</th><th scope="col">_<wbr>very_<wbr>long__<wbr>name_</th></tr></thead>
<tbody>
<tr><th scope="row">landing_<wbr>speed_<wbr>increment 20</th><td>short_id</td></tr>
<tr><th scope="row" class="long">x yyyyyyyyyyyyyyyyyyyyy</th><td>zzzzzzzzzzzzzzzzzzzz</td></tr>
</tbody>
</table>
</section>
)--");
}

TEST_CASE("to_html gives a text column room where a table has to break lines", "[table]") {
    const std::string crew = "The standby bus is fed from the battery side; the rest of the load is shed by hand, if need be.";
    const Table t{.columns = {{"Function"}, {"Level"}, {"Crew"}, {"Load", "A"}},
                  .rows = {{"Standby bus", Mark::kept, crew, 1234.5}, {"Main buses", Mark::lost, "", 2}}};
    CHECK(without_feet(without_style(to_html_fragment(t))) == R"--(<section class="fedfrom">
<table>
<thead><tr><th scope="col" style="min-width: 5.5em">Function</th><th scope="col" style="min-width: 2.5em">Level</th><th scope="col" style="min-width: 33em">Crew</th><th scope="col" class="right" style="min-width: 4em">Load <span class="unit">(A)</span></th></tr></thead>
<tbody>
<tr><th scope="row">Standby bus</th><td class="kept"><abbr title="kept">✓</abbr></td><td>The standby bus is fed from the battery side; the rest of the load is shed by hand, if need be.</td><td class="right">1234.5</td></tr>
<tr><th scope="row">Main buses</th><td class="lost"><abbr title="lost">✗</abbr></td><td></td><td class="right">2</td></tr>
</tbody>
</table>
</section>
)--");
    // Nine long texts do not stand side by side in slivers: no block is wider than 48em, no text narrower than 12em.
    Table many{.columns = {{"Function"}}, .rows = {{"Standby bus"}}};
    for (int i = 0; i < 9; ++i) many.columns.push_back({"Crew"}), many.rows[0].push_back(crew);
    const std::string html = to_html_fragment(many);
    CHECK(count(html, "Columns 1–3 of 9</td>") == 1);
    CHECK(count(html, "min-width: 12") + count(html, "min-width: 13") == 9);
}

TEST_CASE("to_html begins with the title and what all tables share", "[table]") {
    Table one{.title = "One", .captions = {{"Model", "Two-bus"}, {"State", "gen_l lost"}, {"", "Alone"}}, .columns = {{"a"}}, .rows = {{1}}};
    Table two{.title = "Both", .captions = {{"Model", "Two-bus"}, {"State", "healthy"}, {"", "Alone"}}, .columns = {{"b"}}, .rows = {{2}}};
    CHECK(without_feet(body(to_html(std::vector{one, two}, "Both"))) == R"--(<header class="fedfrom">
<h1>Both</h1>
<dl>
<dt>Model</dt><dd>Two-bus</dd>
<dd class="alone">Alone</dd>
</dl>
</header>
<section class="fedfrom">
<h2>One</h2>
<dl>
<dt>State</dt><dd>gen_l lost</dd>
</dl>
<table>
<thead><tr><th scope="col" class="right">a</th></tr></thead>
<tbody>
<tr><th scope="row" class="right">1</th></tr>
</tbody>
</table>
</section>
<section class="fedfrom">
<dl>
<dt>State</dt><dd>healthy</dd>
</dl>
<table>
<thead><tr><th scope="col" class="right">b</th></tr></thead>
<tbody>
<tr><th scope="row" class="right">2</th></tr>
</tbody>
</table>
</section>
</body>
</html>
)--");
    CHECK(body(to_html(Table{.columns = {{"a"}}})).starts_with("<section"));
    CHECK(body(to_html(std::span<const Table>(), "Empty")) == "<header class=\"fedfrom\">\n<h1>Empty</h1>\n</header>\n</body>\n</html>\n");
}

TEST_CASE("to_html_fragment of several tables is one card with the caution at its end", "[table]") {
    const std::vector<Table> two{samples::sheet(), samples::hostile()};
    const std::string html = to_html_fragment(two, "Sheet");
    CHECK(html.starts_with("<div class=\"fedfrom sheet\">\n<style>"));
    CHECK(html.find("<h1>Sheet</h1>") < html.find("<h2>Standby bus</h2>"));
    CHECK(html.ends_with("govern.</p>\n</div>\n"));
}
