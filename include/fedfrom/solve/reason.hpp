/// Why something changed: the operand that decided.
///
/// From what changed the gates are walked towards their operands: of those that
/// changed, one that makes the gate what it now is, until one is a thing with a
/// name. Not the root of it all, which `why` finds, but the next link.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include <fedfrom/network/network.hpp>
#include <fedfrom/solve/evaluation.hpp>

namespace fedfrom {

struct Reason {
    enum class Kind : std::uint8_t {
        none,      ///< nothing that changed decides it alone: something hunts, several faults could have tripped it, or a state was loaded
        failure,   ///< inserted, or removed
        supply,    ///< an element has supply, or none
        passing,   ///< a device passes, or blocks
        hand,      ///< the crew's hand
        held,      ///< a position that is remembered
        given,
        trip,
        fault,     ///< a short, leak or jam drags an element down, or no longer
        spent,     ///< a store
        overload,  ///< of a source
        start,     ///< of what has to spin up
        run_down,  ///< of what gives for a while yet
        level,     ///< of a function
        one_shot,  ///< a mode was used, or its stores no longer hold what it takes
        delay,     ///< an element's own is over, and what sent it where it was sent is not known
    };
    Kind kind = Kind::none;
    std::uint32_t index = none;   ///< a failure, element, given, function or one-shot mode
    std::uint32_t position = 0;   ///< of `hand` and `held`
    bool on = false;              ///< it now is so
    bool late = false;            ///< it was so before, and the delay of what it sends somewhere is now over
    bool operator==(const Reason&) const = default;
};

/// A clause: "gen_l has no supply", "cb_radio blocks", "gear_handle set to DOWN". Empty for `none`.
std::string text(const Reason& reason, const Network& net);

namespace detail {

/// One state of an evaluation: what holds in it now, and what changed.
template <class W>
class Since {
public:
    explicit Since(const Evaluation<W>& evaluation, unsigned lane = 0) : values_(evaluation.values().data()), changes_(evaluation.changes()), lane_(lane) {}
    bool now(Literal l) const { return bit(values_[l.variable()]) != l.negated(); }
    bool changed(Literal l) const { return changes_.has(l.variable()) && bit(changes_.before(l.variable()) ^ values_[l.variable()]); }

private:
    const W* values_;
    const Journal<W>& changes_;
    unsigned lane_;
    bool bit(W value) const { return value.bits >> lane_ & 1; }
};

class Reasons {
public:
    explicit Reasons(const Compiled& c) : c_(c), names_(c.program.variables()), takes_supply_(c.failures.size()) {
        using Kind = Reason::Kind;
        const auto name = [&](Variable v, Reason reason) {
            if (v && names_[v].kind == Kind::none) names_[v] = reason;
        };
        for (std::uint32_t f = 0; f < c.failures.size(); ++f) {
            name(c.failures[f].variable, {Kind::failure, f});
            takes_supply_[f] = takes_supply(c.failures[f]);
        }
        for (std::uint32_t g = 0; g < c.givens.size(); ++g) name(c.givens[g].variable, {Kind::given, g});
        for (std::uint32_t i = 0; i < c.one_shots.size(); ++i)
            for (const Variable v : {c.one_shots[i].used, c.one_shots[i].exhausted}) name(v, {Kind::one_shot, i});
        for (const LevelInput& in : c.level_inputs) name(in.variable, {Kind::level, in.function});
        for (const ZoneInfo& z : c.zones) name(z.variable, {Kind::fault, z.element});
        for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
            const ElementInfo& info = c.elements[e];
            name(info.tripped, {Kind::trip, e});
            name(info.empty, {Kind::spent, e});
            name(info.overloaded, {Kind::overload, e});
            name(info.starting, {Kind::start, e});
            name(info.running_on, {Kind::run_down, e});
            name(info.holding, {Kind::supply, e});
            for (std::uint32_t p = 0; p < info.positions.size(); ++p) {
                if (info.at_hand) name(info.at_hand + p, {Kind::hand, e, p});
                if (info.held) name(info.held + p, {Kind::held, e, p});
            }
        }
        for (std::uint32_t e = 0; e < c.elements.size(); ++e)
            if (c.elements[e].supplied.variable() >= c.program.inputs) name(c.elements[e].supplied.variable(), {Kind::supply, e});
    }

