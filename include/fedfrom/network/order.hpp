/// Puts draft gates into evaluation order and refuses what has no meaning.
///
/// Strong components by Tarjan's algorithm (Depth-first search and linear graph
/// algorithms, SIAM J. Comput. 1972), with a stack of its own: chains of a
/// million elements must not exhaust the machine's. It emits a component after
/// all it depends on, which is the order of evaluation. A component that depends
/// on its own negation has no least fixed point; it is named, not evaluated.
#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/network/gate_builder.hpp>

namespace fedfrom::detail {

struct Ordered {
    Program program;
    std::vector<Literal> moved;  ///< by draft variable: the literal that now says the same
    std::vector<std::uint32_t> component_of;  ///< by new gate, logic gates only
    /// Owners along each loop through a negation; empty when there is none.
    std::vector<std::vector<std::uint32_t>> refused;

    Literal at(Literal draft) const {
        const Literal to = moved[draft.variable()];
        return draft.negated() ? !to : to;
    }
};

class Orderer {
public:
    explicit Orderer(const GateBuilder& b) : draft_(b), gates_(b.gates), count_(static_cast<std::uint32_t>(b.gates.size())) {}

    Ordered run() {
        find_components();
        by_stage();
        Ordered out;
        refuse_negation(out);
        emit(out);
        return out;
    }

private:
    const GateBuilder& draft_;
    const std::vector<DraftGate>& gates_;
    std::uint32_t count_;
    static constexpr std::uint32_t unset = 0xffffffff;
    /// What the search knows of a draft gate; `component` unset and `index` not: it is on the stack.
    struct Place {
        std::uint32_t index = unset, low = 0, next = 0, component = unset, finished = 0;
    };
    std::vector<Place> places_;                             // by draft gate
    std::vector<std::vector<std::uint32_t>> large_;         // members of the components with loops
    std::vector<std::pair<std::uint32_t, std::uint32_t>> order_;  // (first member, index in large_ or none)

    bool is_gate(Literal l) const { return l.variable() >= draft_.inputs; }
    std::uint32_t gate_of(Literal l) const { return l.variable() - draft_.inputs; }
    std::span<const Literal> operands_of(std::uint32_t g) const { return draft_.operands(gates_[g]); }

    void find_components() {
        places_.resize(count_);
        std::vector<std::uint32_t> stack, path;
        std::uint32_t clock = 0, finish = 0, components = 0;
        for (std::uint32_t root = 0; root < count_; ++root) {
            if (places_[root].index != unset || gates_[root].alias) continue;
            path.push_back(root);
            while (!path.empty()) {
                const std::uint32_t g = path.back();
                Place& place = places_[g];
                if (place.index == unset) {
                    place.index = place.low = clock++;
                    stack.push_back(g);
                }
                const auto operands = operands_of(g);
                bool deeper = false;
                while (place.next < operands.size()) {
                    const Literal l = operands[place.next];
                    if (!is_gate(l)) { ++place.next; continue; }
                    const Place& operand = places_[gate_of(l)];
                    if (operand.index == unset) { path.push_back(gate_of(l)); deeper = true; break; }
                    if (operand.component == unset) place.low = std::min(place.low, operand.low);
                    ++place.next;
                }
                if (deeper) continue;
                path.pop_back();
                place.finished = finish++;
                if (place.low != place.index) continue;
                const auto first = std::find(stack.rbegin(), stack.rend(), g).base() - 1;
                for (auto m = first; m != stack.end(); ++m) places_[*m].component = components;
                ++components;
                const bool loop = stack.end() - first > 1 || std::ranges::any_of(operands, [&](Literal l) { return is_gate(l) && gate_of(l) == g; });
                order_.emplace_back(g, unset);
                if (loop) {
                    std::vector<std::uint32_t> members(first, stack.end());
                    std::ranges::sort(members, {}, [&](std::uint32_t m) { return places_[m].finished; });
                    order_.back() = {members.front(), static_cast<std::uint32_t>(large_.size())};
                    large_.push_back(std::move(members));
                }
                stack.erase(first, stack.end());
            }
        }
    }

