/// How much room columns want, and which of them stand side by side. Widths are
/// columns of a terminal; a page reckons half an em for each.
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

namespace fedfrom::detail {

struct Room {
    std::size_t natural = 1;  ///< no line is broken
    std::size_t least = 1;    ///< no narrower than this
};

struct Limits {
    std::size_t width;             ///< of all columns of a block and the gaps between them
    std::size_t gap = 2;
    std::size_t columns = 100000;  ///< in a block, beside the one that is repeated
};

std::size_t widest_line(std::string_view text);
std::size_t longest_word(std::string_view text);

using Block = std::vector<std::size_t>;

/// Which columns stand side by side; every block but the first repeats column 0.
std::vector<Block> blocks(const std::vector<Room>& columns, const Limits&);

/// Natural widths while they fit; else the widest shrink, one by one, down to their least.
std::vector<std::size_t> widths(const std::vector<Room>& columns, const Block&, const Limits&);

}  // namespace fedfrom::detail