    /// What made a literal what it now is; not by way of the variables of `ignored`.
    template <class W>
    Reason of(Literal l, const Since<W>& since, Range ignored = {}) const {
        constexpr int longest_walk = 64;  // a walk round a loop of supply ends somewhere too
        Variable v = l.variable();
        for (int i = 0; i < longest_walk && v != 0; ++i) {
            const Literal here = Literal::of(v);
            if (names_[v].kind != Reason::Kind::none || v < c_.program.inputs) return named(v, since);
            const Literal next = operand(c_.program.gates[v - c_.program.inputs], here, since, ignored);
            if (next == never) return {};
            v = next.variable();
        }
        return {};
    }

    /// Why an element has supply, or none.
    Reason of_supply(const ElementInfo& e, const Since<One>& since) const {
        for (std::uint32_t f = e.failures.first; f < e.failures.last; ++f)
            if (const Literal failure = Literal::of(c_.failures[f].variable); takes_supply_[f] && since.changed(failure))
                return named(failure.variable(), since);
        for (const Variable kept : {e.empty, e.overloaded, e.starting})
            if (kept && since.changed(Literal::of(kept))) return named(kept, since);
        for (std::uint32_t z = e.zones.first; z < e.zones.last; ++z)
            if (since.changed(Literal::of(c_.zones[z].variable))) return named(c_.zones[z].variable, since);
        for (std::uint32_t p = e.ports.first; p < e.ports.last; ++p)
            if (since.changed(c_.ports[p].supplied)) return of_port(c_.ports[p], since);
        if (e.running_on && since.changed(Literal::of(e.running_on))) return named(e.running_on, since);
        return of(e.needs, since);
    }

    /// Why a device has tripped: the fault, where only one is present; or that it is reset.
    Reason of_trip(const ElementInfo& e, const Since<One>& since) const {
        if (!since.now(Literal::of(e.tripped))) return named(e.tripped, since);
        Reason fault{};
        for (const ZoneInfo& z : c_.zones) {
            if (!since.now(z.seed)) continue;
            const Reason failure = named(z.seed.variable(), since);
            if (fault.kind != Reason::Kind::none && fault != failure) return {};
            fault = failure;
        }
        return fault;
    }

    /// Why something stands where it now does: what sent it there.
    Reason of_position(const ElementInfo& e, std::uint32_t position, const Since<One>& since) const {
        if (e.memory)
            for (const MemoryCell& cell : c_.memory_cells)
                if (&c_.elements[cell.element] == &e) return of(cell.sent[position], since, {e.held, e.held + static_cast<std::uint32_t>(e.positions.size())});
        return of(e.stands[position], since);
    }

private:
    const Compiled& c_;
    std::vector<Reason> names_;
    std::vector<std::uint8_t> takes_supply_;  // by failure

    template <class W>
    Reason named(Variable v, const Since<W>& since) const {
        Reason reason = names_[v];
        reason.on = since.now(Literal::of(v));
        // Where it no longer stands says less than where it now does.
        if (reason.kind == Reason::Kind::hand || reason.kind == Reason::Kind::held) {
            const ElementInfo& e = c_.elements[reason.index];
            const Variable first = reason.kind == Reason::Kind::hand ? e.at_hand : e.held;
            for (std::uint32_t p = 0; p < e.positions.size() && !reason.on; ++p)
                if (since.now(Literal::of(first + p))) reason = {reason.kind, reason.index, p, true};
        }
        return reason;
    }

    static bool is_in(Literal l, Range range) { return l.variable() >= range.first && l.variable() < range.last; }

    bool takes_supply(const FailureInfo& f) const {
        if (f.variable == c_.elements[f.element].loss) return true;
        const Range zones = c_.elements[f.element].zones;
        for (std::uint32_t z = zones.first; z < zones.last; ++z)
            if (c_.zones[z].seed == Literal::of(f.variable)) return true;
        return false;
    }

