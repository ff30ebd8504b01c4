/// Compile step 3: conditions, positions and supply as gates.
///
/// "Does this element stand in one of these positions?" is asked of position
/// *sets*, each a gate of its own, so that standing in a set depends positively
/// on what leads into it and negatively on what leads out: a contactor whose
/// coil hangs on the bus it feeds is a loop without negation, and has a meaning.
/// For the same reason a negated condition is pushed down to the supplies and
/// positions it names. Answers are reserved first and defined from a list, not
/// by recursion.
#pragma once

#include <span>
#include <string>
#include <utility>
#include <vector>

#include <fedfrom/network/draft.hpp>

namespace fedfrom::detail {

class Logic {
public:
    explicit Logic(Draft& draft) : d_(draft), out_(draft.out), g_(draft.gates) {}

    /// Supply of every element, and every position it hangs on.
    void run() {
        g_.expect(6 * out_.elements.size());  // about what a model of breakers, relays and consumers takes
        for (std::uint32_t e = 0; e < out_.elements.size(); ++e) {
            if (!out_.elements[e].fitted) continue;
            as_supply_of(e);
            out_.elements[e].gate = g_.reserve();
            out_.elements[e].supplied = g_.output(out_.elements[e].gate);
        }
        for (std::uint32_t e = 0; e < out_.elements.size(); ++e)
            if (out_.elements[e].fitted) define_supply(e);
        define_asked();
        for (const std::uint32_t e : out_.protecting) define_protection(e);
        define_asked();
    }

    /// Where each memory cell is sent once an evaluation is done.
    void run_commands() {
        start(Stage::command);
        for (MemoryCell& cell : out_.memory_cells) {
            g_.owner = cell.element;
            const auto positions = static_cast<std::uint32_t>(out_.elements[cell.element].positions.size());
            for (std::uint32_t p = 0; p < positions; ++p)
                cell.sent.push_back(positions == 2 && p == 1 ? !cell.sent.front() : decided(cell.element, 1u << p, true));
            if (out_.elements[cell.element].element->after_s > 0) cell.commanded = commanded(cell.element);
        }
        define_asked();
    }

    /// Where everything stands and what everything shows.
    void run_report() {
        start(Stage::report);
        out_.reported.reserve(d_.reported);  // elements point into it, so it must not move
        const auto since = [&](std::size_t first) { return std::span<const Literal>(out_.reported).subspan(first); };
        for (std::uint32_t e = 0; e < out_.elements.size(); ++e) {
            ElementInfo& info = out_.elements[e];
            if (!info.fitted) continue;
            g_.owner = e;
            const std::size_t stands = out_.reported.size();
            for (std::uint32_t p = 0; p < info.positions.size(); ++p) out_.reported.push_back(stands_in(e, 1u << p));
            info.stands = since(stands);
            if (info.passes_in || d_.kind(e).one_way) info.passes = passes(e, info.passes_in);
            const std::size_t shows = out_.reported.size();
            for (const Show& show : info.element->shows) out_.reported.push_back(condition(show.when));
            info.shows = since(shows);
        }
        define_asked();
    }

    void start(Stage stage) {
        g_.stage = stage;
        g_.position = false;
        // Fresh ones: clearing a table that was once large costs its size, and there are many functions.
        d_.known_here.forget();
        if (!d_.opposites.empty()) d_.opposites = {};
    }

    Literal condition(const Condition& c) {
        switch (c.op) {
            case Condition::Op::all: return g_.all(conditions(c.of));
            case Condition::Op::any: return g_.any(conditions(c.of));
            case Condition::Op::at_least: return g_.at_least(c.count, conditions(c.of));
            case Condition::Op::negation: return opposite(condition(c.of.front()));
            case Condition::Op::given: return Literal::of(out_.givens[index_of(out_.givens, c.id)].variable);
            case Condition::Op::level: return level_at_least(c);
            case Condition::Op::supplied:
            case Condition::Op::at:
            case Condition::Op::passes:
            case Condition::Op::tripped:
            case Condition::Op::set:
            case Condition::Op::contact:
            case Condition::Op::failure: return of_element(c, d_.ids.find(c.id, d_.conditions_trail));
        }
        return never;
    }

