/// What tells candidates apart best: each indication and function as things stand, and each indication after one crew action.
#pragma once

#include <vector>

#include <fedfrom/study/diagnose.hpp>

namespace fedfrom::detail {

inline constexpr std::size_t most_considered = 64, most_looks = 10;

/// Of each candidate its failures and its weight (they add up to 1). Those that tell most: what makes nothing worse first, then most bits, then functions
/// and indications as things stand before what needs an action, then ids. A candidate whose prediction is unknown may give any of the results, equally likely.
std::vector<NextLook> next_looks(const State& settled, const std::vector<std::vector<FailureHandle>>& candidates, const std::vector<double>& weights, Reach reach);

}  // namespace fedfrom::detail
