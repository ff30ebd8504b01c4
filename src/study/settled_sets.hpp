// Cut sets found by settling combinations one by one: what a formula or a diagram of all of them cannot tell.
#pragma once

#include <cstdint>
#include <functional>
#include <set>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

/// Failures by their places among those that may fail, ascending.
using SetOfPlaces = std::vector<std::uint32_t>;
using SetsOfPlaces = std::set<SetOfPlaces>;

struct SettledSets {
    SetsOfPlaces sets{};    ///< the minimal ones
    int complete_to = 0;    ///< all of up to so many failures are there
};

constexpr int most_settled = 4;  ///< failures in a combination

/// Of at most `order` failures, up to `most_settled`. From a settled state in which the function is not below the level. `seconds` 0: no limit;
/// `progress`: the part that is done, false cancels.
SettledSets sets_by_settling(const State& from, std::uint32_t function, Level below, const std::vector<FailureHandle>& failures, int order, double seconds, const std::function<bool(double)>& progress);

}  // namespace fedfrom::detail