    /// Defines every position asked for since the last call.
    void define_asked() {
        while (!d_.open.empty()) {
            const Draft::Open ask = d_.open.back();
            d_.open.pop_back();
            const bool position = std::exchange(g_.position, true);
            const std::uint32_t owner = g_.owner;
            if (g_.stage != Stage::function) g_.owner = ask.element;
            g_.define_as(ask.gate, decided(ask.element, ask.positions, false));
            g_.position = position;
            g_.owner = owner;
        }
    }

private:
    Draft& d_;
    Compiled& out_;
    GateBuilder& g_;
    struct Case {
        Literal match, value;
    };
    std::vector<Case> cases_;  // of the position being decided

    void as_supply_of(std::uint32_t e) {
        g_.stage = Stage::logic;
        g_.position = false;
        g_.owner = e;
    }

    /// What a condition says of the element it is about.
    Literal of_element(const Condition& c, std::uint32_t e) {
        const ElementInfo& info = out_.elements[e];
        if (!info.fitted) {
            d_.met_unfitted = true;
            return never;
        }
        switch (c.op) {
            case Condition::Op::supplied: return info.supplied;
            case Condition::Op::at: return stands_in(e, d_.position_bit(e, c.word));
            case Condition::Op::passes: return passes(e, info.passes_in);
            case Condition::Op::tripped: return Literal::of(info.tripped);
            case Condition::Op::set: return set_to(e, d_.position(e, c.word));
            case Condition::Op::contact: return g_.all({stands_in(e, d_.position_bit(e, c.word)), !lost_contacts(e), !open_contacts(e)});
            case Condition::Op::failure: return d_.failed(e, c.word);
            default: return never;
        }
    }

    Operands conditions(const std::vector<Condition>& list) {
        Operands literals;
        for (const Condition& c : list) literals.push_back(condition(c));
        return literals;
    }

    /// Functions are compiled after those they read: one without a mode is known not to be fitted.
    Literal level_at_least(const Condition& c) {
        const std::uint32_t f = index_of(out_.functions, c.id);
        if (out_.functions[f].modes.empty()) {
            d_.met_unfitted = true;
            return never;
        }
        for (const LevelInput& in : out_.level_inputs)
            if (in.function == f && name_of(in.at_least) == c.word) return Literal::of(in.variable);
        return never;
    }

    Literal set_to(std::uint32_t e, std::uint32_t position) const { return Literal::of(out_.elements[e].at_hand + position); }

    Literal any_bit(Variable first, std::uint32_t e, std::uint32_t positions) {
        if (positions == 0) return never;
        if (positions == d_.all_positions(e)) return always;
        Operands bits;
        for (std::uint32_t p = 0; p < out_.elements[e].positions.size(); ++p)
            if (positions >> p & 1) bits.push_back(Literal::of(first + p));
        return g_.any(bits);
    }
    Literal held_in(std::uint32_t e, std::uint32_t positions) { return any_bit(out_.elements[e].held, e, positions); }

    /// Either of the two makes it blank: it passes nothing and makes no contact, wherever it stands.
    Literal lost_contacts(std::uint32_t e) const { return out_.elements[e].blanked_by_loss ? d_.failed(e, Asked::loss) : never; }
    Literal open_contacts(std::uint32_t e) const { return d_.failed(e, Asked::contacts); }

    Literal stands_in(std::uint32_t e, std::uint32_t positions) {
        if (positions == 0) return never;
        if (positions == d_.all_positions(e)) return always;
        if (const auto known = d_.known.find(e, positions)) return *known;
        // Once the logic is done, standing outside a set is simply not standing in it; within it, that would be a negation.
        const bool later = g_.stage != Stage::logic;
        if (later)
            if (const auto known = d_.known_here.find(e, positions)) return *known;
        if (later)
            if (const auto known = d_.known.find(e, positions ^ d_.all_positions(e))) return !*known;
        const bool position = std::exchange(g_.position, true);
        const std::uint32_t owner = g_.owner;
        if (g_.stage != Stage::function) g_.owner = e;
        const std::uint32_t gate = g_.reserve();
        g_.position = position;
        g_.owner = owner;
        d_.open.push_back({e, positions, gate});
        (later ? d_.known_here : d_.known).add(e, positions, g_.output(gate));
        return g_.output(gate);
    }

