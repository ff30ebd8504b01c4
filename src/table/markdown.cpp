// A pipe table. Everything from outside is escaped so that it reads as it was
// written; only what would be markup is touched, so that ids stay readable.

#include "cells.hpp"

namespace fedfrom {
namespace {

using namespace detail;

bool word_character(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || (c & 0x80) != 0;
}

/// `text` is clean. A line break becomes <br>; `first` says that it begins a line of Markdown.
std::string escaped_markdown(std::string_view text, bool first) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        const bool inside_word =
            i > 0 && i + 1 < text.size() && word_character(text[i - 1]) && word_character(text[i + 1]);
        switch (c) {
            case '&': out += "&amp;"; break;
            case '<': out += "&lt;"; break;
            case '>': out += "&gt;"; break;
            case '\n': out += "<br>"; break;
            case '_':
                if (!inside_word) out += '\\';
                out += c;
                break;
            case '\\': case '`': case '*': case '[': case ']': case '|': case '~': case '$':
                out += '\\';
                out += c;
                break;
            default: out += c;
        }
    }
    if (!first) return out;
    // What opens a heading, a list or a rule where a line begins.
    const std::size_t digits = out.find_first_not_of("0123456789");
    if (digits != out.npos && digits > 0 && (out[digits] == '.' || out[digits] == ')')) out.insert(digits, "\\");
    else if (!out.empty() && std::string_view("#+-=:").find(out[0]) != std::string_view::npos) out.insert(0, "\\");
    return out;
}

std::string cell_markdown(const Cell& c) { return with_sign(c.mark, escaped_markdown(value_text(c), false)); }

void append_head(std::string& out, std::string_view level, std::string_view title, const std::vector<Caption>& captions) {
    if (!title.empty()) out += std::string(level) + " " + escaped_markdown(one_line(title), true) + "\n\n";
    for (const Caption& c : captions) {
        const std::string label = escaped_markdown(one_line(c.label), true);
        out += "- " + (label.empty() ? escaped_markdown(one_line(c.text), true) : "**" + label + ":** " + escaped_markdown(one_line(c.text), false)) + "\n";
    }
    if (!captions.empty()) out += "\n";
}

void append_table(std::string& out, const Table& t) {
    append_head(out, "###", t.title, t.captions);

    const std::size_t n = column_count(t);
    if (n == 0) {
        out += "(no rows)\n";
    } else {
        for (std::size_t i = 0; i < n; ++i) out += "| " + escaped_markdown(head(t, i), false) + " ";
        out += "|\n";
        for (std::size_t i = 0; i < n; ++i) {
            const Align a = alignment(t, i);
            out += a == Align::right ? "| ---: " : a == Align::center ? "| :---: " : "| --- ";
        }
        out += "|\n";
        for (std::size_t row = 0; row < t.rows.size(); ++row) {
            for (std::size_t i = 0; i < n; ++i) out += "| " + cell_markdown(cell(t, row, i)) + " ";
            out += "|\n";
        }
    }

    std::string legend;
    for (Mark m : marks_in(t)) legend += (legend.empty() ? "" : ", ") + std::string(sign(m)) + " " + std::string(word(m));
    if (!legend.empty()) out += "\n" + legend + "\n";
    for (const std::string& note : t.footnotes) out += "\n" + escaped_markdown(one_line(note), true) + "\n";
    out += "\n";
}

std::string caution_line() { return "*" + std::string(caution) + "*\n"; }

}  // namespace

std::string to_markdown(const Table& t) {
    std::string out;
    append_table(out, t);
    return out + caution_line();
}

std::string to_markdown(std::span<const Table> tables, std::string_view title) {
    std::string out;
    const std::vector<Caption> common = common_captions(tables);
    append_head(out, "##", title, common);
    for (const Table& t : tables) append_table(out, without(t, title, common));
    return out + caution_line();
}

}  // namespace fedfrom
