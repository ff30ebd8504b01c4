/// A step: events that happen together, as a value. Their order means nothing, but for that of `use`.
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

/// A one-shot mode of a function that is used.
struct UseRef {
    std::string function{}, mode{};
    auto operator<=>(const UseRef&) const = default;
};

struct Step {
    std::vector<FailureRef> fail{};
    std::vector<std::string> repair{}, reset{};
    std::map<std::string, std::string> set{};
    std::map<std::string, bool> given{};
    std::vector<UseRef> use{};  ///< one after the other, as listed: the last application of a store goes to who comes first
    bool clear_all = false;     ///< before everything else
    bool operator==(const Step&) const = default;
};

/// The events of a step by handle, as they are applied: all cleared, then repairs and resets, failures, positions and givens, uses.
/// Throws UnknownId and NotPossible for what the aircraft has not.
inline std::vector<Event> events_of(const Step& step, const Network& net) {
    std::vector<Event> events;
    if (step.clear_all) events.push_back(Event::clear_all());
    for (const std::string& id : step.repair) events.push_back(Event::repair(net.element(id)));
    for (const std::string& id : step.reset) events.push_back(Event::reset(net.element(id)));
    for (const FailureRef& f : step.fail) events.push_back(failure_event(net, f.element, f.mode, f.at));
    for (const auto& [id, position] : step.set) events.push_back(Event::set(net.element(id), net.position(net.element(id), position)));
    for (const auto& [id, value] : step.given) events.push_back(Event::given(net.given(id), value));
    for (const UseRef& u : step.use) events.push_back(Event::use(net.one_shot(u.function, u.mode)));
    return events;
}

/// Applies a step. Throws as State does, and then changes nothing.
inline void apply(State& state, const Step& step) {
    State next = state;
    for (const Event& event : events_of(step, state.network())) {
        const Refusal refusal = next.apply(event);
        if (refusal != Refusal::none) throw NotPossible(text(refusal, event, next.network()));
    }
    state = std::move(next);
}

}  // namespace fedfrom
