#include "cells.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace fedfrom {

namespace {
struct MarkRow {
    std::string_view word, sign;
};
constexpr std::array<MarkRow, 8> mark_table{{
    {"", ""},
    {"kept", "✓"},
    {"degraded", "~"},
    {"lost", "✗"},
    {"unknown", "?"},
    {"not fitted", "–"},
    {"changed", "≠"},
    {"exceeded", "!"},
}};
}  // namespace

std::string_view word(Mark mark) { return mark_table[static_cast<std::size_t>(mark)].word; }
std::string_view sign(Mark mark) { return mark_table[static_cast<std::size_t>(mark)].sign; }

std::string number_text(double number) {
    if (std::isnan(number)) return "undefined";
    if (std::isinf(number)) return number > 0 ? "infinite" : "minus infinite";
    if (number == 0) return "0";  // never "-0"
    std::array<char, 32> buffer;
    const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number, std::chars_format::general, 10).ptr;
    return {buffer.data(), end};
}

namespace detail {

char32_t next_code_point(std::string_view& rest) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(rest[i]); };
    constexpr char32_t bad = 0xFFFD;
    const unsigned char first = byte(0);
    if (first < 0x80) {
        rest.remove_prefix(1);
        return first;
    }
    const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
    constexpr std::array<char32_t, 5> smallest{0, 0, 0x80, 0x800, 0x10000};
    bool good = first >= 0xC2 && first <= 0xF4 && rest.size() >= length;
    char32_t c = first & (0x7Fu >> length);
    for (std::size_t i = 1; good && i < length; ++i) {
        good = (byte(i) & 0xC0) == 0x80;
        c = c << 6 | (byte(i) & 0x3Fu);
    }
    good = good && c >= smallest[length] && c <= 0x10FFFF && !(c >= 0xD800 && c <= 0xDFFF);
    rest.remove_prefix(good ? length : 1);
    return good ? c : bad;
}

void append_utf8(std::string& out, char32_t c) {
    const auto put = [&](char32_t byte) { out += static_cast<char>(byte); };
    if (c < 0x80) {
        put(c);
    } else if (c < 0x800) {
        put(0xC0 | c >> 6), put(0x80 | (c & 0x3F));
    } else if (c < 0x10000) {
        put(0xE0 | c >> 12), put(0x80 | (c >> 6 & 0x3F)), put(0x80 | (c & 0x3F));
    } else {
        put(0xF0 | c >> 18), put(0x80 | (c >> 12 & 0x3F)), put(0x80 | (c >> 6 & 0x3F)), put(0x80 | (c & 0x3F));
    }
}

