// The compiled program read with formulas for words: inputs that nothing writes are constants, those that a failure
// writes are its variable, or any of those that bring it, and every gate is a gate of the formula.
//
// A loop's least fixed point is unrolled from all dead, sweep by sweep (loop_sweeps.hpp).
#include "goal_formula.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <span>
#include <tuple>
#include <utility>

#include <fedfrom/solve/cone.hpp>
#include <fedfrom/solve/writes.hpp>

#include "loop_sweeps.hpp"

namespace fedfrom::detail {
namespace {

/// Gates of a formula with constants folded and equal gates made once. Operands stay in the order of the program, which is the author's: orders go by it.
class Builder {
public:
    explicit Builder(std::uint32_t variables) : formula(variables) {}

    Formula formula;

    Term at_least(std::uint32_t k, std::vector<Term> operands) {
        const auto certain = static_cast<std::uint32_t>(std::ranges::count(operands, Formula::always));
        if (certain >= k) return Formula::always;
        k -= certain;
        std::erase_if(operands, [](Term t) { return t == Formula::always || t == Formula::never; });
        if (k > operands.size()) return Formula::never;
        if (operands.size() == 1) return operands.front();
        std::vector<Term> sorted = operands;
        std::ranges::sort(sorted);
        if ((k == 1 || k == operands.size()) && std::ranges::adjacent_find(sorted) != sorted.end()) {
            // Else a loop would never come to rest before its last round.
            sorted.erase(std::unique(sorted.begin(), sorted.end()), sorted.end());
            std::set<Term> seen;
            std::erase_if(operands, [&](Term t) { return !seen.insert(t).second; });
            if (operands.size() == 1) return operands.front();
            k = std::min(k, static_cast<std::uint32_t>(operands.size()));
        }
        const auto [it, added] = known_.try_emplace({k, std::move(sorted)});
        if (added) it->second = formula.at_least(k, operands);
        return it->second;
    }
    Term any(std::vector<Term> operands) { return at_least(1, std::move(operands)); }
    Term all(std::vector<Term> operands) {
        const auto n = static_cast<std::uint32_t>(operands.size());
        return n == 0 ? Formula::always : at_least(n, std::move(operands));
    }

private:
    std::map<std::pair<std::uint32_t, std::vector<Term>>, Term> known_;
};

/// The program under one demand.
class FormulaReading {
public:
    FormulaReading(const Program& p, Builder& builder, std::vector<Term> inputs, const Cone& cone) : p_(p), b_(builder), at_(std::move(inputs)), cone_(cone) {
        at_.resize(p_.variables(), Formula::never);
        for (const Component& component : p_.logic_components()) {
            if (component.cyclic) loop(component);
            else run(component.first, component.last);
        }
    }

    /// A function's modes, with the levels it reads put in.
    void judge() { run(p_.logic_end, static_cast<std::uint32_t>(p_.gates.size())); }
    void put(Variable v, Term t) { at_[v] = t; }
    Term operator()(Literal l) const { return at_[l.variable()].negated_if(l.negated()); }

private:
    const Program& p_;
    Builder& b_;
    std::vector<Term> at_;  // by variable
    const Cone& cone_;

    void run(std::uint32_t first, std::uint32_t last) {
        for (std::uint32_t g = first; g < last; ++g)
            if (cone_.gates[g]) evaluate(g);
    }

    void evaluate(std::uint32_t g) { at_[p_.output(g)] = gate(p_.gates[g]); }

    Term gate(const Gate& g) {
        std::vector<Term> operands;
        for (const Literal l : p_.operands_of(g)) operands.push_back((*this)(l));
        switch (g.op) {
            case Gate::Op::all: return b_.all(std::move(operands));
            case Gate::Op::any: return b_.any(std::move(operands));
            case Gate::Op::at_least: return b_.at_least(g.count, std::move(operands));
            case Gate::Op::choose: return b_.any({b_.all({operands[0], operands[1]}), b_.all({!operands[0], operands[2]})});
        }
        return Formula::never;
    }

