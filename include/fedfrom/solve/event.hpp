/// Events by handle, and what the aircraft allows.
///
///     Event e = Event::fail(net.failure("gen_l"));
///     Refusal r = state.apply(e);          // nothing changes where it is refused
///     std::cout << text(r, e, net);
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include <fedfrom/model/resolve.hpp>
#include <fedfrom/network/network.hpp>

namespace fedfrom {

struct Event {
    enum class Kind : std::uint8_t { fail, repair, reset, set, given, use, clear_all };
    Kind kind = Kind::clear_all;
    std::uint32_t index = none;  ///< a failure; an element; a given; a function
    std::uint32_t value = none;  ///< the position it sticks in or is set to; the given's value; a one-shot mode (in Compiled::one_shots)

    /// `at`: the position it sticks in; `none`: what its author gave, else as it stands.
    static Event fail(FailureHandle failure, std::uint32_t at = none) { return {Kind::fail, failure.index, at}; }
    /// Removes an element's failures, refills, untrips and takes it back on line.
    static Event repair(ElementHandle element) { return {Kind::repair, element.index}; }
    /// Of what has tripped, or is off line because it was overloaded.
    static Event reset(ElementHandle element) { return {Kind::reset, element.index}; }
    static Event set(ElementHandle element, std::uint32_t position) { return {Kind::set, element.index, position}; }
    static Event given(GivenHandle given, bool value) { return {Kind::given, given.index, value}; }
    /// Takes from its stores what a one-shot mode takes, and bars what it bars.
    static Event use(OneShotHandle mode) { return {Kind::use, mode.index}; }
    /// As the aircraft stands with these hands and givens and nothing ever failed: undoes failures, trips, spent
    /// stores and one-shot modes, held positions and counted resets.
    static Event clear_all() { return {}; }
    bool operator==(const Event&) const = default;
};

/// Why an event is not possible.
enum class Refusal : std::uint8_t {
    none,
    no_such_thing,       ///< a handle of another network
    not_fitted,
    no_position,         ///< the element has no such position
    not_by_hand,         ///< nobody sets it directly
    does_not_trip,
    replaced_on_ground,
    no_reset_left,
    nothing_left,        ///< its stores no longer hold what it takes
    barred,              ///< another mode that was used bars it
};

/// By ids, as authors write it; `at` empty: nothing said. Throws UnknownId and NotPossible.
Event failure_event(const Network& net, std::string_view element, std::string_view mode, std::string_view at);

/// One sentence, empty for `Refusal::none`.
std::string text(Refusal refusal, const Event& event, const Network& net);

namespace detail {

/// What one event does to a memory: `bit` and `put` of memory variables, `resets_used` by element, `taken` applications by
/// element, `forget_readings`. Refuses before it changes anything.
template <class Memory>
class Happening {
public:
    Happening(const Compiled& c, Memory& memory) : c_(c), m_(memory) {}

    Refusal apply(const Event& e) {
        switch (e.kind) {
            case Event::Kind::fail: return e.index < c_.failures.size() ? fail(c_.failures[e.index], e.value) : Refusal::no_such_thing;
            case Event::Kind::repair: return e.index < c_.elements.size() ? repair(e.index) : Refusal::no_such_thing;
            case Event::Kind::reset: return e.index < c_.elements.size() ? reset(e.index) : Refusal::no_such_thing;
            case Event::Kind::set: return e.index < c_.elements.size() ? set(c_.elements[e.index], e.value) : Refusal::no_such_thing;
            case Event::Kind::given: return e.index < c_.givens.size() ? given(e.index, e.value != 0) : Refusal::no_such_thing;
            case Event::Kind::use: return e.index < c_.one_shots.size() ? use(c_.one_shots[e.index]) : Refusal::no_such_thing;
            case Event::Kind::clear_all: return clear_all();
        }
        return Refusal::no_such_thing;
    }

    void put_position(Variable first, std::size_t count, std::uint32_t position) {
        for (std::uint32_t p = 0; p < count; ++p) m_.put(first + p, p == position);
    }

private:
    const Compiled& c_;
    Memory& m_;

    Refusal fail(const FailureInfo& f, std::uint32_t at) {
        const ElementInfo& e = c_.elements[f.element];
        if (at != none && (!f.sticks || at >= e.positions.size())) return Refusal::no_position;
        if (f.sticks) {
            if (at == none) at = e.sticks_at;
            if (at != none) put_position(e.held, e.positions.size(), at);
        }
        m_.put(f.variable, true);
        return Refusal::none;
    }

    Refusal repair(std::uint32_t element) {
        const ElementInfo& e = c_.elements[element];
        for (std::uint32_t f = e.failures.first; f < e.failures.last; ++f) m_.put(c_.failures[f].variable, false);
        if (e.empty) fill(element);
        for (const Variable kept : {e.tripped, e.overloaded, e.starting, e.running_on})
            if (kept) m_.put(kept, false);
        m_.resets_used(element) = 0;
        return Refusal::none;
    }

    void fill(std::uint32_t store) {
        m_.put(c_.elements[store].empty, false);
        m_.taken(store) = 0;
        count_what_is_left();
    }

