// Plain text. Columns get their natural width while that fits; else the widest
// text columns shrink, one column of the terminal at a time, down to their
// longest word; what still does not fit goes into a further block of columns.

#include <algorithm>
#include <utility>

#include "cells.hpp"
#include "layout.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr std::size_t longest_unbroken = 24;  // a longer word may be broken

using Lines = std::vector<std::string>;

/// `text` in lines of at most `width`: broken at spaces, a word longer than a line anywhere.
Lines wrapped(std::string_view text, std::size_t width) {
    Lines out;
    for (std::string_view line : lines_of(text)) {
        std::string current;
        std::size_t used = 0;
        bool any = false;
        while (!line.empty()) {
            const std::size_t end = std::min(line.find(' '), line.size());
            std::string_view word = line.substr(0, end);
            line.remove_prefix(std::min(end + 1, line.size()));
            if (word.empty()) continue;
            const std::size_t needed = width_of(word);
            if (any && used + 1 + needed > width) {
                out.push_back(std::exchange(current, {}));
                used = 0, any = false;
            }
            if (any) current += ' ', ++used;
            while (!word.empty()) {
                std::string_view rest = word;
                next_code_point(rest);
                const std::string_view character = word.substr(0, word.size() - rest.size());
                const std::size_t w = width_of(character);
                if (used > 0 && used + w > width) {
                    out.push_back(std::exchange(current, {}));
                    used = 0;
                }
                current += character;
                used += w;
                word = rest;
            }
            any = true;
        }
        out.push_back(std::move(current));
    }
    return out;
}

void append_paragraph(std::string& out, std::string_view text, std::size_t width) {
    for (const std::string& line : wrapped(text, width)) out += line + "\n";
}

struct TextColumn {
    std::string head;
    std::vector<std::string> cells;
    Align align;
    Room room;
};

TextColumn text_column(const Table& t, std::size_t column) {
    TextColumn c{.head = head(t, column), .cells = {}, .align = alignment(t, column), .room = {}};
    c.room.natural = std::max<std::size_t>(1, widest_line(c.head));
    c.room.least = std::max<std::size_t>(1, std::min(longest_word(c.head), longest_unbroken));
    for (std::size_t row = 0; row < t.rows.size(); ++row) {
        const Cell& value = cell(t, row, column);
        c.cells.push_back(with_sign(value.mark, value_text(value)));
        const std::string& text = c.cells.back();
        c.room.natural = std::max(c.room.natural, widest_line(text));
        // A number is never broken.
        c.room.least =
            std::max(c.room.least, is_number(value) ? widest_line(text) : std::min(longest_word(text), longest_unbroken));
    }
    return c;
}

void append_row(std::string& out, const std::vector<Lines>& cells, const std::vector<std::size_t>& w,
                const std::vector<Align>& align) {
    std::size_t height = 1;
    for (const Lines& lines : cells) height = std::max(height, lines.size());
    for (std::size_t y = 0; y < height; ++y) {
        std::string line;
        for (std::size_t k = 0; k < cells.size(); ++k) {
            const std::string text = y < cells[k].size() ? cells[k][y] : "";
            const std::size_t space = w[k] - std::min(w[k], width_of(text));
            const std::size_t before = align[k] == Align::right ? space : align[k] == Align::center ? space / 2 : 0;
            line += std::string(before, ' ') + text + std::string(space - before, ' ');
            if (k + 1 < cells.size()) line += "  ";
        }
        line.erase(line.find_last_not_of(' ') + 1);
        out += line + "\n";
    }
}

void append_text_block(std::string& out, const std::vector<TextColumn>& columns, const Block& block, std::size_t rows,
                  const std::vector<std::size_t>& w) {
    std::vector<Align> align;
    std::vector<Lines> line, rule;
    for (std::size_t k = 0; k < block.size(); ++k) {
        align.push_back(columns[block[k]].align);
        line.push_back(wrapped(columns[block[k]].head, w[k]));
        rule.push_back({std::string(w[k], '-')});
    }
    append_row(out, line, w, align);
    append_row(out, rule, w, align);
    for (std::size_t row = 0; row < rows; ++row) {
        for (std::size_t k = 0; k < block.size(); ++k) line[k] = wrapped(columns[block[k]].cells[row], w[k]);
        append_row(out, line, w, align);
    }
    if (rows == 0) out += "(no rows)\n";
}

}  // namespace

std::string to_text(const Table& t, int width) {
    const auto w = static_cast<std::size_t>(std::max(width, 20));
    std::string out;
    if (!t.title.empty()) {
        const std::string title = one_line(t.title);
        append_paragraph(out, title, w);
        out += std::string(std::min(width_of(title), w), '=') + "\n";
    }
    for (const Caption& c : t.captions) append_paragraph(out, caption_text(c), w);
    if (!out.empty()) out += "\n";

    const Limits limits{.width = w};
    std::vector<TextColumn> columns;
    std::vector<Room> rooms;
    for (std::size_t i = 0; i < column_count(t); ++i) columns.push_back(text_column(t, i)), rooms.push_back(columns[i].room);
    if (columns.empty()) out += "(no rows)\n\n";
    else
        for (const Block& block : blocks(rooms, limits)) {
            append_text_block(out, columns, block, t.rows.size(), widths(rooms, block, limits));
            out += "\n";
        }

    std::string legend;
    for (Mark m : marks_in(t)) legend += (legend.empty() ? "" : ", ") + std::string(sign(m)) + " " + std::string(word(m));
    if (!legend.empty()) append_paragraph(out, legend, w);
    for (const std::string& note : t.footnotes) append_paragraph(out, one_line(note), w);
    append_paragraph(out, caution, w);
    return out;
}

}  // namespace fedfrom
