#include "layout.hpp"

#include <algorithm>
#include <numeric>

#include "cells.hpp"

namespace fedfrom::detail {

std::size_t widest_line(std::string_view text) {
    std::size_t w = 0;
    for (std::string_view line : lines_of(text)) w = std::max(w, width_of(line));
    return w;
}

std::size_t longest_word(std::string_view text) {
    std::size_t longest = 0, start = 0;
    for (std::size_t i = 0; i <= text.size(); ++i)
        if (i == text.size() || text[i] == ' ' || text[i] == '\n') {
            longest = std::max(longest, width_of(text.substr(start, i - start)));
            start = i + 1;
        }
    return longest;
}

std::vector<Block> blocks(const std::vector<Room>& columns, const Limits& limits) {
    std::vector<Block> out{{0}};
    std::size_t used = columns[0].least;
    for (std::size_t i = 1; i < columns.size(); ++i) {
        const bool full = used + limits.gap + columns[i].least > limits.width || out.back().size() > limits.columns;
        if (full && out.back().size() > 1) {
            out.push_back({0});
            used = columns[0].least;
        }
        out.back().push_back(i);
        used += limits.gap + columns[i].least;
    }
    return out;
}

std::vector<std::size_t> widths(const std::vector<Room>& columns, const Block& block, const Limits& limits) {
    std::vector<std::size_t> w;
    for (std::size_t i : block) w.push_back(columns[i].natural);
    std::size_t total = std::accumulate(w.begin(), w.end(), limits.gap * (block.size() - 1));
    while (total > limits.width) {
        std::size_t widest = block.size();
        for (std::size_t k = 0; k < block.size(); ++k)
            if (w[k] > columns[block[k]].least && (widest == block.size() || w[k] > w[widest])) widest = k;
        if (widest == block.size()) break;
        --w[widest], --total;
    }
    return w;
}

}  // namespace fedfrom::detail