    Refusal reset(std::uint32_t element) {
        const ElementInfo& e = c_.elements[element];
        if (e.overloaded && m_.bit(e.overloaded)) {
            m_.put(e.overloaded, false);
            return Refusal::none;
        }
        if (!e.tripped) return Refusal::does_not_trip;
        if (!m_.bit(e.tripped)) return Refusal::none;
        if (reset_by_of(*e.element) == Reach::ground) return Refusal::replaced_on_ground;
        if (m_.resets_used(element) >= resets_of(*e.element)) return Refusal::no_reset_left;
        ++m_.resets_used(element);
        m_.put(e.tripped, false);
        return Refusal::none;
    }

    Refusal set(const ElementInfo& e, std::uint32_t position) {
        if (!e.fitted) return Refusal::not_fitted;
        if (!e.at_hand) return Refusal::not_by_hand;
        if (position >= e.positions.size()) return Refusal::no_position;
        put_position(e.at_hand, e.positions.size(), position);
        return Refusal::none;
    }

    Refusal given(std::uint32_t given, bool value) {
        m_.put(c_.givens[given].variable, value);
        return Refusal::none;
    }

    int holds(std::uint32_t store) const { return applications_of(*c_.elements[store].element->store); }

    Refusal use(const OneShotInfo& mode) {
        for (const std::uint32_t other : mode.barred_by)
            if (m_.bit(c_.one_shots[other].used)) return Refusal::barred;
        for (const auto& [store, count] : mode.spends)
            if (m_.bit(c_.elements[store].empty) || m_.taken(store) + count > holds(store)) return Refusal::nothing_left;
        for (const auto& [store, count] : mode.spends) {
            m_.taken(store) = static_cast<std::uint16_t>(m_.taken(store) + count);
            if (m_.taken(store) >= holds(store)) m_.put(c_.elements[store].empty, true);
        }
        m_.put(mode.used, true);
        count_what_is_left();
        return Refusal::none;
    }

    /// Which modes take more than their stores still hold. No mode takes more than its full stores hold.
    void count_what_is_left() {
        for (const OneShotInfo& mode : c_.one_shots) {
            bool short_of = false;
            for (const auto& [store, count] : mode.spends) short_of |= m_.taken(store) + count > holds(store);
            m_.put(mode.exhausted, short_of);
        }
    }

    Refusal clear_all() {
        for (const FailureInfo& f : c_.failures) m_.put(f.variable, false);
        for (std::uint32_t i = 0; i < c_.elements.size(); ++i) {
            const ElementInfo& e = c_.elements[i];
            m_.resets_used(i) = 0;
            m_.taken(i) = 0;
            for (const Variable kept : {e.tripped, e.empty, e.overloaded, e.starting, e.running_on})
                if (kept) m_.put(kept, false);
            if (e.held && e.memory) put_position(e.held, e.positions.size(), e.rest);  // elsewhere `held` says where it last stood, should it now stick
            if (e.holding) m_.put(e.holding, true);
        }
        for (const OneShotInfo& mode : c_.one_shots) {
            m_.put(mode.used, false);
            m_.put(mode.exhausted, false);
        }
        m_.forget_readings();
        return Refusal::none;
    }
};

}  // namespace detail

// ---------------------------------------------------------------------------

inline Event failure_event(const Network& net, std::string_view element, std::string_view mode, std::string_view at) {
    const FailureHandle failure = net.failure(element, mode);
    if (at.empty()) return Event::fail(failure);
    if (mode != "stuck") throw NotPossible(text(Refusal::no_position, Event::fail(failure, 0), net));
    return Event::fail(failure, net.position(net.element(element), at));
}

inline std::string text(Refusal refusal, const Event& event, const Network& net) {
    const Compiled& c = net.compiled();
    const auto element = [&]() -> const ElementInfo& { return c.elements[event.kind == Event::Kind::fail ? c.failures[event.index].element : event.index]; };
    switch (refusal) {
        case Refusal::none: return {};
        case Refusal::no_such_thing: return "This handle names nothing in " + net.model().name + ".";
        case Refusal::not_fitted: return "`" + *element().id + "` is not fitted in this aircraft.";
        case Refusal::no_position:
            if (event.kind == Event::Kind::fail && !c.failures[event.index].sticks)
                return "Only `stuck` can be at a position; `" + c.failures[event.index].mode + "` of `" + *element().id + "` cannot.";
            return "`" + *element().id + "` has no position " + std::to_string(event.value) + "; it has " + std::to_string(element().positions.size()) + ".";
        case Refusal::not_by_hand:
            return "Nobody sets `" + *element().id + "` directly: it " + (element().element->follows ? "follows `" + element().element->follows->leader + "`." : "moves by itself.");
        case Refusal::does_not_trip: return "`" + *element().id + "` does not trip, so there is nothing to reset.";
        case Refusal::replaced_on_ground: return "`" + *element().id + "` is replaced on the ground; repair it instead of resetting it.";
        case Refusal::no_reset_left: return "`" + *element().id + "` has been reset as often as it may be (" + std::to_string(resets_of(*element().element)) + ").";
        case Refusal::nothing_left: return "`" + *c.one_shots[event.index].mode + "` of `" + *c.functions[c.one_shots[event.index].function].id + "` takes more than its stores still hold.";
        case Refusal::barred: return "`" + *c.one_shots[event.index].mode + "` of `" + *c.functions[c.one_shots[event.index].function].id + "` is barred by what was used before.";
    }
    return {};
}

}  // namespace fedfrom