    void loop(const Component& c) {
        if (!cone_.gates[c.first]) return;  // a loop is in the cone as a whole, or not at all
        const LoopSweeps sweeps = loop_sweeps(p_, c);
        std::vector<Term> before;
        for (std::size_t n = 0; n < sweeps.most; ++n) {
            const bool forth = n % 2 == 0;
            if (forth) {
                // Forth and back changed nothing.
                std::vector<Term> now(at_.begin() + p_.output(c.first), at_.begin() + p_.output(c.last));
                if (now == before) return;
                before = std::move(now);
            }
            for (const std::uint32_t g : forth ? sweeps.forth : sweeps.back) evaluate(g);
        }
    }
};

/// The memory of the settled state as terms: what is written by what happens, and constants.
std::vector<Term> memory_of(const State& state, const Happenings& happenings, Builder& b, bool working) {
    std::vector<Term> at;
    for (const One bit : state.memory()) at.push_back(any(bit) ? Formula::always : Formula::never);
    std::map<Variable, std::vector<Term>> writers;
    for (std::uint32_t i = 0; i < happenings.size(); ++i)
        for (const Event& event : happenings[i])
            for (const Write& w : writes_of(state, event)) writers[w.variable].push_back(working ? !b.formula.variable(i) : b.formula.variable(i));
    // What is written is what does not stand there yet.
    for (const auto& [variable, terms] : writers) at[variable] = b.any(terms).negated_if(at[variable] == Formula::always);
    at[0] = Formula::always;
    return at;
}

void apply_demand(std::vector<Term>& memory, const Compiled& c, const DemandInfo& demand) {
    const auto constant = [](bool on) { return on ? Formula::always : Formula::never; };
    for (const HandSetting& s : demand.set)
        for (std::uint32_t p = 0; p < c.elements[s.element].positions.size(); ++p) memory[c.elements[s.element].at_hand + p] = constant(p == s.position);
    for (const GivenSetting& s : demand.given) memory[c.givens[s.given].variable] = constant(s.value);
}

/// Whether two different events write the same: their order would matter.
bool overlap(const State& state, const Happenings& happenings) {
    std::vector<const Event*> writer(state.memory().size(), nullptr);
    for (const auto& events : happenings)
        for (const Event& event : events)
            for (const Write& w : writes_of(state, event)) {
                if (writer[w.variable] && *writer[w.variable] != event) return true;
                writer[w.variable] = &event;
            }
    return false;
}

}  // namespace

std::vector<std::uint32_t> variables_read(const OrderedDiagram& d) {
    std::set<std::uint32_t> read;
    for (const std::uint32_t n : d.diagrams.walk(d.top)) read.insert(d.order[d.diagrams.node(n).level]);
    return {read.begin(), read.end()};
}

std::string already_below(const Outcome& before, std::uint32_t function, Level below) {
    const Level level = before.judged()[function].level;
    if (level <= below) return {};
    return level == Level::unknown ? "Whether the function works is unknown as it is, which counts as below the level." : "The function is below the level as it is.";
}

std::vector<std::uint32_t> with_those_read(const Compiled& c, std::uint32_t function) {
    std::vector<std::uint32_t> list{function};
    for (std::size_t i = 0; i < list.size(); ++i)
        for (const std::uint32_t read : c.functions[list[i]].reads)
            if (std::ranges::find(list, read) == list.end()) list.push_back(read);
    return list;
}

void check_goal(const Compiled& c, std::uint32_t function, Level below) {
    if (below != Level::normal && below != Level::degraded)
        throw NotPossible("`below` is normal (it is not normal any more) or degraded (it is lost), not " + std::string(name_of(below)) + ".");
    if (c.functions[function].modes.empty()) throw NotPossible("`" + *c.functions[function].id + "` is not fitted in this aircraft.");
}

FailureRef ref_of(const Compiled& c, FailureHandle failure) { return {.element = *c.elements[c.failures[failure.index].element].id, .mode = c.failures[failure.index].mode}; }

std::vector<FailureHandle> failures_to_combine(const State& state, const std::optional<std::vector<FailureRef>>& within) {
    const Compiled& c = state.network().compiled();
    std::vector<FailureHandle> list;
    for (std::uint32_t f = 0; !within && f < c.failures.size(); ++f) list.push_back({f});
    if (within)
        for (const FailureRef& f : *within) {
            if (!f.at.empty()) throw NotPossible("Sets are of failures as the author gave them; `" + f.element + "` stuck at " + f.at + " is not one.");
            list.push_back(state.network().failure(f.element, f.mode));
        }
    const auto by_id = [&](FailureHandle f) { return std::tuple(c.failures[f.index].element, c.failures[f.index].mode); };
    std::ranges::sort(list, {}, by_id);
    list.erase(std::unique(list.begin(), list.end()), list.end());
    std::erase_if(list, [&](FailureHandle f) { return state.failed(f); });
    return list;
}

Happenings each_alone(const std::vector<FailureHandle>& failures) {
    Happenings list;
    for (const FailureHandle f : failures) list.push_back({Event::fail(f)});
    return list;
}

std::vector<std::array<std::uint32_t, 2>> of_one_element(const Compiled& c, const std::vector<FailureHandle>& failures) {
    std::vector<std::array<std::uint32_t, 2>> pairs;
    const auto element = [&](std::uint32_t i) { return c.failures[failures[i].index].element; };
    for (std::uint32_t i = 0; i < failures.size(); ++i)
        for (std::uint32_t j = i + 1; j < failures.size() && element(j) == element(i); ++j) pairs.push_back({i, j});
    return pairs;
}

std::string why_one_by_one(const Outcome& before, const Happenings& happenings) {
    const Compiled& c = before.network().compiled();
    if (!before.hunting().empty()) return *c.elements[before.hunting().front()].id + " never comes to rest";
    for (std::uint32_t d = 0; d < c.demands.size(); ++d)
        if (before.worlds(d).values.size() > 1 || before.worlds(d).all_unknown) return "with what a function asks for, something never comes to rest";
    if (overlap(before.state(), happenings)) return "two of the failures are of one element and hold it in different positions";
    return {};
}

/// The zone a failure is the seed of; none where it spreads nothing.
const ZoneInfo* zone_of(const Compiled& c, const Event& failure) {
    const FailureInfo& f = c.failures[failure.index];
    const Range zones = c.elements[f.element].zones;
    const auto first = c.zones.begin() + zones.first, last = c.zones.begin() + zones.last;
    const auto it = std::find_if(first, last, [&](const ZoneInfo& z) { return z.seed != never && z.seed.variable() == f.variable; });
    return it == last ? nullptr : &*it;
}

std::vector<std::uint32_t> those_that_spread(const Compiled& c, const Happenings& happenings) {
    std::vector<std::uint32_t> list;
    for (std::uint32_t i = 0; i < happenings.size(); ++i)
        if (std::ranges::any_of(happenings[i], [&](const Event& e) { return zone_of(c, e) != nullptr; })) list.push_back(i);
    return list;
}

std::string why_no_formula(const Outcome& before, std::uint32_t function, const Happenings& happenings) {
    const Compiled& c = before.network().compiled();
    for (const ZoneInfo& z : c.zones)
        if (z.seed != never && before.truth(z.seed).value_or(true)) return "a fault in " + *c.elements[z.element].id + " spreads";
    for (const auto& events : happenings)
        for (const Event& event : events)
            if (const ZoneInfo* zone = zone_of(c, event)) return c.failures[event.index].mode + " of " + *c.elements[zone->element].id + " spreads";
    const Cone cone = cone_of(c, with_those_read(c, function), false);
    for (std::size_t i = 0; i < c.memory_cells.size(); ++i)
        if (cone.cells[i]) return "it hangs on " + *c.elements[c.memory_cells[i].element].id + ", which keeps its position";
    for (std::size_t h = 0; h < c.holders.size(); ++h)
        if (cone.holders[h]) return "it hangs on " + *c.elements[c.holders[h]].id + ", which holds itself in";
    return {};
}

Formula goal_formula(const Outcome& before, std::uint32_t function, Level below, const Happenings& happenings, bool working) {
    const Compiled& c = before.network().compiled();
    Builder b(static_cast<std::uint32_t>(happenings.size()));
    const std::vector<std::uint32_t> needed = with_those_read(c, function);
    const Cone cone = cone_of(c, needed, false);
    std::map<std::uint32_t, FormulaReading> readings;  // by demand
    std::vector<std::pair<Variable, Term>> levels;
    Term top = Formula::never;
    for (const std::uint32_t f : c.judging_order) {
        if (std::ranges::find(needed, f) == needed.end()) continue;
        const FunctionInfo& info = c.functions[f];
        auto reading = readings.find(info.demand);
        if (reading == readings.end()) {
            std::vector<Term> memory = memory_of(before.state(), happenings, b, working);
            apply_demand(memory, c, c.demands[info.demand]);
            reading = readings.try_emplace(info.demand, c.program, b, std::move(memory), cone).first;
        }
        for (const auto& [variable, level] : levels) reading->second.put(variable, level);
        reading->second.judge();
        std::vector<Term> best, some;
        for (const ModeInfo& mode : info.modes) {
            some.push_back(reading->second(mode.when));
            if (mode.level == Level::normal) best.push_back(some.back());
        }
        const Term normal = b.any(std::move(best)), kept = b.any(std::move(some));
        for (const LevelInput& in : c.level_inputs)
            if (in.function == f) levels.emplace_back(in.variable, in.at_least == Level::normal ? normal : kept);
        if (f == function) top = below == Level::normal ? normal : kept;
    }
    b.formula.top = top.negated_if(!working);
    return std::move(b.formula);
}

}  // namespace fedfrom::detail
