#include "catch.hpp"

#include <string>

#include "table_samples.hpp"

using namespace fedfrom;

namespace {
std::string without_style(const std::string& html) {
    const std::string end = "</style>\n";
    return html.substr(html.find(end) + end.size());
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
<tr><th scope="row">radio_1</th><td class="right">3.5</td><td class="kept"><abbr title="kept">✓</abbr> kept</td></tr>
<tr><th scope="row">galley</th><td class="right"></td><td class="lost"><abbr title="lost">✗</abbr></td></tr>
<tr><th scope="row">pump</th><td class="right">12</td><td class="degraded"><abbr title="degraded">~</abbr> standby</td></tr>
</tbody>
<tfoot><tr><td colspan="3">
<p><abbr title="kept">✓</abbr> kept, <abbr title="degraded">~</abbr> degraded, <abbr title="lost">✗</abbr> lost</p>
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
<tr><th scope="row">&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;</th><td>*bold* _it_ gen_l `c` [l](u) $x$ \</td></tr>
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
    std::size_t cautions = 0;
    for (std::size_t at = page.find("class=\"caution\""); at != page.npos; at = page.find("class=\"caution\"", at + 1)) ++cautions;
    CHECK(cautions == 2);
    CHECK(to_html(samples::sheet()) == to_html(std::span(tables).first(1), "Standby bus"));
}