std::string clean(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    while (!text.empty()) {
        char32_t c = next_code_point(text);
        if (c == '\r') {
            if (!text.empty() && text.front() == '\n') text.remove_prefix(1);
            c = '\n';
        }
        const bool separator = c == 0x2028 || c == 0x2029;  // line and paragraph separator
        if (separator) c = '\n';
        // C0, DEL and C1; and what reorders the text around it (bidirectional overrides and isolates).
        const bool control = (c < 0x20 && c != '\n') || (c >= 0x7F && c < 0xA0);
        const bool reorders = (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
        append_utf8(out, control || reorders ? U' ' : c);
    }
    return out;
}

std::string one_line(std::string_view text) {
    std::string out = clean(text);
    std::replace(out.begin(), out.end(), '\n', ' ');
    return out;
}

std::size_t width_of(std::string_view text) {
    const auto within = [](char32_t c, char32_t first, char32_t last) { return c >= first && c <= last; };
    std::size_t width = 0;
    while (!text.empty()) {
        const char32_t c = next_code_point(text);
        const bool combining = within(c, 0x300, 0x36F) || within(c, 0x1AB0, 0x1AFF) || within(c, 0x20D0, 0x20FF) ||
                               within(c, 0x200B, 0x200F) || within(c, 0xFE00, 0xFE0F) || c == 0xFEFF;
        const bool wide = within(c, 0x1100, 0x115F) || within(c, 0x2E80, 0xA4CF) || within(c, 0xAC00, 0xD7A3) ||
                          within(c, 0xF900, 0xFAFF) || within(c, 0xFE30, 0xFE6F) || within(c, 0xFF00, 0xFF60) ||
                          within(c, 0xFFE0, 0xFFE6) || within(c, 0x1F300, 0x1FAFF) || within(c, 0x20000, 0x3FFFD);
        width += combining ? 0 : wide ? 2 : 1;
    }
    return width;
}

std::vector<std::string_view> lines_of(std::string_view text) {
    std::vector<std::string_view> lines;
    for (;;) {
        const std::size_t end = text.find('\n');
        lines.push_back(text.substr(0, end));
        if (end == text.npos) return lines;
        text.remove_prefix(end + 1);
    }
}

std::string value_text(const Cell& c) {
    if (const auto* text = std::get_if<std::string>(&c.value)) return clean(*text);
    if (const auto* integer = std::get_if<std::int64_t>(&c.value)) return std::to_string(*integer);
    if (const auto* number = std::get_if<double>(&c.value)) return number_text(*number);
    return {};
}

std::string with_sign(Mark mark, const std::string& value) {
    const std::string first(sign(mark));
    return first.empty() || value.empty() ? first + value : first + " " + value;
}

bool is_number(const Cell& c) { return c.value.index() >= 2; }

std::size_t column_count(const Table& t) {
    std::size_t n = t.columns.size();
    for (const auto& row : t.rows) n = std::max(n, row.size());
    return n;
}

const Cell& cell(const Table& t, std::size_t row, std::size_t column) {
    static const Cell empty;
    return column < t.rows[row].size() ? t.rows[row][column] : empty;
}

std::string head(const Table& t, std::size_t column) {
    if (column >= t.columns.size()) return {};
    const Column& c = t.columns[column];
    return one_line(c.unit.empty() ? c.name : c.name.empty() ? c.unit : c.name + " (" + c.unit + ")");
}

Align alignment(const Table& t, std::size_t column) {
    if (column < t.columns.size() && t.columns[column].align != Align::automatic) return t.columns[column].align;
    bool numbers = false;
    for (std::size_t row = 0; row < t.rows.size(); ++row) {
        const Cell& c = cell(t, row, column);
        if (is_number(c)) numbers = true;
        else if (c.value.index() != 0 || c.mark != Mark::none) return Align::left;
    }
    return numbers ? Align::right : Align::left;
}

std::vector<Mark> marks_in(const Table& t) {
    std::array<bool, mark_table.size()> used{};
    for (const auto& row : t.rows)
        for (const Cell& c : row) used[static_cast<std::size_t>(c.mark)] = true;
    std::vector<Mark> marks;
    for (std::size_t i = 1; i < used.size(); ++i)
        if (used[i]) marks.push_back(static_cast<Mark>(i));
    return marks;
}

std::string caption_text(const Caption& c) { return one_line(c.label.empty() ? c.text : c.label + ": " + c.text); }

namespace {
bool has(const std::vector<Caption>& captions, const Caption& c) { return std::ranges::find(captions, c) != captions.end(); }
}  // namespace

std::vector<Caption> common_captions(std::span<const Table> tables) {
    std::vector<Caption> out;
    if (tables.empty()) return out;
    for (const Caption& c : tables.front().captions)
        if (std::ranges::all_of(tables, [&](const Table& t) { return has(t.captions, c); })) out.push_back(c);
    return out;
}

Table without(const Table& t, std::string_view title, const std::vector<Caption>& captions) {
    Table rest = t;
    if (rest.title == title) rest.title.clear();
    std::erase_if(rest.captions, [&](const Caption& c) { return has(captions, c); });
    return rest;
}

}  // namespace detail
}  // namespace fedfrom
