// Where modules keep their variables together, the diagram of the whole is the sum of theirs, so each can have an order of its own and
// be tried alone.
#include "logic/assembly.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include <fedfrom/logic/modules.hpp>

namespace fedfrom {

namespace detail {

class Assembly::Cutter {
public:
    Cutter(const Formula& f, const std::vector<std::uint32_t>& modules) : f_(f), is_module_(f.nodes()), became_(f.nodes()), met_by_(f.nodes()) {
        for (const std::uint32_t m : modules) is_module_[m] = true;
    }

    Part cut(std::uint32_t module) {
        std::vector<std::uint32_t> leaves, inside, todo{module};
        met_by_[module] = module;
        while (!todo.empty()) {
            const std::uint32_t n = todo.back();
            todo.pop_back();
            if (n != module && (!f_.is_gate(n) || is_module_[n])) {
                became_[n] = Term{static_cast<std::uint32_t>(2 * (leaves.size() + 1))};
                leaves.push_back(n);
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
        Formula formula(static_cast<std::uint32_t>(leaves.size()));
        std::ranges::sort(inside);
        std::vector<Term> operands;
        for (const std::uint32_t g : inside) {
            operands.clear();
            for (const Term t : f_.operands(g)) operands.push_back(became_[t.node()].negated_if(t.negated()));
            became_[g] = formula.at_least(f_.needed(g), operands);
        }
        formula.top = became_[module];
        return {module, std::move(formula), std::move(leaves)};
    }

private:
    const Formula& f_;
    std::vector<bool> is_module_;
    std::vector<Term> became_;
    std::vector<std::uint32_t> met_by_;  // the last module that met a node: a module is in two cuts, its own and one where it is a leaf
};

Assembly::Assembly(const Formula& f, const Budget& budget) : f_(f), budget_(budget) {
    const std::vector<std::uint32_t> found = modules(f);
    Cutter cutter(f, found);
    for (const std::uint32_t m : found) {
        parts_.push_back(cutter.cut(m));
        parts_.back().tried = best_of_trials(parts_.back().formula, budget);
    }
}

Order Assembly::order() const {
    std::vector<const Part*> part_of(f_.nodes());
    for (const Part& part : parts_) part_of[part.module] = &part;
    Order order;
    std::vector<bool> met(f_.variables());
    std::vector<std::uint32_t> todo{f_.top.node()};
    while (!todo.empty()) {
        const std::uint32_t n = todo.back();
        todo.pop_back();
        if (f_.is_variable(n)) {
            order.push_back(f_.variable_of(n));
            met[f_.variable_of(n)] = true;
        }
        if (const Part* part = part_of[n])
            for (auto v = part->tried.order.rbegin(); v != part->tried.order.rend(); ++v) todo.push_back(part->leaves[*v]);
    }
    for (std::uint32_t v = 0; v < f_.variables(); ++v)
        if (!met[v]) order.push_back(v);
    return order;
}

OrderedDiagram Assembly::diagram() const {
    OrderedDiagram whole{order(), Diagrams(f_.variables(), budget_), {}};
    Diagrams& d = whole.diagrams;
    std::vector<Diagram> became(f_.nodes(), Diagrams::never);
    for (std::uint32_t level = 0; level < whole.order.size(); ++level) became[whole.order[level] + 1] = d.variable(level);
    for (const Part& part : parts_) {
        std::optional<OrderedDiagram> made;
        if (!part.tried.diagram) made = ordered_diagram(part.formula, part.tried.order, budget_);
        const OrderedDiagram& of_part = made ? *made : *part.tried.diagram;
        // A node becomes a choice by what its variable stands for, which is above all that its edges lead to.
        std::vector<Diagram> node_became((of_part.top.edge >> 1) + 1, Diagrams::never);
        const auto edge = [&](Edge e) { return e & 1 ? !node_became[e >> 1] : node_became[e >> 1]; };
        for (const std::uint32_t n : of_part.diagrams.walk(of_part.top)) {
            const DecisionNode node = of_part.diagrams.node(n);
            node_became[n] = d.if_then_else(became[part.leaves[of_part.order[node.level]]], edge(node.high), edge(node.low));
        }
        became[part.module] = edge(of_part.top.edge);
    }
    const Diagram top = became[f_.top.node()];
    Diagram kept[] = {f_.top.negated() ? !top : top};
    d.keep_only(kept);
    whole.top = kept[0];
    return whole;
}

}  // namespace detail

Order best_order(const Formula& f, const Budget& budget) { return detail::Assembly(f, budget).order(); }

}  // namespace fedfrom
