/// Observations as functions of a larger network, so that what judges functions judges candidates.
///
///     const Observed observed(settled, observations);
///     Outcome out = settle(state of observed.net());
///     observed.predicts(out, 0);        // true: as observed; no value: unknown
///
/// Each observation becomes a function with the hands and givens of its situation as its demand; it is normal where the reading is as
/// observed, and else lost. Beside them stand goals: that all of them are so, and for each that all but it are.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/diagnose.hpp>

namespace fedfrom::detail {

class Observed {
public:
    /// Throws UnknownId and NotPossible for what cannot be observed so.
    Observed(const State& settled, const std::vector<Observation>& observations);

    const State& state() const { return state_; }
    const Network& net() const { return state_.network(); }

    /// Of an outcome of the larger network.
    std::optional<bool> predicts(const Outcome& out, std::size_t observation) const;

    FunctionHandle all() const { return all_; }
    FunctionHandle all_but(std::size_t observation) const { return all_but_[observation]; }

private:
    State state_;
    std::vector<FunctionHandle> seen_, all_but_;
    FunctionHandle all_;
};

/// Throws as `diagnose` does for a situation or thing the aircraft has not.
void examine(const Network& net, const Demand& when);

}  // namespace fedfrom::detail