    Literal passes(std::uint32_t e, std::uint32_t positions) {
        const ElementInfo& info = out_.elements[e];
        if (d_.kind(e).one_way) return !d_.failed(e, Asked::loss);
        const bool blows = info.tripped && info.trip_position == none;
        return g_.all({stands_in(e, positions), !lost_contacts(e), !open_contacts(e), blows ? !Literal::of(info.tripped) : always});
    }

    /// What holds where `l` does not; only supplies, position sets and inputs are negated in it.
    Literal opposite(Literal l) {
        if (l.negated() || l.variable() < g_.inputs) return !l;
        const std::uint32_t gate = l.variable() - g_.inputs;
        if (g_.gates[gate].reserved) return !l;
        if (const auto it = d_.opposites.find(gate); it != d_.opposites.end()) return it->second;
        const Gate::Op op = g_.gates[gate].op;
        const std::int64_t count = g_.gates[gate].count;
        Operands operands(g_.operands(g_.gates[gate]));
        if (op == Gate::Op::choose)
            return d_.opposites[gate] = g_.choose(operands[0], opposite(operands[1]), opposite(operands[2]));
        for (Literal& o : operands) o = opposite(o);
        const auto n = static_cast<std::int64_t>(operands.size());
        const std::int64_t enough = op == Gate::Op::all ? 1 : op == Gate::Op::any ? n : n - count + 1;
        return d_.opposites[gate] = g_.at_least(enough, std::move(operands));
    }

    /// First match wins. A match whose value cannot matter leaves no trace, and one
    /// that can only help is not negated: the strata depend on both.
    Literal decide(std::span<const Case> cases, Literal otherwise) {
        Literal result = otherwise;
        for (auto c = cases.rbegin(); c != cases.rend(); ++c) {
            if (c->value == result) continue;
            if (c->value == always) result = g_.any({c->match, result});
            else if (c->value == never) result = g_.all({opposite(c->match), result});
            else result = g_.choose(c->match, c->value, result);
        }
        return result;
    }

    /// Rule M6 as a list of cases, first match wins. `sent`: where memory is sent; else where it stands.
    Literal decided(std::uint32_t e, std::uint32_t positions, bool sent) {
        const ElementInfo& info = out_.elements[e];
        const Literal stuck = d_.failed(e, Asked::stuck);
        const auto lies = [&](std::uint32_t p) { return positions >> p & 1 ? always : never; };
        std::vector<Case>& cases = cases_;
        cases.clear();
        if (stuck != never) cases.push_back({stuck, held_in(e, positions)});
        if (info.tripped && info.trip_position != none) cases.push_back({Literal::of(info.tripped), lies(info.trip_position)});
        if (info.memory && !sent) return decide(cases, held_in(e, positions));

        const std::vector<Without>& without = d_.without(*info.element);
        const auto goes_without = [&](const Without& w) {
            return w.position == stays ? held_in(e, positions) : lies(d_.position(e, w.position));
        };
        if (!without.empty()) cases.push_back({d_.failed(e, Asked::loss), goes_without(without.front())});
        for (const Without& w : without) cases.push_back({opposite(supplied_or_held(e, w.port)), goes_without(w)});
        if (info.memory) cases.push_back({!info.supplied, held_in(e, positions)});

        const Literal rest = lies(info.rest);
        if (info.hand) return decide(cases, any_bit(info.at_hand, e, positions));
        if (info.element->follows) {
            const std::uint32_t leader = d_.element(info.element->follows->leader);
            const Literal adrift = without.empty() ? rest : goes_without(without.front());
            if (!out_.elements[leader].fitted) return decide(cases, adrift);
            for (const Literal blank : {lost_contacts(leader), open_contacts(leader)}) cases.push_back({blank, adrift});
            return decide(cases, stands_in(leader, led_by(e, leader, positions)));
        }
        for (const Move& move : info.element->goes) cases.push_back({condition(move.when), lies(d_.position(e, move.to))});
        return decide(cases, rest);
    }

    /// None of rule M6's cases 1 to 4: what is sent anywhere is sent by its hand or its logic.
    Literal commanded(std::uint32_t e) {
        const ElementInfo& info = out_.elements[e];
        const std::vector<Without>& without = d_.without(*info.element);
        Operands all{!d_.failed(e, Asked::stuck)};
        if (info.tripped && info.trip_position != none) all.push_back(!Literal::of(info.tripped));
        if (!without.empty()) all.push_back(!d_.failed(e, Asked::loss));
        for (const Without& w : without) all.push_back(supplied_or_held(e, w.port));
        return g_.all(all);
    }

