// Depth-first orders (Fujita, Fujisawa and Kawato, "Evaluation and improvements of Boolean
// comparison method based on binary decision diagrams", ICCAD 1988), a few ways to walk, and
// a trial of each.
//
// No one way to walk is good for every formula, and one bad order costs more than ten good
// ones. So each is tried under a small budget, then under a larger, until one fits; and each module
// is tried alone, since where modules keep their variables together, the diagram of the whole is the sum of
// theirs and they can each walk their own way.
#include <algorithm>
#include <optional>

#include <fedfrom/logic/diagram.hpp>
#include <fedfrom/logic/modules.hpp>
#include <fedfrom/logic/order.hpp>

namespace fedfrom {

namespace {

/// How many variables stand below each node, each as often as it is read; saturating.
std::vector<std::uint64_t> sizes(const Formula& f) {
    std::vector<std::uint64_t> size(f.nodes(), 1);
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) {
        size[g] = 0;
        for (const Term t : f.operands(g)) size[g] = std::min(size[g] + size[t.node()], std::uint64_t{1} << 62);
    }
    return size;
}

std::vector<std::uint64_t> times_read(const Formula& f) {
    std::vector<std::uint64_t> count(f.nodes());
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g)
        for (const Term t : f.operands(g)) ++count[t.node()];
    return count;
}

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

/// The walk that gives the smallest diagram, as far as the budget tells.
Order best_of_walks(const Formula& f, const Budget& most) {
    const std::vector<std::uint64_t> read = times_read(f);
    std::vector<Order> candidates;
    for (const Walk w : {Walk::as_written, Walk::small_first, Walk::large_first, Walk::shared_first}) {
        Order order = depth_first_order(f, w);
        if (std::ranges::find(candidates, order) == candidates.end()) candidates.push_back(std::move(order));
    }
    // Where nothing is shared every walk is as good as any other.
    if (candidates.size() == 1 || std::ranges::all_of(read, [](std::uint64_t n) { return n <= 1; })) return candidates.front();
    for (const std::uint32_t nodes : {1u << 14, 1u << 17, 1u << 20}) {
        Budget budget{std::min(most.nodes, nodes), std::min<std::uint64_t>(most.steps, 16 * std::uint64_t{nodes})};
        std::optional<std::size_t> best, fewest;
        for (std::size_t i = 0; i < candidates.size(); ++i) try {
                Diagrams d(f.variables(), budget);
                const std::size_t n = d.nodes(diagram_of(renumbered(f, positions(candidates[i])), d));
                if (best && n >= *fewest) continue;
                best = i;
                fewest = n;
                budget.steps = std::min(budget.steps, d.steps());  // no later one may work harder than the best so far
            } catch (const BudgetSpent&) {
            }
        if (best) return candidates[*best];
    }
    return candidates.front();
}

}  // namespace

Order depth_first_order(const Formula& f, Walk walk) {
    const std::vector<std::uint64_t> key = walk == Walk::as_written ? std::vector<std::uint64_t>(f.nodes()) : walk == Walk::shared_first ? times_read(f) : sizes(f);
    Order order;
    std::vector<bool> met(f.nodes());
    std::vector<std::uint32_t> todo{f.top.node()}, operands;
    while (!todo.empty()) {
        const std::uint32_t node = todo.back();
        todo.pop_back();
        if (met[node]) continue;
        met[node] = true;
        if (f.is_variable(node)) order.push_back(f.variable_of(node));
        if (!f.is_gate(node)) continue;
        operands.clear();
        for (const Term t : f.operands(node)) operands.push_back(t.node());
        if (walk == Walk::small_first)
            std::ranges::stable_sort(operands, {}, [&](std::uint32_t n) { return key[n]; });
        else
            std::ranges::stable_sort(operands, std::ranges::greater{}, [&](std::uint32_t n) { return key[n]; });
        todo.insert(todo.end(), operands.rbegin(), operands.rend());
    }
    for (std::uint32_t v = 0; v < f.variables(); ++v)
        if (!met[v + 1]) order.push_back(v);
    return order;
}

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
        for (const std::uint32_t v : best_of_walks(cut.formula, budget)) leaves[m].push_back(cut.leaves[v]);
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
