// HTML. One style for pages and fragments, every rule of it under .fedfrom.
// Paper size is the printer's: margins only, so that A4 and Letter both work,
// upright or not; thead and tfoot repeat on every sheet, and with them the caution.
//
// A table too wide for the narrowest of these sheets is cut into blocks of
// columns, one table each, that repeat the first column. Where no block has to
// break lines no width is said; else each column gets a least width, in em, so
// that a browser does not squeeze a long text into one word a line. A browser
// breaks words itself only after the underscores of long ones (wbr), and
// anywhere in what has no better place (class long).

#include <algorithm>
#include <iterator>

#include "cells.hpp"
#include "layout.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr std::string_view light = R"({ --ink: #1c2126; --soft: #5a646e; --line: #c9d0d6; --rule: #3d4852; --paper: #fff;
  --kept: #e6f2ea; --degraded: #fdf1d3; --lost: #f9dedb; --unknown: #e6e4f3; --plain: #eceff1; })";
constexpr std::string_view dark = R"({ --ink: #e4e8eb; --soft: #9fabb5; --line: #414b54; --rule: #8d99a3; --paper: #171b1f;
  --kept: #1d3a29; --degraded: #463a15; --lost: #4e2320; --unknown: #302c4d; --plain: #2a3137; })";

/// The reader's setting, unless a notebook around it says which theme it has.
std::string colours() {
    const std::string light_theme = "[data-jp-theme-light=true] .fedfrom, .vscode-light .fedfrom ";
    const std::string dark_theme = "[data-jp-theme-light=false] .fedfrom, .vscode-dark .fedfrom ";
    return ".fedfrom " + std::string(light) + "\n@media (prefers-color-scheme: dark) { .fedfrom " + std::string(dark) + " }\n" +
           light_theme + std::string(light) + "\n" + dark_theme + std::string(dark) + "\n";
}

// The class is said twice where a notebook has a rule for every table and heading; it would win over one.
constexpr std::string_view rules = R"(.fedfrom { color: var(--ink); background: var(--paper);
  font: 15px/1.4 system-ui, "Segoe UI", "Liberation Sans", sans-serif;
  margin: 0 0 2em; overflow-x: auto; overflow-wrap: break-word; }
.fedfrom.fedfrom h1 { font-size: 1.6em; margin: 0 0 .5em; }
.fedfrom.fedfrom h2 { font-size: 1.25em; margin: 0 0 .4em; }
.fedfrom.fedfrom h1, .fedfrom.fedfrom h2 { color: inherit; font-weight: 600; }
.fedfrom.fedfrom dl { display: grid; grid-template-columns: max-content minmax(0, 1fr); gap: .1em 1em; margin: 0 0 1em; }
.fedfrom.fedfrom dt { color: var(--soft); font-weight: 400; width: auto; margin: 0; }
.fedfrom.fedfrom dd { margin: 0; width: auto; }
.fedfrom.fedfrom dd.alone { grid-column: 1 / -1; }
.fedfrom.fedfrom table { border-collapse: collapse; color: inherit; font-size: inherit; font-variant-numeric: tabular-nums; margin: 0; }
.fedfrom.fedfrom tbody tr, .fedfrom.fedfrom tbody tr:hover { background: none; }
.fedfrom.fedfrom th, .fedfrom.fedfrom td { text-align: left; vertical-align: top; padding: .25em .7em; border-bottom: 1px solid var(--line);
  background: none; white-space: normal; max-width: 40em; line-height: inherit; }
