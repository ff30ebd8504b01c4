#include <cmath>

#include "cells.hpp"

namespace fedfrom {
namespace {

using namespace detail;

std::string quoted_json(std::string_view text) {
    std::string out = "\"";
    while (!text.empty()) {
        const char32_t c = next_code_point(text);
        constexpr std::string_view hex = "0123456789abcdef";
        switch (c) {
            case '"': out += "\\\""; break;
            case '\\': out += "\\\\"; break;
            case '\n': out += "\\n"; break;
            case '\r': out += "\\r"; break;
            case '\t': out += "\\t"; break;
            default:
                if (c < 0x20 || (c >= 0x7F && c < 0xA0)) out += std::string("\\u00") + hex[c >> 4] + hex[c & 15];
                else append_utf8(out, c);
        }
    }
    return out + "\"";
}

std::string cell_json(const Cell& c) {
    if (const auto* text = std::get_if<std::string>(&c.value)) return quoted_json(*text);
    if (const auto* number = std::get_if<double>(&c.value)) return std::isfinite(*number) ? number_text(*number) : "null";
    if (std::holds_alternative<std::int64_t>(c.value)) return value_text(c);
    return "null";
}

std::string mark_json(const Cell& c) {
    if (c.mark == Mark::none) return "null";
    return c.mark == Mark::not_fitted ? "\"not_fitted\"" : quoted_json(word(c.mark));
}

/// One item a line, so that two versions of a table can be compared line by line.
template <class Items, class Write>
void append_array(std::string& out, std::string_view key, const Items& items, Write write) {
    out += "  " + quoted_json(key) + ": [";
    bool first = true;
    for (const auto& item : items) {
        out += (first ? "\n    " : ",\n    ") + write(item);
        first = false;
    }
    out += first ? "],\n" : "\n  ],\n";
}

template <class Write>
std::string row_of(const std::vector<Cell>& row, std::size_t columns, Write write) {
    std::string out = "[";
    for (std::size_t i = 0; i < columns; ++i) out += (i ? ", " : "") + (i < row.size() ? write(row[i]) : "null");
    return out + "]";
}

}  // namespace

std::string to_json(const Table& t) {
    const std::size_t n = column_count(t);
    std::vector<Column> columns = t.columns;
    columns.resize(n);

    std::string out = "{\n  \"format\": \"fedfrom-table/1\",\n  \"title\": " + quoted_json(t.title) + ",\n";
    append_array(out, "captions", t.captions, [](const Caption& c) {
        return "{\"label\": " + quoted_json(c.label) + ", \"text\": " + quoted_json(c.text) + "}";
    });
    append_array(out, "columns", columns, [](const Column& c) {
        return "{\"name\": " + quoted_json(c.name) + ", \"unit\": " + quoted_json(c.unit) + "}";
    });
    append_array(out, "rows", t.rows, [&](const auto& row) { return row_of(row, n, cell_json); });
    if (!marks_in(t).empty())
        append_array(out, "marks", t.rows, [&](const auto& row) { return row_of(row, n, mark_json); });
    append_array(out, "footnotes", t.footnotes, [](const std::string& note) { return quoted_json(note); });
    return out + "  \"caution\": " + quoted_json(caution) + "\n}\n";
}

std::string to_json(std::span<const Table> tables) {
    std::string out = "[";
    for (const Table& t : tables) {
        out += (out.size() > 1 ? ",\n" : "\n") + to_json(t);
        out.pop_back();
    }
    return out + (tables.empty() ? "]\n" : "\n]\n");
}

}  // namespace fedfrom
