/// A state: which failures are present, where the crew's hands are, and what the
/// aircraft remembers (held positions, trips, who is holding, what is empty).
///
///     State state = running_state(net);
///     state.fail("gen_l").fail("fuel_valve_l", "stuck").set("standby_switch", "BATT");
///     Outcome out = settle(state);         // the state now remembers
///
/// A plain value: copy it, compare it. Events only take effect when settled; their
/// order within one step does not matter. Handles never throw for being unknown;
/// ids throw UnknownId with the nearest one, events the aircraft does not allow
/// throw NotPossible and change nothing.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/network/network.hpp>
#include <fedfrom/solve/settler.hpp>

namespace fedfrom {

class State {
public:
    /// Nothing failed, everything at rest, not settled yet. Use running_state or cold_state.
    State(Network net, bool all_holding);

    const Network& network() const { return net_; }

    State& fail(std::string_view element, std::string_view mode = "loss", std::string_view at = {});
    State& repair(std::string_view element) { return repair(net_.element(element)); }
    State& reset(std::string_view element) { return reset(net_.element(element)); }
    State& set(std::string_view element, std::string_view position);
    State& given(std::string_view id, bool value) { return given(net_.given(id), value); }

    /// `at`: the position it sticks in; `none`: what its author gave, else as it stands.
    State& fail(FailureHandle failure, std::uint32_t at = none);
    State& repair(ElementHandle element);
    State& reset(ElementHandle element);
    State& set(ElementHandle element, std::uint32_t position);
    State& given(GivenHandle given, bool value);
    /// Takes a store as used up: it supplies nothing until repaired.
    State& spend(ElementHandle store);

    bool failed(FailureHandle f) const { return bit(compiled().failures[f.index].variable); }
    bool given(std::string_view id) const { return bit(compiled().givens[net_.given(id).index].variable); }
    /// Where the crew's hand has put it.
    std::string_view hand(std::string_view element) const;

    bool operator==(const State&) const = default;

    /// The memory as the settler reads and writes it, one per memory variable.
    std::span<const One> memory() const { return memory_; }
    const Frozen<One>& frozen() const { return frozen_; }
    /// By element: the `shows` entry a frozen pointer stands at, or one of the two below.
    std::span<const std::uint8_t> readings() const { return readings_; }
    static constexpr std::uint8_t blank = 255, not_known = 254;
    void remember(std::span<const One> memory, Frozen<One> frozen);
    void remember_reading(std::uint32_t element, std::uint8_t show) { readings_[element] = show; }

private:
    Network net_;
    std::vector<One> memory_;
    Frozen<One> frozen_;
    std::vector<std::uint8_t> resets_used_;  // by element
    std::vector<std::uint8_t> readings_;     // by element

    const Compiled& compiled() const { return net_.compiled(); }
    const ElementInfo& info(ElementHandle e) const { return compiled().elements[e.index]; }
    bool bit(Variable v) const { return any(memory_[v]); }
    void put(Variable v, bool on) {
        memory_[v] = One::filled(on);
        frozen_.clear();
    }
    void put_position(Variable first, std::size_t count, std::uint32_t position) {
        for (std::uint32_t p = 0; p < count; ++p) put(first + p, p == position);
    }
};

// ---------------------------------------------------------------------------

inline State::State(Network net, bool all_holding)
    : net_(std::move(net)), memory_(compiled().memory_end), frozen_(compiled()),
      resets_used_(compiled().elements.size(), 0), readings_(compiled().elements.size(), blank) {
    memory_[0] = One::filled(true);
    for (const ElementInfo& e : compiled().elements) {
        if (e.held) put_position(e.held, e.positions.size(), e.rest);
        if (e.at_hand) put_position(e.at_hand, e.positions.size(), e.rest);
        if (e.holding) put(e.holding, all_holding);
    }
    for (const GivenInfo& g : compiled().givens) put(g.variable, g.initial);
}

inline State& State::fail(std::string_view element, std::string_view mode, std::string_view at) {
    const FailureHandle f = net_.failure(element, mode);
    if (at.empty()) return fail(f);
    if (mode != "stuck") throw NotPossible("Only `stuck` can be at a position; `" + std::string(mode) + "` of `" + std::string(element) + "` cannot.");
    return fail(f, net_.position(net_.element(element), at));
}

inline State& State::fail(FailureHandle failure, std::uint32_t at) {
    const FailureInfo& f = compiled().failures[failure.index];
    const ElementInfo& e = compiled().elements[f.element];
    if (f.mode == "stuck") {
        const auto written = e.element->failures.find("stuck");
        if (at == none && written != e.element->failures.end() && !written->second.at.empty())
            at = net_.position({f.element}, written->second.at);
        if (at != none) put_position(e.held, e.positions.size(), at);
    }
    put(f.variable, true);
    return *this;
}

inline State& State::repair(ElementHandle element) {
    const ElementInfo& e = info(element);
    for (std::uint32_t f = e.failures.first; f < e.failures.last; ++f) put(compiled().failures[f].variable, false);
    if (e.empty) put(e.empty, false);
    if (e.tripped) put(e.tripped, false);
    resets_used_[element.index] = 0;
    return *this;
}

inline State& State::reset(ElementHandle element) {
    const ElementInfo& e = info(element);
    if (!e.tripped) throw NotPossible("`" + *e.id + "` does not trip, so there is nothing to reset.");
    if (!bit(e.tripped)) return *this;
    if (reset_by_of(*e.element) == Reach::ground)
        throw NotPossible("`" + *e.id + "` is replaced on the ground; repair it instead of resetting it.");
    if (resets_used_[element.index] >= resets_of(*e.element))
        throw NotPossible("`" + *e.id + "` has been reset as often as it may be (" + std::to_string(resets_of(*e.element)) + ").");
    ++resets_used_[element.index];
    put(e.tripped, false);
    return *this;
}

inline State& State::set(std::string_view element, std::string_view position) {
    const ElementHandle e = net_.element(element);
    return set(e, net_.position(e, position));
}

inline State& State::set(ElementHandle element, std::uint32_t position) {
    const ElementInfo& e = info(element);
    if (!e.fitted) throw NotPossible("`" + *e.id + "` is not fitted in this aircraft.");
    if (!e.at_hand) throw NotPossible("Nobody sets `" + *e.id + "` directly: it " + (e.element->follows ? "follows `" + e.element->follows->leader + "`." : "moves by itself."));
    put_position(e.at_hand, e.positions.size(), position);
    return *this;
}

inline State& State::given(GivenHandle given, bool value) {
    put(compiled().givens[given.index].variable, value);
    return *this;
}

inline State& State::spend(ElementHandle store) {
    const ElementInfo& e = info(store);
    if (!e.empty) throw NotPossible("`" + *e.id + "` stores nothing that could be used up.");
    put(e.empty, true);
    return *this;
}

inline std::string_view State::hand(std::string_view element) const {
    const ElementInfo& e = info(net_.element(element));
    for (std::uint32_t p = 0; e.at_hand && p < e.positions.size(); ++p)
        if (bit(e.at_hand + p)) return e.positions[p];
    throw NotPossible("Nobody sets `" + *e.id + "` directly.");
}

inline void State::remember(std::span<const One> memory, Frozen<One> frozen) {
    memory_.assign(memory.begin(), memory.end());
    frozen_ = std::move(frozen);
}

}  // namespace fedfrom