.fedfrom.fedfrom tr > :first-child:not([class]), .fedfrom.fedfrom thead .part { padding-left: 0; }
.fedfrom.fedfrom td.long, .fedfrom.fedfrom th.long { min-width: 10em; overflow-wrap: anywhere; }
.fedfrom.fedfrom .part { color: var(--soft); border: 0; }
.fedfrom.fedfrom table + table { margin-top: 1.6em; }
.fedfrom.fedfrom thead th { border-bottom: 2px solid var(--rule); vertical-align: bottom; }
.fedfrom.fedfrom tbody th { font-weight: 500; }
.fedfrom.fedfrom .right { text-align: right; }
.fedfrom.fedfrom .center { text-align: center; }
.fedfrom.fedfrom .unit { color: var(--soft); font-weight: 400; }
.fedfrom.fedfrom .kept { background: var(--kept); }
.fedfrom.fedfrom .degraded { background: var(--degraded); }
.fedfrom.fedfrom .lost, .fedfrom.fedfrom .exceeded { background: var(--lost); }
.fedfrom.fedfrom .unknown { background: var(--unknown); }
.fedfrom.fedfrom .changed, .fedfrom.fedfrom .not-fitted { background: var(--plain); }
.fedfrom.fedfrom abbr { text-decoration: none; font-weight: 700; }
.fedfrom.fedfrom tfoot td { border: 0; padding-top: .8em; color: var(--soft); font-size: .87em; }
.fedfrom.fedfrom tfoot p { margin: 0 0 .3em; }
.fedfrom.fedfrom .caution { color: var(--ink); font-weight: 600; }
.fedfrom.sheet > .caution { font-size: .87em; margin: 0 0 1em; }
@media screen { .fedfrom .goes-on tfoot { display: none; }
  .fedfrom.sheet { border: 1px solid var(--line); border-radius: 6px; padding: 1em 1.2em 0; margin: 0; }
  .fedfrom.sheet .fedfrom { margin-bottom: 1em; max-height: 75em; overflow: auto; }
  .fedfrom.sheet thead th { position: sticky; top: 0; background: var(--paper); }
  .fedfrom.sheet tfoot .caution { display: none; } }
@media print { .fedfrom.sheet > .caution { display: none; } :root .fedfrom { --ink: #000; --soft: #333; --line: #999; --rule: #000; --paper: #fff; --kept: #eef6f0;
  --degraded: #fdf3da; --lost: #f8dfdc; --unknown: #ebe9f5; --plain: #eee; font-size: 9pt; overflow: visible; }
  .fedfrom.fedfrom th, .fedfrom.fedfrom td { padding: .2em .4em; }
  .fedfrom thead { display: table-header-group; } .fedfrom tfoot { display: table-footer-group; }
  .fedfrom tr { break-inside: avoid; } .fedfrom h1, .fedfrom h2, .fedfrom dl { break-after: avoid; } }
)";

std::string style() { return "<style>\n" + colours() + std::string(rules) + "</style>\n"; }

/// `text` is clean; fit for element content and for a quoted attribute.
std::string escaped_html(std::string_view text) {
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

std::string line(std::string_view text) { return escaped_html(one_line(text)); }

std::string class_of(Mark mark) { return mark == Mark::not_fitted ? "not-fitted" : std::string(word(mark)); }

constexpr Limits paper{.width = 96, .columns = 10};  // 48em of 9pt: upright A4 between its margins
constexpr std::size_t most_lines = 4;                // what a text may be squeezed to,
constexpr std::size_t ample = 28;                    // though never below this width
constexpr std::size_t long_word = 12;                // a longer one may break after its underscores
constexpr std::size_t longest_unbroken_piece = 20;   // and a longer piece anywhere

/// The words of `text` in the pieces a browser keeps whole, each with what ends it: a space, a newline or an underscore.
std::vector<std::string_view> pieces(std::string_view text) {
    std::vector<std::string_view> out;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find_first_of(" \n"), text.size());
        const bool may_break = width_of(text.substr(0, end)) > long_word;
        std::size_t start = 0;
        for (std::size_t i = 0; i < end; ++i)
            if (may_break && text[i] == '_' && i + 1 < end && text[i + 1] != '_') {
                out.push_back(text.substr(start, i + 1 - start));
                start = i + 1;
            }
        const std::size_t next = std::min(end + 1, text.size());
        out.push_back(text.substr(start, next - start));
        text.remove_prefix(next);
    }
    return out;
}

