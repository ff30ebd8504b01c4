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

#include <algorithm>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/network/network.hpp>
#include <fedfrom/solve/event.hpp>
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
    /// Uses a one-shot mode of a function: takes from its stores what it spends, bars what it bars.
    State& use(std::string_view function, std::string_view mode) { return use(net_.one_shot(function, mode)); }

    State& fail(FailureHandle failure, std::uint32_t at = none) { return demand(Event::fail(failure, at)); }
    State& repair(ElementHandle element) { return demand(Event::repair(element)); }
    State& reset(ElementHandle element) { return demand(Event::reset(element)); }
    State& set(ElementHandle element, std::uint32_t position) { return demand(Event::set(element, position)); }
    State& given(GivenHandle given, bool value) { return demand(Event::given(given, value)); }
    State& use(OneShotHandle mode) { return demand(Event::use(mode)); }
    State& clear_all() { return demand(Event::clear_all()); }
    /// The same without an exception: says why an event is refused, and then changes nothing.
    Refusal apply(const Event& event);
    /// Takes a store as used up: it supplies nothing until repaired.
    State& spend(ElementHandle store);

    bool failed(FailureHandle f) const { return bit(compiled().failures[f.index].variable); }
    bool given(std::string_view id) const { return bit(compiled().givens[net_.given(id).index].variable); }
    /// Where the crew's hand has put it.
    std::string_view hand(std::string_view element) const;

    bool operator==(const State&) const = default;

    /// What a state remembers, as the settler reads and writes it.
    struct Memory {
        std::vector<One> values;                 ///< by memory variable
        Frozen<One> frozen;
        std::vector<std::uint8_t> resets_used;   ///< by element
        std::vector<std::uint16_t> taken;        ///< applications taken from a store, by element
        std::vector<std::uint8_t> readings;      ///< by element: the `shows` entry a frozen pointer stands at, or one of the two below
        explicit Memory(const Compiled& c)
            : values(c.memory_end), frozen(c), resets_used(c.elements.size()), taken(c.elements.size()), readings(c.elements.size(), blank) {}
        bool operator==(const Memory&) const = default;
    };
    static constexpr std::uint8_t blank = 255, not_known = 254;
    const Memory& remembered() const { return memory_; }
    void remember(Memory memory) { memory_ = std::move(memory); }

    std::span<const One> memory() const { return memory_.values; }
    const Frozen<One>& frozen() const { return memory_.frozen; }
    std::span<const std::uint8_t> readings() const { return memory_.readings; }
    void remember(std::span<const One> values, Frozen<One> frozen);
    void remember_reading(std::uint32_t element, std::uint8_t show) { memory_.readings[element] = show; }

private:
    Network net_;
    Memory memory_;

    /// How events write the memory.
    struct Writer {
        Memory& memory;
        bool bit(Variable v) const { return any(memory.values[v]); }
        void put(Variable v, bool on) { memory.values[v] = One::filled(on); }
        std::uint8_t& resets_used(std::uint32_t e) { return memory.resets_used[e]; }
        std::uint16_t& taken(std::uint32_t e) { return memory.taken[e]; }
        void forget_readings() { std::ranges::fill(memory.readings, blank); }
    };

    const Compiled& compiled() const { return net_.compiled(); }
    const ElementInfo& info(ElementHandle e) const { return compiled().elements[e.index]; }
    bool bit(Variable v) const { return any(memory_.values[v]); }
    State& demand(const Event& event);
};

// ---------------------------------------------------------------------------

inline State::State(Network net, bool all_holding) : net_(std::move(net)), memory_(compiled()) {
    memory_.values[0] = One::filled(true);
    Writer writer{memory_};
    for (const ElementInfo& e : compiled().elements) {
        for (const Variable first : {e.held, e.at_hand})
            if (first) detail::Happening(compiled(), writer).put_position(first, e.positions.size(), e.rest);
        if (e.holding) writer.put(e.holding, all_holding);
    }
    for (const GivenInfo& g : compiled().givens) writer.put(g.variable, g.initial);
}

inline Refusal State::apply(const Event& event) {
    Writer writer{memory_};
    const Refusal refusal = detail::Happening(compiled(), writer).apply(event);
    if (refusal == Refusal::none) memory_.frozen.clear();
    return refusal;
}

inline State& State::demand(const Event& event) {
    const Refusal refusal = apply(event);
    if (refusal == Refusal::no_such_thing) throw UnknownId(text(refusal, event, net_));
    if (refusal != Refusal::none) throw NotPossible(text(refusal, event, net_));
    return *this;
}

inline State& State::fail(std::string_view element, std::string_view mode, std::string_view at) {
    return demand(failure_event(net_, element, mode, at));
}

inline State& State::set(std::string_view element, std::string_view position) {
    const ElementHandle e = net_.element(element);
    return set(e, net_.position(e, position));
}

inline State& State::spend(ElementHandle store) {
    const ElementInfo& e = info(store);
    if (!e.empty) throw NotPossible("`" + *e.id + "` stores nothing that could be used up.");
    memory_.values[e.empty] = One::filled(true);
    memory_.frozen.clear();
    return *this;
}

inline std::string_view State::hand(std::string_view element) const {
    const ElementInfo& e = info(net_.element(element));
    for (std::uint32_t p = 0; e.at_hand && p < e.positions.size(); ++p)
        if (bit(e.at_hand + p)) return e.positions[p];
    throw NotPossible("Nobody sets `" + *e.id + "` directly.");
}

inline void State::remember(std::span<const One> values, Frozen<One> frozen) {
    memory_.values.assign(values.begin(), values.end());
    memory_.frozen = std::move(frozen);
}

}  // namespace fedfrom
