/// What the writers share: literal text, its width, and the shape of a table.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/table/table.hpp>

namespace fedfrom::detail {

/// One code point at the front of `rest`, which moves past it. U+FFFD for each
/// byte that begins no well-formed sequence (overlong, surrogate, cut off).
char32_t next_code_point(std::string_view& rest);
void append_utf8(std::string& out, char32_t c);

/// Valid UTF-8 with no control character but '\n': CRLF and CR become '\n', every other one a space.
std::string clean(std::string_view text);

/// The same on one line.
std::string one_line(std::string_view text);

/// Columns a terminal needs for `text`, which is clean and has no newline.
std::size_t width_of(std::string_view text);

std::vector<std::string_view> lines_of(std::string_view text);

/// The value alone, clean; empty for an empty cell.
std::string value_text(const Cell&);
/// `value` behind the sign of a mark; either alone where there is no other.
std::string with_sign(Mark mark, const std::string& value);
bool is_number(const Cell&);

std::size_t column_count(const Table&);
const Cell& cell(const Table&, std::size_t row, std::size_t column);  ///< an empty one where the row ends early
std::string head(const Table&, std::size_t column);                   ///< "Load (A)", on one line
Align alignment(const Table&, std::size_t column);  ///< never `automatic`

/// The marks a table uses, in the order of the enumeration.
std::vector<Mark> marks_in(const Table&);

/// "Model: Two-bus example", on one line.
std::string caption_text(const Caption&);

/// What several tables on one page say once, above them: the captions that every one has.
std::vector<Caption> common_captions(std::span<const Table>);
/// The table without what stands above it already.
Table without(const Table&, std::string_view title, const std::vector<Caption>& captions);

}  // namespace fedfrom::detail
