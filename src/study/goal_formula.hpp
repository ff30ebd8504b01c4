// A function's level as a Boolean formula of what may happen.
#pragma once

#include <array>
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

/// Those of one element, as pairs of places, each ascending.
std::vector<std::array<std::uint32_t, 2>> of_one_element(const Compiled& c, const std::vector<FailureHandle>& failures);

/// "sg_l", "loss".
FailureRef ref_of(const Compiled& c, FailureHandle failure);

/// What may happen, each a variable: a failure, or the failures that a common cause brings.
using Happenings = std::vector<std::vector<Event>>;
Happenings each_alone(const std::vector<FailureHandle>& failures);

/// Why combinations of these have to be settled one by one; empty where they need not: nothing hunts, and their order is nothing.
std::string why_one_by_one(const Outcome& before, const Happenings& happenings);

/// Those with a short, a leak or a jam, ascending.
std::vector<std::uint32_t> those_that_spread(const Compiled& c, const Happenings& happenings);

/// Why even so a function cannot be written as a formula; empty where it can.
std::string why_no_formula(const Outcome& before, std::uint32_t function, const Happenings& happenings);

/// Holds where the function is below the level. Only where neither of these has anything to say.
/// `working`: variable i is that i has *not* happened, and the formula that the function is *not* below the level.
Formula goal_formula(const Outcome& before, std::uint32_t function, Level below, const Happenings& happenings, bool working = false);

/// What a result says of having been found so.
inline constexpr const char* by_its_formula = "By the formula of the function: nothing it hangs on keeps a position or holds itself in, and none of the failures considered spreads.";

/// Variables that a formula's diagram reads, ascending.
std::vector<std::uint32_t> variables_read(const OrderedDiagram& diagram);

/// Whether the function is below the level as it is, where unknown counts; a sentence, empty where it is not.
std::string already_below(const Outcome& before, std::uint32_t function, Level below);

/// A function, and those whose level it reads, however indirectly.
std::vector<std::uint32_t> with_those_read(const Compiled& c, std::uint32_t function);

}  // namespace fedfrom::detail
