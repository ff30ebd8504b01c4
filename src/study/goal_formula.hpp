// A function's level as a Boolean formula of failures.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/logic/ordered_diagram.hpp>
#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

/// Throws NotPossible for a level that nothing is below, or a function that is not fitted.
void check_goal(const Compiled& c, std::uint32_t function, Level below);

/// Those that may be combined: `within`, or every failure; without what is present already. By element and mode. Throws UnknownId and NotPossible.
std::vector<FailureHandle> failures_to_combine(const State& state, const std::optional<std::vector<FailureRef>>& within);

/// "sg_l", "loss".
FailureRef ref_of(const Compiled& c, FailureHandle failure);

/// Why a function cannot be written as a formula of these failures; empty where it can.
std::string why_no_formula(const Outcome& before, std::uint32_t function, const std::vector<FailureHandle>& failures);

/// Holds where the function is below the level. Only where `why_no_formula` has nothing to say.
/// `working`: variable i is that failure i has *not* happened, and the formula that the function is *not* below the level.
Formula goal_formula(const Outcome& before, std::uint32_t function, Level below, const std::vector<FailureHandle>& failures, bool working = false);

/// What a result says of having been found so.
inline constexpr const char* by_its_formula = "By the formula of the function: nothing it hangs on keeps a position or holds itself in, and none of the failures considered spreads.";

/// Variables of a formula's diagram with which it holds less than without, somewhere: failures that can help. Ascending. O(variables · nodes).
std::vector<std::uint32_t> those_that_help(OrderedDiagram& diagram);

/// Whether the function is below the level as it is, where unknown counts; a sentence, empty where it is not.
std::string already_below(const Outcome& before, std::uint32_t function, Level below);

/// A function, and those whose level it reads, however indirectly.
std::vector<std::uint32_t> with_those_read(const Compiled& c, std::uint32_t function);

}  // namespace fedfrom::detail