    /// The leader's positions that put a follower into `positions`.
    std::uint32_t led_by(std::uint32_t e, std::uint32_t leader, std::uint32_t positions) const {
        const ElementInfo& info = out_.elements[e];
        const auto& map = info.element->follows->map;
        std::uint32_t led = 0;
        for (std::uint32_t p = 0; p < out_.elements[leader].positions.size(); ++p) {
            const std::string_view word = out_.elements[leader].positions[p];
            std::uint32_t to = info.rest;
            if (map.empty()) to = d_.position(e, word);
            else if (const auto it = map.find(std::string(word)); it != map.end()) to = d_.position(e, it->second);
            if (to == none) to = info.rest;
            if (positions >> to & 1) led |= 1u << p;
        }
        return led;
    }

    /// A self-holding relay taken as supplied must also stand as if it were.
    Literal supplied_or_held(std::uint32_t e, std::string_view port) {
        const Literal supplied = port_supplied(e, port);
        return out_.elements[e].holding ? g_.any({supplied, out_.elements[e].supplied}) : supplied;
    }

    Literal port_supplied(std::uint32_t e, std::string_view name) const {
        for (std::uint32_t p = out_.elements[e].ports.first; p < out_.elements[e].ports.last; ++p)
            if (out_.ports[p].name == name) return out_.ports[p].supplied;
        return never;
    }

    void define_supply(std::uint32_t e) {
        as_supply_of(e);
        ElementInfo& info = out_.elements[e];
        Operands all{!d_.failed(e, Asked::loss)};
        for (std::uint32_t z = info.zones.first; z < info.zones.last; ++z) all.push_back(!Literal::of(out_.zones[z].variable));
        for (const Variable kept : {info.empty, info.overloaded, info.starting})
            if (kept) all.push_back(!Literal::of(kept));
        // What runs on does without what it can do without, not without the rest.
        const auto unless_running_on = [&](Literal l, bool can_do_without) { return can_do_without ? g_.any({Literal::of(info.running_on), l}) : l; };
        if (info.element->needs) info.needs = condition(*info.element->needs);
        all.push_back(unless_running_on(info.needs, info.element->run_down_s > 0));
        for (std::uint32_t p = info.ports.first; p < info.ports.last; ++p) all.push_back(unless_running_on(define_port(p), runs_without_s(*info.element, out_.ports[p].name) > 0));
        all.erase(always);
        g_.define(info.gate, all);
    }

    Literal define_port(std::uint32_t p) {
        PortInfo& port = out_.ports[p];
        Operands live;
        for (std::uint32_t f = port.feeds.first; f < port.feeds.last; ++f) live.push_back(define_feed(f, port.medium));
        port.supplied = port.join == Port::Join::at_least ? g_.at_least(port.count, std::move(live)) : g_.any(live);
        return port.supplied;
    }

    Literal define_feed(std::uint32_t f, std::uint32_t medium) {
        FeedInfo& feed = out_.feeds[f];
        Operands path, live{out_.elements[feed.upstream].supplied};
        for (std::uint32_t i = feed.devices.first; i < feed.devices.last; ++i) {
            DeviceAt& device = out_.devices[i];
            device.passes = passes(device.element, device.positions);
            path.push_back(device.passes);
            if (feed.origin == FeedInfo::Origin::backwards && d_.kind(device.element).one_way)
                path.push_back(d_.failed(device.element, Asked::short_));
            if (const std::uint32_t z = d_.zone(device.element, medium); z != none) live.push_back(!Literal::of(out_.zones[z].variable));
        }
        feed.path = g_.all(path);
        live.push_back(feed.path);
        return feed.live = g_.all(live);
    }

    void define_protection(std::uint32_t e) {
        as_supply_of(e);
        ElementInfo& info = out_.elements[e];
        const auto& protection = info.element->protects;
        info.works = g_.all({!Literal::of(info.tripped), !d_.failed(e, Asked::no_trip), !d_.failed(e, Asked::stuck), !d_.failed(e, Asked::loss), !open_contacts(e),
                             protection && protection->needs ? condition(*protection->needs) : always});
    }
};

}  // namespace fedfrom::detail
