// A trial of several orders.
//
// No one way is good for every formula, and one bad order costs more than ten good ones.
// So each is tried with few steps; then those that came furthest with more, until one fits. Each module
// is tried alone, since where modules keep their variables together, the diagram of the whole is the sum of
// theirs and they can each have their own.
#include <algorithm>
#include <numeric>
#include <optional>

#include <fedfrom/logic/modules.hpp>
#include <fedfrom/logic/order.hpp>

#include "logic/conversion.hpp"

namespace fedfrom {

namespace {

/// A module as a formula of its own. Its variables stand for `leaves`: variables, and modules inside it.
struct Cut {
    Formula formula;
    std::vector<std::uint32_t> leaves;
};

class Cutter {
public:
    Cutter(const Formula& f, const std::vector<std::uint32_t>& modules) : f_(f), is_module_(f.nodes()), became_(f.nodes()), met_by_(f.nodes()) {
        for (const std::uint32_t m : modules) is_module_[m] = true;
    }

    Cut cut(std::uint32_t module) {
        Cut made;
        std::vector<std::uint32_t> inside, todo{module};
        met_by_[module] = module;
        while (!todo.empty()) {
            const std::uint32_t n = todo.back();
            todo.pop_back();
            if (n != module && (!f_.is_gate(n) || is_module_[n])) {
                became_[n] = Term{static_cast<std::uint32_t>(2 * (made.leaves.size() + 1))};
                made.leaves.push_back(n);
                continue;
            }
            inside.push_back(n);
            const auto operands = f_.operands(n);
            for (auto t = operands.rbegin(); t != operands.rend(); ++t)
                if (t->node() != 0 && met_by_[t->node()] != module) {
                    met_by_[t->node()] = module;
                    todo.push_back(t->node());
                }
        }
        made.formula = Formula(static_cast<std::uint32_t>(made.leaves.size()));
        std::ranges::sort(inside);
        std::vector<Term> operands;
        for (const std::uint32_t g : inside) {
            operands.clear();
            for (const Term t : f_.operands(g)) operands.push_back(became_[t.node()].negated_if(t.negated()));
            became_[g] = made.formula.at_least(f_.needed(g), operands);
        }
        made.formula.top = became_[module];
        return made;
    }

private:
    const Formula& f_;
    std::vector<bool> is_module_;
    std::vector<Term> became_;
    std::vector<std::uint32_t> met_by_;  // the last module that met a node: a module is in two cuts, its own and one where it is a leaf
};

/// The order that gives the smallest diagram, as far as the budget tells.
class Trials {
public:
    Trials(const Formula& f, const Budget& most) : f_(f), most_(most) {}

    Order best() {
        for (const Walk w : {Walk::as_written, Walk::small_first, Walk::large_first, Walk::shared_first}) add(depth_first_order(f_, w));
        // Where nothing is shared every walk is as good as any other.
        if (candidates_.size() == 1 || nothing_is_shared()) return candidates_.front();
        if (fits(1u << 14)) return candidates_[*best_];
        add(heaviest_first_order(f_));
        for (std::size_t i = candidates_.size(); i-- > 0;) add(drawn_together(f_, candidates_[i]));
        for (const std::uint64_t steps : {1u << 15, 1u << 17, 1u << 19}) {
            if (fits(steps)) return candidates_[*best_];
            keep_half();
        }
        return candidates_.front();  // to try on would cost as much as to go ahead
    }

private:
    const Formula& f_;
    const Budget most_;
    std::vector<Order> candidates_;
    std::vector<std::uint32_t> came_to_;  // by candidate: the gate at which it was given up
    std::optional<std::size_t> best_;

    void add(Order order) {
        if (std::ranges::find(candidates_, order) == candidates_.end()) candidates_.push_back(std::move(order));
    }

    bool nothing_is_shared() const {
        std::vector<bool> read(f_.nodes());
        for (std::uint32_t g = f_.first_gate(); g < f_.nodes(); ++g)
            for (const Term t : f_.operands(g)) {
                if (read[t.node()]) return false;
                read[t.node()] = true;
            }
        return true;
    }

    /// Whether one gets by with so many steps; the `best_` of those that do.
    bool fits(std::uint64_t steps) {
        Budget budget{most_.nodes, std::min(most_.steps, steps)};
        came_to_.assign(candidates_.size(), 0);
        std::size_t fewest = 0;
        for (std::size_t i = 0; i < candidates_.size(); ++i) {
            const Formula by_level = renumbered(f_, positions(candidates_[i]));
            Diagrams d(f_.variables(), budget);
            detail::Conversion conversion(by_level, d);
            try {
                const std::size_t n = d.nodes(conversion.run());
                if (best_ && n >= fewest) continue;
                best_ = i;
                fewest = n;
                budget.steps = std::min(budget.steps, d.steps());  // no later one may work harder than the best so far
            } catch (const BudgetSpent&) {
                came_to_[i] = conversion.gate();
            }
        }
        return best_.has_value();
    }

    /// Those that came furthest with the same steps, the furthest first; of equals the earlier ones.
    void keep_half() {
        std::vector<std::size_t> by_progress(candidates_.size());
        std::iota(by_progress.begin(), by_progress.end(), std::size_t{0});
        std::ranges::stable_sort(by_progress, std::ranges::greater{}, [&](std::size_t i) { return came_to_[i]; });
        std::vector<Order> kept;
        for (std::size_t i = 0; i < (candidates_.size() + 1) / 2; ++i) kept.push_back(std::move(candidates_[by_progress[i]]));
        candidates_ = std::move(kept);
    }
};

}  // namespace

std::vector<std::uint32_t> positions(const Order& order) {
    std::vector<std::uint32_t> position(order.size());
    for (std::uint32_t level = 0; level < order.size(); ++level) position[order[level]] = level;
    return position;
}

Order best_order(const Formula& f, const Budget& budget) {
    const std::vector<std::uint32_t> found = modules(f);
    Cutter cutter(f, found);
    std::vector<std::vector<std::uint32_t>> leaves(f.nodes());  // of each module, in order
    for (const std::uint32_t m : found) {
        const Cut cut = cutter.cut(m);
        for (const std::uint32_t v : Trials(cut.formula, budget).best()) leaves[m].push_back(cut.leaves[v]);
    }
    Order order;
    std::vector<bool> met(f.variables());
    std::vector<std::uint32_t> todo{f.top.node()};
    while (!todo.empty()) {
        const std::uint32_t n = todo.back();
        todo.pop_back();
        if (f.is_variable(n)) {
            order.push_back(f.variable_of(n));
            met[f.variable_of(n)] = true;
        }
        todo.insert(todo.end(), leaves[n].rbegin(), leaves[n].rend());
    }
    for (std::uint32_t v = 0; v < f.variables(); ++v)
        if (!met[v]) order.push_back(v);
    return order;
}

}  // namespace fedfrom
