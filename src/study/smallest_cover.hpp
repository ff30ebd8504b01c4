/// The smallest choice that meets every want.
///
///     smallest_cover(3, {{0, 1}, {1, 2}, {1}});      // {1}: each want has one of its choices
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

namespace fedfrom::detail {

struct Cover {
    std::vector<std::size_t> chosen{};  ///< ascending
    bool exact = true;                  ///< false: the budget ran out, and a smaller one may exist
};

/// `wants`: for each, the choices (below `choices`, ascending, not empty) any of which meets it. Sizes are tried one after the other;
/// where that takes more than a fixed number of steps, what meets most wants is taken first, and the answer is not exact.
Cover smallest_cover(std::size_t choices, std::vector<std::vector<std::size_t>> wants);

}  // namespace fedfrom::detail