    /// Of the feeds, the first that changed with the port.
    Reason of_port(const PortInfo& port, const Since<One>& since) const {
        const bool on = since.now(port.supplied);
        for (std::uint32_t f = port.feeds.first; f < port.feeds.last; ++f) {
            const FeedInfo& feed = c_.feeds[f];
            if (!since.changed(feed.live) || since.now(feed.live) != on) continue;
            const Literal upstream = c_.elements[feed.upstream].supplied;
            if (since.changed(upstream) && since.now(upstream) == on) return {Reason::Kind::supply, feed.upstream, 0, on};
            for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d)
                if (since.changed(c_.devices[d].passes) && since.now(c_.devices[d].passes) == on) return {Reason::Kind::passing, c_.devices[d].element, 0, on};
            return of(feed.live, since);
        }
        return of(port.supplied, since);
    }

    /// The first operand that changed and makes the gate what it is; else the first that changed.
    template <class W>
    Literal operand(const Gate& g, Literal output, const Since<W>& since, Range ignored) const {
        const auto operands = c_.program.operands_of(g);
        if (g.op == Gate::Op::choose) {  // the branch not taken decides nothing, though it changed
            const Literal l = since.changed(operands[0]) ? operands[0] : operands[since.now(operands[0]) ? 1 : 2];
            return since.changed(l) && !is_in(l, ignored) ? l : never;
        }
        Literal first = never;
        for (const Literal l : operands) {
            if (!since.changed(l) || is_in(l, ignored)) continue;
            if (since.now(l) == since.now(output)) return l;
            if (first == never) first = l;
        }
        return first;
    }
};

}  // namespace detail

// ---------------------------------------------------------------------------

inline std::string text(const Reason& reason, const Network& net) {
    if (reason.late) {
        Reason sent = reason;
        sent.late = false;
        return text(sent, net) + ", and the delay is over";
    }
    const Compiled& c = net.compiled();
    const auto element = [&](std::uint32_t e) { return *c.elements[e].id; };
    switch (reason.kind) {
        case Reason::Kind::none: return {};
        case Reason::Kind::failure: return element(c.failures[reason.index].element) + " " + c.failures[reason.index].mode + (reason.on ? "" : " is repaired");
        case Reason::Kind::supply: return element(reason.index) + (reason.on ? " has supply" : " has no supply");
        case Reason::Kind::passing: return element(reason.index) + (reason.on ? " passes" : " blocks");
        case Reason::Kind::hand:
            return element(reason.index) + " set to " + std::string(c.elements[reason.index].positions[reason.position]);
        case Reason::Kind::held:
            return element(reason.index) + " stands at " + std::string(c.elements[reason.index].positions[reason.position]);
        case Reason::Kind::given: return *c.givens[reason.index].id + (reason.on ? " holds" : " no longer holds");
        case Reason::Kind::trip: return element(reason.index) + (reason.on ? " has tripped" : " is reset");
        case Reason::Kind::fault: return "a fault " + std::string(reason.on ? "drags down " : "no longer drags down ") + element(reason.index);
        case Reason::Kind::spent: return element(reason.index) + (reason.on ? " is spent" : " is filled");
        case Reason::Kind::overload: return element(reason.index) + (reason.on ? " is overloaded" : " is no longer overloaded");
        case Reason::Kind::start: return element(reason.index) + (reason.on ? " starts" : " has started");
        case Reason::Kind::run_down: return element(reason.index) + (reason.on ? " runs on" : " has run down");
        case Reason::Kind::level: return "the level of " + *c.functions[reason.index].id;
        case Reason::Kind::one_shot: return *c.functions[c.one_shots[reason.index].function].id + " by " + *c.one_shots[reason.index].mode + (reason.on ? " was used" : " can be used again");
        case Reason::Kind::delay: return "the delay of " + element(reason.index) + " is over";
    }
    return {};
}

}  // namespace fedfrom
