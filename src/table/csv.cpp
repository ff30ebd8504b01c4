#include <algorithm>

#include "cells.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// Takes text out of a spreadsheet's reach: what begins like a formula, in the
/// wide signs of East Asian keyboards too, gets an apostrophe.
std::string neutral(std::string text) {
    for (std::string_view start : {"=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"})
        if (text.starts_with(start)) return "'" + text;
    return text;
}

std::string quoted_csv(const std::string& field) {
    if (field.find_first_of(",\"\n\r;\t") == field.npos && (field.empty() || (field.front() != ' ' && field.back() != ' ')))
        return field;
    std::string out = "\"";
    for (char c : field) {
        if (c == '"') out += '"';
        out += c;
    }
    return out + "\"";
}

std::string field(const Cell& c) {
    const std::string mark(word(c.mark));
    if (is_number(c)) return value_text(c);
    // The author's own leading tab or return would be a space once cleaned; a spreadsheet strips either.
    std::string value;
    if (const auto* text = std::get_if<std::string>(&c.value)) {
        const bool hidden = !text->empty() && ((*text)[0] == '\t' || (*text)[0] == '\r');
        value = clean(*text);
        if (hidden) value.insert(0, "'");
    }
    if (mark.empty() || value == mark) return quoted_csv(neutral(std::move(value)));
    return quoted_csv(value.empty() ? mark : mark + ": " + value);
}

}  // namespace

std::string to_csv(const Table& t) {
    const std::size_t n = std::max<std::size_t>(1, column_count(t));
    std::string out;
    const auto add_note = [&](const std::string& text) {
        if (!text.empty()) out += quoted_csv(neutral(text)) + std::string(n - 1, ',') + "\r\n";
    };

    if (column_count(t) > 0) {
        for (std::size_t i = 0; i < n; ++i) out += (i ? "," : "") + quoted_csv(neutral(head(t, i)));
        out += "\r\n";
        for (std::size_t row = 0; row < t.rows.size(); ++row) {
            for (std::size_t i = 0; i < n; ++i) out += (i ? "," : "") + field(cell(t, row, i));
            out += "\r\n";
        }
    }
    add_note(one_line(t.title));
    for (const Caption& c : t.captions) add_note(caption_text(c));
    for (const std::string& note : t.footnotes) add_note(one_line(note));
    add_note(std::string(caution));
    return out;
}

std::string to_csv(std::span<const Table> tables) {
    std::string out;
    for (const Table& t : tables) out += (out.empty() ? "" : "\r\n") + to_csv(t);
    return out;
}

}  // namespace fedfrom
