/// A step: events that happen together, as a value. Their order means nothing, but for that of uses.
///
///     Step both{.fail = {{"gen_l"}, {"gen_r"}}, .set = {{"standby_switch", "BATT"}}};
///     apply(state, both);                 // all of them, or none where one throws
///     Outcome out = settle(state);
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom {

/// A one-shot mode of a function.
struct UseRef {
    std::string function{}, mode{};
    auto operator<=>(const UseRef&) const = default;
};

struct Step {
    std::vector<FailureRef> fail{};
    std::vector<std::string> repair{}, reset{};
    std::map<std::string, std::string> set{};
    std::map<std::string, bool> given{};
    std::vector<UseRef> use{};  ///< in this order, which counts (rule M23)
    bool operator==(const Step&) const = default;
};

/// Applies a step: repairs and resets, then failures, then positions and givens, then uses.
/// Throws as State does, and then changes nothing.
inline void apply(State& state, const Step& step) {
    State next = state;
    for (const std::string& id : step.repair) next.repair(id);
    for (const std::string& id : step.reset) next.reset(id);
    for (const FailureRef& f : step.fail) next.fail(f.element, f.mode, f.at);
    for (const auto& [id, position] : step.set) next.set(id, position);
    for (const auto& [id, value] : step.given) next.given(id, value);
    for (const UseRef& u : step.use) next.use(u.function, u.mode);
    state = std::move(next);
}

}  // namespace fedfrom
