/// One settled aircraft with different things failed in it, and what is read in each while the same steps are taken.
///
///     Player player(settled);
///     auto read = player.play({{}, {net.failure("main_l")}}, {{.act = {.set = {{"standby_switch", "BATT"}}}, .look_at = {light}}});
///     read[1][0][0];      // what the light shows with the failure, once the switch is at BATT
///
/// The failures of a set are added to the settled state in one step; then the steps are taken one after the other, each settled
/// before the next. 64 sets stand side by side in one word; where something hunts, a set is played alone.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

/// What is seen of an element with `shows`, its supply being as it is (`seen_as`); no value where unknown.
using Reading = std::optional<std::string>;

/// Hands and givens set, then some things looked at. Hands that are not fitted are left out.
struct Turn {
    Demand act{};
    std::vector<std::uint32_t> look_at{};  ///< elements with `shows`, or that are not fitted
};

class Player {
public:
    explicit Player(State settled) : from_(std::move(settled)), c_(from_.network().compiled()) {}

    /// By set, turn and place in `look_at`.
    using Readings = std::vector<std::vector<std::vector<Reading>>>;
    /// O(sets / 64 · turns · network).
    Readings play(const std::vector<std::vector<FailureHandle>>& sets, const std::vector<Turn>& turns) const;

private:
    State from_;
    const Compiled& c_;

    std::vector<std::vector<Reading>> alone(const std::vector<FailureHandle>& set, const std::vector<Turn>& turns) const;
};

/// Every fitted element that shows anything.
std::vector<std::uint32_t> indicators(const Compiled& c);

/// Sets hands and givens; hands that are not fitted are left out.
void take(State& state, const Demand& act);

}  // namespace fedfrom::detail