std::size_t longest_piece(std::string_view text) {
    std::size_t longest = 0;
    for (std::string_view piece : pieces(text)) longest = std::max(longest, longest_word(piece));
    return longest;
}

/// Escaped, with the places where a long word may break.
std::string breakable(std::string_view text) {
    std::string out;
    bool first = true;
    for (std::string_view piece : pieces(text)) {
        if (!first && out.back() == '_') out += "<wbr>";
        out += escaped_html(piece);
        first = false;
    }
    return out;
}

/// ` class="right lost"`, or nothing.
std::string classes(Align align, Mark mark, std::string_view text) {
    std::string out;
    const auto add = [&](std::string_view name) { out += (out.empty() ? "" : " ") + std::string(name); };
    if (align == Align::right) add("right");
    if (align == Align::center) add("center");
    if (mark != Mark::none) add(class_of(mark));
    if (longest_piece(text) > longest_unbroken_piece) add("long");
    return out.empty() ? out : " class=\"" + out + "\"";
}

std::string sign_html(Mark mark) {
    return "<abbr title=\"" + std::string(word(mark)) + "\">" + std::string(sign(mark)) + "</abbr>";
}

std::string cell_html(const Cell& c) {
    const std::string value = breakable(value_text(c));
    if (c.mark == Mark::none) return value;
    return sign_html(c.mark) + (value.empty() ? "" : "&nbsp;" + value);
}

Room room(const Table& t, std::size_t column) {
    Room r;
    const auto add = [&](std::string_view text, std::size_t sign_width, bool whole) {
        const std::size_t natural = sign_width + widest_line(text);
        const std::size_t squeezed = std::min((natural + most_lines - 1) / most_lines, ample);
        r.natural = std::max(r.natural, natural);
        r.least = std::max({r.least, squeezed, whole ? natural : sign_width + std::min(longest_piece(text), longest_unbroken_piece)});
    };
    add(head(t, column), 0, false);
    for (std::size_t row = 0; row < t.rows.size(); ++row) {
        const Cell& c = cell(t, row, column);
        add(value_text(c), c.mark == Mark::none ? 0 : 2, is_number(c));
    }
    return r;
}

/// "12.5em": half an em a character.
std::string em(std::size_t width) { return std::to_string(width / 2) + (width % 2 == 1 ? ".5em" : "em"); }

std::string caution_html() { return "<p class=\"caution\">" + escaped_html(caution) + "</p>\n"; }

std::string table_foot(const Table& t, const std::string& span) {
    std::string out = "<tfoot><tr><td" + span + ">\n", legend;
    for (Mark m : marks_in(t)) legend += (legend.empty() ? "" : ", ") + sign_html(m) + "&nbsp;" + std::string(word(m));
    if (!legend.empty()) out += "<p>" + legend + "</p>\n";
    for (const std::string& note : t.footnotes) out += "<p>" + line(note) + "</p>\n";
    return out + caution_html() + "</td></tr></tfoot>\n";
}

