// A function's level as a Boolean formula of failures.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/logic/formula.hpp>
#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

/// Those that may be combined: `within`, or every failure; without what is present already. By element and mode. Throws UnknownId and NotPossible.
std::vector<FailureHandle> failures_to_combine(const State& state, const std::optional<std::vector<FailureRef>>& within);

/// "sg_l", "loss".
FailureRef ref_of(const Compiled& c, FailureHandle failure);

/// Why a function cannot be written as a formula of these failures; empty where it can.
std::string why_no_formula(const Outcome& before, std::uint32_t function, const std::vector<FailureHandle>& failures);

/// Holds where the function is below the level. Only where `why_no_formula` has nothing to say.
/// `working`: variable i is that failure i has *not* happened, and the formula that the function is *not* below the level.
Formula goal_formula(const Outcome& before, std::uint32_t function, Level below, const std::vector<FailureHandle>& failures, bool working = false);

/// A function, and those whose level it reads, however indirectly.
std::vector<std::uint32_t> with_those_read(const Compiled& c, std::uint32_t function);

}  // namespace fedfrom::detail
