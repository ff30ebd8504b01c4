// A trial of several orders.
//
// No one way is good for every formula, and one bad order costs more than ten good ones.
// So each is tried with few steps; then those that came furthest go on, until one is done. Each module
// is tried alone, since where modules keep their variables together, the diagram of the whole is the sum of
// theirs and they can each have their own.
#include <algorithm>
#include <map>
#include <memory>

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

/// Then every walk is as good as any other.
bool nothing_is_shared(const Formula& f) {
    std::vector<bool> read(f.nodes());
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g)
        for (const Term t : f.operands(g)) {
            if (read[t.node()]) return false;
            read[t.node()] = true;
        }
    return true;
}

enum class Method : std::uint8_t { walk, weights, force, wide };

/// An order, and how far its conversion came. It goes on where it stopped.
class Trial {
public:
    const Method method;
    const Order order;

    Trial(Method m, Order o, const Formula& f, const Budget& none) : method(m), order(std::move(o)), by_level_(renumbered(f, positions(order))), diagrams_(f.variables(), none), conversion_(by_level_, diagrams_) {}

    /// Whether it is done within this budget, all steps so far counted.
    bool fits(const Budget& budget) {
        diagrams_.allow(budget);
        try {
            nodes_ = diagrams_.nodes(conversion_.run());
            return true;
        } catch (const BudgetSpent&) {
            return false;
        }
    }

    std::uint32_t gate() const { return conversion_.gate(); }
    std::uint64_t steps() const { return diagrams_.steps(); }
    std::size_t nodes() const { return nodes_; }

private:
    const Formula by_level_;
    Diagrams diagrams_;
    detail::Conversion conversion_;
    std::size_t nodes_ = 0;
};

/// The order that gives the smallest diagram, as far as the budget tells.
class Trials {
public:
    Trials(const Formula& f, const Budget& most) : f_(f), factored_(factored(f)), most_(most) {}

    Order best() {
        for (const Walk w : {Walk::as_written, Walk::small_first, Walk::large_first, Walk::shared_first}) add(Method::walk, depth_first_order(f_, w));
        if (trials_.size() == 1) return trials_.front()->order;
        // Such work takes no longer than finding the other orders and trying them.
        for (const std::uint64_t steps : {1u << 14, 1u << 16}) {
            if (const Trial* best = best_within(steps)) return best->order;
            if (most_.steps <= steps) return (*std::ranges::max_element(trials_, {}, &Trial::gate))->order;
        }
        add(Method::weights, heaviest_first_order(f_));
        for (std::size_t i = trials_.size(); i-- > 0;) add(Method::force, drawn_together(f_, trials_[i]->order));
        add(Method::wide, widest_first_order(f_));
        for (std::uint64_t steps = 1u << 15; trials_.size() > 1; steps *= 4) {
            if (const Trial* best = best_within(steps)) return best->order;
            keep_half();
        }
        return trials_.front()->order;
    }

private:
    const Formula& f_;
    const Formula factored_;  // what is converted; orders go by what was written
    const Budget most_;
    std::vector<std::unique_ptr<Trial>> trials_;

    void add(Method method, Order order) {
        if (std::ranges::none_of(trials_, [&](const auto& t) { return t->order == order; }))
            trials_.push_back(std::make_unique<Trial>(method, std::move(order), factored_, Budget{most_.nodes, 0}));
    }

    /// Of those that get by with so many steps, the one with the fewest nodes. Null where none does.
    const Trial* best_within(std::uint64_t steps) {
        Budget budget{most_.nodes, std::min(most_.steps, steps)};
        const Trial* best = nullptr;
        for (const auto& t : trials_) {
            if (!t->fits(budget)) continue;
            if (best == nullptr || t->nodes() < best->nodes()) best = t.get();
            budget.steps = std::min(budget.steps, t->steps());  // no later one may work harder than one that is done
        }
        return best;
    }

    /// Of each method those that came furthest; how far says little of another. Of one each, those that came furthest.
    void keep_half() {
        std::ranges::stable_sort(trials_, std::ranges::greater{}, &Trial::gate);
        std::map<Method, std::size_t> of_method, kept_of_method;
        for (const auto& t : trials_) ++of_method[t->method];
        const bool one_each = of_method.size() == trials_.size();
        std::vector<std::unique_ptr<Trial>> kept;
        for (auto& t : trials_)
            if (one_each ? kept.size() < (trials_.size() + 1) / 2 : kept_of_method[t->method]++ < (of_method[t->method] + 1) / 2) kept.push_back(std::move(t));
        trials_ = std::move(kept);
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
        const Order best = nothing_is_shared(cut.formula) ? depth_first_order(cut.formula) : Trials(cut.formula, budget).best();
        for (const std::uint32_t v : best) leaves[m].push_back(cut.leaves[v]);
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
