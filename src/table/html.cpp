// HTML. One style for pages and fragments, every rule of it under .fedfrom.
// Paper size is the printer's: margins only, so that A4 and Letter both work;
// thead and tfoot repeat on every sheet, and with them the caution.

#include "cells.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr std::string_view style = R"(<style>
.fedfrom { --ink: #1c2126; --soft: #5a646e; --line: #c9d0d6; --rule: #3d4852; --paper: #fff;
  --kept: #e6f2ea; --degraded: #fdf1d3; --lost: #f9dedb; --unknown: #e6e4f3; --plain: #eceff1;
  color: var(--ink); background: var(--paper); font: 15px/1.4 system-ui, "Segoe UI", "Liberation Sans", sans-serif;
  margin: 0 0 2em; overflow-x: auto; }
@media (prefers-color-scheme: dark) { .fedfrom { --ink: #e4e8eb; --soft: #9fabb5; --line: #414b54; --rule: #8d99a3;
  --paper: #171b1f; --kept: #1d3a29; --degraded: #463a15; --lost: #4e2320; --unknown: #302c4d; --plain: #2a3137; } }
.fedfrom h2 { font-size: 1.25em; margin: 0 0 .4em; }
.fedfrom dl { display: grid; grid-template-columns: max-content 1fr; gap: .1em 1em; margin: 0 0 1em; }
.fedfrom dt { color: var(--soft); }
.fedfrom dd { margin: 0; }
.fedfrom dd.alone { grid-column: 1 / -1; }
.fedfrom table { border-collapse: collapse; color: inherit; font-size: inherit; font-variant-numeric: tabular-nums; }
.fedfrom th, .fedfrom td { text-align: left; vertical-align: top; padding: .25em .7em; border-bottom: 1px solid var(--line);
  background: none; white-space: normal; max-width: 40em; overflow-wrap: break-word; }
.fedfrom tr > :first-child:not([class]) { padding-left: 0; }
.fedfrom thead th { border-bottom: 2px solid var(--rule); vertical-align: bottom; }
.fedfrom tbody th { font-weight: 500; }
.fedfrom .right { text-align: right; }
.fedfrom .center { text-align: center; }
.fedfrom .unit { color: var(--soft); font-weight: 400; }
.fedfrom .kept { background: var(--kept); }
.fedfrom .degraded { background: var(--degraded); }
.fedfrom .lost, .fedfrom .exceeded { background: var(--lost); }
.fedfrom .unknown { background: var(--unknown); }
.fedfrom .changed, .fedfrom .not-fitted { background: var(--plain); }
.fedfrom abbr { text-decoration: none; font-weight: 700; }
.fedfrom tfoot td { border: 0; padding-top: .8em; color: var(--soft); font-size: .87em; }
.fedfrom tfoot p { margin: 0 0 .3em; }
.fedfrom .caution { color: var(--ink); font-weight: 600; }
@media print { .fedfrom { --ink: #000; --soft: #333; --line: #999; --rule: #000; --paper: #fff; --kept: #eef6f0;
  --degraded: #fdf3da; --lost: #f8dfdc; --unknown: #ebe9f5; --plain: #eee; font-size: 9.5pt; overflow: visible; }
  .fedfrom thead { display: table-header-group; } .fedfrom tfoot { display: table-footer-group; }
  .fedfrom tr { break-inside: avoid; } .fedfrom h2, .fedfrom dl { break-after: avoid; } }
</style>
)";

/// `text` is clean; fit for element content and for a quoted attribute.
std::string escaped(std::string_view text) {
    std::string out;
    for (char c : text) switch (c) {
            case '&': out += "&amp;"; break;
            case '<': out += "&lt;"; break;
            case '>': out += "&gt;"; break;
            case '"': out += "&quot;"; break;
            case '\'': out += "&#39;"; break;
            case '\n': out += "<br>"; break;
            default: out += c;
        }
    return out;
}

std::string line(std::string_view text) { return escaped(one_line(text)); }

std::string class_of(Mark mark) { return mark == Mark::not_fitted ? "not-fitted" : std::string(word(mark)); }

/// ` class="right lost"`, or nothing.
std::string classes(Align align, Mark mark) {
    std::string out = align == Align::right ? "right" : align == Align::center ? "center" : "";
    if (mark != Mark::none) out += (out.empty() ? "" : " ") + class_of(mark);
    return out.empty() ? out : " class=\"" + out + "\"";
}

std::string sign_html(Mark mark) {
    return "<abbr title=\"" + std::string(word(mark)) + "\">" + std::string(sign(mark)) + "</abbr>";
}

std::string shown(const Cell& c) {
    const std::string value = escaped(value_text(c));
    if (c.mark == Mark::none) return value;
    return sign_html(c.mark) + (value.empty() ? "" : " " + value);
}

void append_section(std::string& out, const Table& t) {
    const std::size_t n = column_count(t);
    out += "<section class=\"fedfrom\">\n";
    if (!t.title.empty()) out += "<h2>" + line(t.title) + "</h2>\n";
    if (!t.captions.empty()) {
        out += "<dl>\n";
        for (const Caption& c : t.captions)
            out += c.label.empty() ? "<dd class=\"alone\">" + line(c.text) + "</dd>\n"
                                   : "<dt>" + line(c.label) + "</dt><dd>" + line(c.text) + "</dd>\n";
        out += "</dl>\n";
    }
    out += "<table>\n";
    if (n > 0) {
        out += "<thead><tr>";
        for (std::size_t i = 0; i < n; ++i) {
            const Column c = i < t.columns.size() ? t.columns[i] : Column{};
            out += "<th scope=\"col\"" + classes(alignment(t, i), Mark::none) + ">" + line(c.name);
            if (!c.unit.empty()) out += " <span class=\"unit\">(" + line(c.unit) + ")</span>";
            out += "</th>";
        }
        out += "</tr></thead>\n";
    }
    out += "<tbody>\n";
    std::vector<Align> align;
    for (std::size_t i = 0; i < n; ++i) align.push_back(alignment(t, i));
    for (std::size_t row = 0; row < t.rows.size(); ++row) {
        out += "<tr>";
        for (std::size_t i = 0; i < n; ++i) {
            const Cell& c = cell(t, row, i);
            const std::string tag = i == 0 ? "th" : "td";
            out += "<" + tag + (i == 0 ? " scope=\"row\"" : "") + classes(align[i], c.mark) + ">" + shown(c) + "</" + tag + ">";
        }
        out += "</tr>\n";
    }
    const std::string span = n > 1 ? " colspan=\"" + std::to_string(n) + "\"" : "";
    if (t.rows.empty()) out += "<tr><td" + span + ">(no rows)</td></tr>\n";
    out += "</tbody>\n<tfoot><tr><td" + span + ">\n";
    std::string legend;
    for (Mark m : marks_in(t)) legend += (legend.empty() ? "" : ", ") + sign_html(m) + " " + std::string(word(m));
    if (!legend.empty()) out += "<p>" + legend + "</p>\n";
    for (const std::string& note : t.footnotes) out += "<p>" + line(note) + "</p>\n";
    out += "<p class=\"caution\">" + escaped(caution) + "</p>\n</td></tr></tfoot>\n</table>\n</section>\n";
}

}  // namespace

std::string to_html_fragment(const Table& t) {
    std::string out(style);
    append_section(out, t);
    return out;
}

std::string to_html(std::span<const Table> tables, std::string_view title) {
    std::string out =
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta name=\"color-scheme\" content=\"light dark\">\n<title>" + line(title) + "</title>\n"
        "<style>@page { margin: 15mm; } body { margin: 2em auto; max-width: 75em; padding: 0 1em; }\n"
        "@media (prefers-color-scheme: dark) { body { background: #171b1f; } }\n"
        "@media print { body { margin: 0; padding: 0; max-width: none; background: #fff; } }</style>\n";
    out += style;
    out += "</head>\n<body>\n";
    for (const Table& t : tables) append_section(out, t);
    return out + "</body>\n</html>\n";
}

std::string to_html(const Table& t) { return to_html(std::span(&t, 1), t.title); }

}  // namespace fedfrom
