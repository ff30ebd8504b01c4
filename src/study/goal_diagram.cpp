// Where there is memory, a function's level is no fixed formula of the failures: things move, pass after pass. But settling is
// written over words of states, and a word of decision diagrams holds all combinations: the same passes, all of them at once.
//
// Faults that spread do so in rounds, which restart wherever something trips: of two in different places the rounds of one hang
// on those of the other, and diagrams of many such places grow beyond all bounds. One place at a time they are small.
#include "goal_diagram.hpp"

#include <algorithm>
#include <memory>
#include <utility>

#include <fedfrom/logic/helping.hpp>
#include <fedfrom/solve/sweeper.hpp>

#include "symbol.hpp"

namespace fedfrom::detail {
namespace {

/// The order in which a walk down from the function meets what may happen; what happens to one element stands together.
class WalkDown {
public:
    WalkDown(const Compiled& c, const std::vector<std::vector<Write>>& writes, const std::vector<std::uint32_t>& element_of)
        : c_(c), element_of_(element_of), seen_(c.program.variables(), false), placed_(writes.size(), false), written_by_(c.memory_end), behind_(c.memory_end) {
        for (std::uint32_t i = 0; i < writes.size(); ++i)
            for (const Write& w : writes[i]) written_by_[w.variable].push_back(i);
        for (const MemoryCell& cell : c.memory_cells)
            for (std::uint32_t s = 0; s < cell.sent.size(); ++s) behind_[c.elements[cell.element].held + s] = &cell.sent;
    }

    Order order(const std::vector<std::uint32_t>& functions) {
        for (const std::uint32_t f : functions)
            for (const ModeInfo& mode : c_.functions[f].modes) down(mode.when.variable());
        for (std::uint32_t i = 0; i < placed_.size(); ++i) place(i);
        return std::move(order_);
    }

private:
    const Compiled& c_;
    const std::vector<std::uint32_t>& element_of_;
    std::vector<bool> seen_, placed_;
    std::vector<std::vector<std::uint32_t>> written_by_;    // by memory variable
    std::vector<const std::vector<Literal>*> behind_;       // by memory variable: what moves it
    Order order_;

    void down(Variable from) {
        std::vector<Variable> todo{from};
        while (!todo.empty()) {
            const Variable v = todo.back();
            todo.pop_back();
            if (seen_[v]) continue;
            seen_[v] = true;
            if (v < c_.memory_end) {
                for (const std::uint32_t i : written_by_[v]) place_element(element_of_[i], i);
                if (behind_[v])
                    for (const Literal l : *behind_[v]) todo.push_back(l.variable());
            }
            if (v < c_.program.inputs) continue;
            const auto operands = c_.program.operands_of(c_.program.gates[v - c_.program.inputs]);
            for (std::size_t o = operands.size(); o-- > 0;) todo.push_back(operands[o].variable());
        }
    }

    void place_element(std::uint32_t element, std::uint32_t i) {
        place(i);
        for (std::uint32_t other = 0; element != none && other < element_of_.size(); ++other)
            if (element_of_[other] == element) place(other);
    }

    void place(std::uint32_t i) {
        if (placed_[i]) return;
        placed_[i] = true;
        order_.push_back(i);
    }
};

/// Of a failure its element; none for what happens to several.
std::uint32_t element_of_failure(const Compiled& c, const std::vector<Event>& events) { return events.size() == 1 ? c.failures[events.front().index].element : none; }

/// What settling at once may cost before it is left: a second or two.
Budget part_of_budget(Budget budget) {
    budget.nodes /= 8;
    budget.steps /= 64;
    return budget;
}

/// Settles all combinations of what does not spread, on top of one thing that does, or of none.
class AtOnce {
public:
    struct Case {
        Diagram below, hunting;
    };

    AtOnce(const Outcome& before, std::uint32_t function, Level below, const Happenings& happenings, const std::vector<std::uint32_t>& spreading, Counting counting, const Budget& budget, bool working)
        : below_(below), working_(working), writes_(all_writes(before.state(), happenings)), spreads_(happenings.size(), false),
          plan_(before.network().compiled(), {function}, !spreading.empty() || faults_in(before.state(), {}), false), sweeper_(plan_, before.state().memory()),
          place_(static_cast<std::uint32_t>(std::ranges::find(plan_.judged, function) - plan_.judged.begin())) {
        const Compiled& c = before.network().compiled();
        for (const auto& events : happenings) elements_.push_back(element_of_failure(c, events));
        for (const std::uint32_t i : spreading) spreads_[i] = true;
        // What spreads stands on top: below it the cases have little in common.
        Order order = WalkDown(c, writes_, elements_).order(plan_.judged);
        std::stable_partition(order.begin(), order.end(), [&](std::uint32_t i) { return spreads_[i]; });
        found_ = std::make_unique<OrderedDiagram>(OrderedDiagram{std::move(order), Diagrams(static_cast<std::uint32_t>(happenings.size()), budget), {}});
        level_ = positions(found_->order);
        if (counting == Counting::all) std::ranges::fill(elements_, none);
        for (std::uint32_t i = 0; i < happenings.size(); ++i)
            for (std::uint32_t j = 0; j < i; ++j)
                if (!spreads_[i] && !spreads_[j] && of_one_element(i, j)) counts_ = store().all(counts_, !store().all(happened(i), happened(j)));
    }

    Diagrams& store() { return found_->diagrams; }
    const Order& order() const { return found_->order; }
    bool spreads(std::uint32_t i) const { return spreads_[i]; }