/// One table: the columns of `block`, and which they are if they are not all.
void append_html_block(std::string& out, const Table& t, const Block& block, const std::vector<std::string>& least) {
    const std::size_t n = column_count(t);
    const std::string span = block.size() > 1 ? " colspan=\"" + std::to_string(block.size()) + "\"" : "";
    const bool goes_on = !block.empty() && block.back() + 1 < n;
    out += goes_on ? "<table class=\"goes-on\">\n" : "<table>\n";
    if (!block.empty()) {
        out += "<thead>";
        if (block.size() < n) {
            const std::string from = std::to_string(block[1]), to = std::to_string(block.back());
            out += "<tr><td class=\"part\"" + span + ">" + (from == to ? "Column " + from : "Columns " + from + "–" + to);
            out += " of " + std::to_string(n - 1) + "</td></tr>\n";
        }
        out += "<tr>";
        for (std::size_t k = 0; k < block.size(); ++k) {
            const Column c = block[k] < t.columns.size() ? t.columns[block[k]] : Column{};
            out += "<th scope=\"col\"" + classes(alignment(t, block[k]), Mark::none, head(t, block[k]));
            if (!least.empty()) out += " style=\"min-width: " + least[k] + "\"";
            out += ">" + breakable(one_line(c.name));
            if (!c.unit.empty()) out += " <span class=\"unit\">(" + line(c.unit) + ")</span>";
            out += "</th>";
        }
        out += "</tr></thead>\n";
    }
    out += "<tbody>\n";
    std::vector<Align> align;
    for (std::size_t i : block) align.push_back(alignment(t, i));
    for (std::size_t row = 0; row < t.rows.size(); ++row) {
        out += "<tr>";
        for (std::size_t k = 0; k < block.size(); ++k) {
            const Cell& c = cell(t, row, block[k]);
            const std::string tag = k == 0 ? "th" : "td";
            out += "<" + tag + (k == 0 ? " scope=\"row\"" : "") + classes(align[k], c.mark, value_text(c)) + ">" + cell_html(c);
            out += "</" + tag + ">";
        }
        out += "</tr>\n";
    }
    if (t.rows.empty()) out += "<tr><td" + span + ">(no rows)</td></tr>\n";
    out += "</tbody>\n" + table_foot(t, span) + "</table>\n";
}

void append_captions_html(std::string& out, const std::vector<Caption>& captions) {
    if (captions.empty()) return;
    out += "<dl>\n";
    for (const Caption& c : captions)
        out += c.label.empty() ? "<dd class=\"alone\">" + line(c.text) + "</dd>\n"
                               : "<dt>" + line(c.label) + "</dt><dd>" + line(c.text) + "</dd>\n";
    out += "</dl>\n";
}

void append_section(std::string& out, const Table& t) {
    out += "<section class=\"fedfrom\">\n";
    if (!t.title.empty()) out += "<h2>" + line(t.title) + "</h2>\n";
    append_captions_html(out, t.captions);
    std::vector<Room> rooms;
    for (std::size_t i = 0; i < column_count(t); ++i) rooms.push_back(room(t, i));
    const std::vector<Block> parts = rooms.empty() ? std::vector<Block>{{}} : blocks(rooms, paper);
    for (const Block& block : parts) {
        std::vector<std::string> least;
        std::size_t natural = 0;
        for (std::size_t i : block) natural += rooms[i].natural + paper.gap;
        if (natural > paper.width + paper.gap)
            for (std::size_t w : widths(rooms, block, paper)) least.push_back(em(w));
        append_html_block(out, t, block, least);
    }
    out += "</section>\n";
}

/// The title and what all tables share, then the tables.
void append_sheet(std::string& out, std::span<const Table> tables, std::string_view title) {
    const std::vector<Caption> common = common_captions(tables);
    if (!title.empty() || !common.empty()) {
        out += "<header class=\"fedfrom\">\n";
        if (!title.empty()) out += "<h1>" + line(title) + "</h1>\n";
        append_captions_html(out, common);
        out += "</header>\n";
    }
    for (const Table& t : tables) append_section(out, without(t, title, common));
}

}  // namespace

std::string to_html_fragment(std::span<const Table> tables, std::string_view title) {
    std::string out = "<div class=\"fedfrom sheet\">\n" + style();
    append_sheet(out, tables, title);
    return out + caution_html() + "</div>\n";
}

std::string to_html_fragment(const Table& t) {
    std::string out = style();
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
    out += style();
    out += "</head>\n<body>\n";
    append_sheet(out, tables, title);
    return out + "</body>\n</html>\n";
}

std::string to_html(const Table& t) { return to_html(std::span(&t, 1), t.title); }

}  // namespace fedfrom