    /// Stages one after the other, each in the order found; functions keep their gates together.
    void by_stage() {
        constexpr std::size_t stages = static_cast<std::size_t>(Stage::function) + 1;
        std::array<decltype(order_), stages> of_stage;
        for (const auto& placed : order_) of_stage[static_cast<std::size_t>(gates_[placed.first].stage)].push_back(placed);
        std::ranges::stable_sort(of_stage.back(), {}, [&](const auto& placed) { return gates_[placed.first].owner; });
        order_.clear();
        for (const auto& stage : of_stage) order_.insert(order_.end(), stage.begin(), stage.end());
    }

    void refuse_negation(Ordered& out) const {
        for (const auto& members : large_) {
            for (const std::uint32_t g : members) {
                const auto operands = operands_of(g);
                const auto hit = std::ranges::find_if(operands, [&](Literal l) {
                    return l.negated() && is_gate(l) && places_[gate_of(l)].component == places_[g].component;
                });
                if (hit == operands.end()) continue;
                out.refused.push_back(owners_along(g, gate_of(*hit)));
                break;  // one loop a component is enough to mend it by
            }
        }
    }

    /// Owners on a shortest way from `from` back to `to` along operands, without repeats.
    std::vector<std::uint32_t> owners_along(std::uint32_t to, std::uint32_t from) const {
        std::vector<std::uint32_t> came(count_, unset), queue{from};
        came[from] = from;
        for (std::size_t i = 0; i < queue.size() && came[to] == unset; ++i)
            for (const Literal l : operands_of(queue[i]))
                if (is_gate(l) && places_[gate_of(l)].component == places_[to].component && came[gate_of(l)] == unset) {
                    came[gate_of(l)] = queue[i];
                    queue.push_back(gate_of(l));
                }
        std::vector<std::uint32_t> owners;
        for (std::uint32_t g = to;; g = came[g]) {
            if (std::ranges::find(owners, gates_[g].owner) == owners.end()) owners.push_back(gates_[g].owner);
            if (g == from) return owners;
        }
    }

    void emit(Ordered& out) const {
        Program& p = out.program;
        p.inputs = draft_.inputs;
        out.moved.resize(draft_.inputs + count_);
        for (Variable v = 0; v < draft_.inputs; ++v) out.moved[v] = Literal::of(v);
        std::vector<std::uint32_t> sequence;
        sequence.reserve(count_);
        for (const auto& [first, loop] : order_) {
            const auto begin = static_cast<std::uint32_t>(sequence.size());
            if (loop == unset) sequence.push_back(first);
            else sequence.insert(sequence.end(), large_[loop].begin(), large_[loop].end());
            if (gates_[first].stage != Stage::logic) continue;
            const auto end = static_cast<std::uint32_t>(sequence.size());
            p.logic_end = end;
            if (loop != unset || p.components.empty() || p.components.back().cyclic)
                p.components.push_back({.first = begin, .last = end, .cyclic = loop != unset});
            else
                p.components.back().last = end;
            out.component_of.insert(out.component_of.end(), end - begin, static_cast<std::uint32_t>(p.components.size() - 1));
        }
        const auto evaluated = static_cast<std::uint32_t>(sequence.size());
        for (std::uint32_t i = 0; i < evaluated; ++i) out.moved[draft_.inputs + sequence[i]] = Literal::of(p.output(i));
        for (std::uint32_t g = 0; g < count_; ++g)
            if (gates_[g].alias) out.moved[draft_.inputs + g] = out.at(draft_.resolved(operands_of(g).front()));
        p.gates.reserve(evaluated);
        for (const std::uint32_t g : sequence) {
            const DraftGate& d = gates_[g];
            Gate gate{.op = d.op, .position = d.position, .count = d.count, .first = static_cast<std::uint32_t>(p.operands.size())};
            for (const Literal l : draft_.operands(d)) p.operands.push_back(out.at(l));
            gate.last = static_cast<std::uint32_t>(p.operands.size());
            p.gates.push_back(gate);
        }
    }
};

}  // namespace fedfrom::detail