    Case with(std::uint32_t spreading) {
        for (std::uint32_t i = 0; i < writes_.size(); ++i) {
            if (i == spreading) sweeper_.put(writes_[i], Symbol::filled(true));
            else if (!spreads_[i]) sweeper_.put(writes_[i], {store(), happened(i)});
        }
        sweeper_.run();
        Diagram counts = counts_;
        for (std::uint32_t i = 0; spreading != none && i < writes_.size(); ++i)
            if (!spreads_[i] && of_one_element(i, spreading)) counts = store().all(counts, !happened(i));
        const Case found{(below_ == Level::normal ? sweeper_.below(place_) : sweeper_.lost(place_)).value(), store().all(sweeper_.hunting().value(), counts)};
        sweeper_.undo();
        return found;
    }

    Diagram happened(std::uint32_t i) {
        const Diagram variable = store().variable(level_[i]);
        return working_ ? !variable : variable;
    }

    OrderedDiagram take() { return std::move(*found_); }

private:
    Level below_;
    bool working_;
    std::vector<std::vector<Write>> writes_;
    std::vector<bool> spreads_;
    std::vector<std::uint32_t> elements_{};  // of what counts with nothing else of its element
    SweepPlan plan_;
    Sweeper<Symbol> sweeper_;
    std::uint32_t place_;
    std::unique_ptr<OrderedDiagram> found_;  // stays where it is while words point to its store
    std::vector<std::uint32_t> level_;
    Diagram counts_ = Diagrams::always;      // of what does not spread: no element in two modes, if so asked

    bool of_one_element(std::uint32_t i, std::uint32_t j) const { return elements_[i] != none && elements_[i] == elements_[j]; }

    static std::vector<std::vector<Write>> all_writes(const State& from, const Happenings& happenings) {
        std::vector<std::vector<Write>> list;
        for (const auto& events : happenings) {
            list.emplace_back();
            for (const Event& event : events)
                for (const Write& w : writes_of(from, event)) list.back().push_back(w);
        }
        return list;
    }
};

void settle_at_once(GoalDiagram& found, const Outcome& before, std::uint32_t function, Level below, const Happenings& happenings, const std::vector<std::uint32_t>& spreading, Counting counting, const Budget& budget, bool working) {
    AtOnce at_once(before, function, below, happenings, spreading, counting, budget, working);
    Diagrams& d = at_once.store();
    const AtOnce::Case base = at_once.with(none);
    found.hunts = base.hunting != Diagrams::never;
    std::vector<AtOnce::Case> cases;
    for (const std::uint32_t i : spreading) {
        // Where something hunts without it, it most likely does with it.
        const bool room = !found.hunts && d.nodes() < budget.nodes / 2 && d.steps() < budget.steps / 2;
        cases.push_back(room ? at_once.with(i) : AtOnce::Case{Diagrams::never, Diagrams::always});
        if (cases.back().hunting != Diagrams::never) found.doubtful.push_back(i);
    }
    // From the last level of what spreads up: none of it, or one and none after it; with more than one anything may be.
    Diagram surely = d.all(base.below, !base.hunting), may_be = d.any(base.below, base.hunting), none_after = Diagrams::always;
    std::vector<std::uint32_t> by_level;
    for (const std::uint32_t i : at_once.order())
        if (at_once.spreads(i)) by_level.push_back(i);
    for (std::size_t k = by_level.size(); k-- > 0;) {
        const Diagram here = at_once.happened(by_level[k]);
        const AtOnce::Case& with = cases[static_cast<std::size_t>(std::ranges::find(spreading, by_level[k]) - spreading.begin())];
        surely = d.if_then_else(here, d.all(none_after, d.all(with.below, !with.hunting)), surely);
        may_be = d.if_then_else(here, d.any(!none_after, d.any(with.below, with.hunting)), may_be);
        none_after = d.all(none_after, !here);
    }
    found.diagram = at_once.take();
    found.diagram->top = working ? !may_be : surely;
    found.may_be = working ? !surely : may_be;
}

}  // namespace

GoalDiagram goal_diagram(const Outcome& before, std::uint32_t function, Level below, const Happenings& happenings, Counting counting, const Budget& budget, bool working) {
    GoalDiagram found;
    found.why_open = why_one_by_one(before, happenings);
    if (!found.why_open.empty()) return found;
    const std::vector<std::uint32_t> spreading = those_that_spread(before.network().compiled(), happenings);
    const std::string reason = why_no_formula(before, function, happenings);
    if (reason.empty()) {
        found.by = by_its_formula;
        found.formula = goal_formula(before, function, below, happenings, working);
        try {
            found.diagram = ordered_diagram(*found.formula, budget);
            found.may_be = found.diagram->top;
        } catch (const BudgetSpent&) {
            found.why_open = "the budget does not suffice for the formula's diagram";
        }
        return found;
    }
    try {
        settle_at_once(found, before, function, below, happenings, spreading, counting, part_of_budget(budget), working);
        found.by = spreading.empty() ? "By settling every combination at once: none of the failures considered spreads."
                                     : "By settling every combination at once in which at most one of the failures spreads.";
        if (!found.complete()) found.why_open = spreading.empty() ? "in some combination something never comes to rest" : reason;
    } catch (const BudgetSpent&) {
        found = GoalDiagram{.why_open = reason + ", and the budget does not suffice for settling every combination at once"};
    }
    return found;
}

std::vector<std::uint32_t> those_that_help(GoalDiagram& found) { return helping(*found.diagram, found.formula ? read_negated(*found.formula) : variables_read(*found.diagram)); }

}  // namespace fedfrom::detail
