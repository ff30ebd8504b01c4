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

#include <fedfrom/network/shapes.hpp>

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
        std::uint32_t index = unset;  ///< when it was entered; once it is left, when that was
        std::uint32_t low = 0, component = unset;
    };
    /// A gate the search is in, and the operands it has yet to look at.
    struct Visit {
        std::uint32_t gate;
        const Literal *next, *end;
    };
    std::vector<Place> places_;                             // by draft gate
    std::vector<std::vector<std::uint32_t>> large_;         // members of the components with loops
    std::vector<std::pair<std::uint32_t, std::uint32_t>> order_;  // (first member, index in large_ or none)

    bool is_gate(Literal l) const { return l.variable() >= draft_.inputs; }
    std::uint32_t gate_of(Literal l) const { return l.variable() - draft_.inputs; }
    std::span<const Literal> operands_of(std::uint32_t g) const { return draft_.operands(gates_[g]); }

    void find_components() {
        places_.resize(count_);
        order_.reserve(count_);
        std::vector<std::uint32_t> stack;
        std::vector<Visit> path;
        std::uint32_t entered = 0, left = 0, components = 0;
        const auto enter = [&](std::uint32_t g) {
            places_[g].index = places_[g].low = entered++;
            stack.push_back(g);
            const auto operands = operands_of(g);
            path.push_back({g, operands.data(), operands.data() + operands.size()});
        };
        for (std::uint32_t root = 0; root < count_; ++root) {
            if (places_[root].index != unset || gates_[root].alias) continue;
            enter(root);
            while (!path.empty()) {
                Visit& visit = path.back();
                const std::uint32_t g = visit.gate;
                Place& place = places_[g];
                std::uint32_t deeper = unset;
                for (; visit.next != visit.end; ++visit.next) {
                    if (!is_gate(*visit.next)) continue;
                    const Place& operand = places_[gate_of(*visit.next)];
                    if (operand.index == unset) {
                        deeper = gate_of(*visit.next);  // and this operand again once it is left
                        break;
                    }
                    if (operand.component == unset) place.low = std::min(place.low, operand.low);
                }
                if (deeper != unset) {
                    enter(deeper);
                    continue;
                }
                path.pop_back();
                const bool closes = place.low == place.index;
                place.index = left++;
                if (!closes) continue;
                if (stack.back() == g && !reads_itself(g)) {
                    order_.emplace_back(g, unset);
                } else {
                    const auto first = std::find(stack.rbegin(), stack.rend(), g).base() - 1;
                    std::vector<std::uint32_t> members(first, stack.end());
                    std::ranges::sort(members, {}, [&](std::uint32_t m) { return places_[m].index; });
                    order_.emplace_back(members.front(), static_cast<std::uint32_t>(large_.size()));
                    large_.push_back(std::move(members));
                }
                std::uint32_t member = unset;
                do {
                    member = stack.back();
                    stack.pop_back();
                    places_[member].component = components;
                } while (member != g);
                ++components;
            }
        }
    }

    bool reads_itself(std::uint32_t g) const {
        return std::ranges::any_of(operands_of(g), [&](Literal l) { return is_gate(l) && gate_of(l) == g; });
    }

    /// Stages one after the other, each in the order found; functions keep their gates together.
    void by_stage() {
        constexpr std::size_t stages = static_cast<std::size_t>(Stage::function) + 1;
        const auto stage_of = [&](const auto& placed) { return static_cast<std::size_t>(gates_[placed.first].stage); };
        const auto owner_of = [&](const auto& placed) { return gates_[placed.first].owner; };
        std::array<std::size_t, stages> next{};  // where the next of each stage goes
        for (const auto& placed : order_)
            for (std::size_t later = stage_of(placed) + 1; later < stages; ++later) ++next[later];
        const auto functions = static_cast<std::ptrdiff_t>(next.back());
        std::vector<std::pair<std::uint32_t, std::uint32_t>> in_stages(order_.size());
        for (const auto& placed : order_) in_stages[next[stage_of(placed)]++] = placed;
        order_ = std::move(in_stages);
        std::stable_sort(order_.begin() + functions, order_.end(), [&](const auto& a, const auto& b) { return owner_of(a) < owner_of(b); });
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

    /// Draft gates as they will stand; says which make up a component.
    std::vector<std::uint32_t> in_sequence(Program& p) const {
        std::vector<std::uint32_t> sequence;
        sequence.reserve(count_);
        Shapes shapes(draft_);
        const auto stage_of = [&](std::size_t i) { return gates_[order_[i].first].stage; };
        for (std::size_t i = 0; i < order_.size();) {
            const auto begin = static_cast<std::uint32_t>(sequence.size());
            const Stage stage = stage_of(i);
            if (const std::uint32_t loop = order_[i].second; loop != unset) {
                sequence.insert(sequence.end(), large_[loop].begin(), large_[loop].end());
                p.components.push_back({.first = begin, .last = static_cast<std::uint32_t>(sequence.size()), .cyclic = true});
                ++i;
            } else {
                for (; i < order_.size() && order_[i].second == unset && stage_of(i) == stage; ++i) sequence.push_back(order_[i].first);
                if (stage != Stage::function) shapes.gather(std::span(sequence).subspan(begin));
                add_alike(p, shapes, sequence, begin);
            }
            if (stage == Stage::logic) p.logic_end = static_cast<std::uint32_t>(sequence.size());
        }
        return sequence;
    }

    void add_alike(Program& p, const Shapes& shapes, const std::vector<std::uint32_t>& sequence, std::uint32_t begin) const {
        Shape last{};
        for (std::uint32_t g = begin; g < sequence.size(); ++g) {
            const Shape shape = shapes.of(sequence[g]);
            const bool goes_on = g > begin && shape == last && (gates_[sequence[g]].stage != Stage::function || gates_[sequence[g]].owner == gates_[sequence[g - 1]].owner);
            if (goes_on) ++p.components.back().last;
            else p.components.push_back({.first = g, .last = g + 1, .negated = shape.negated});
            last = shape;
        }
    }

    void emit(Ordered& out) const {
        Program& p = out.program;
        p.inputs = draft_.inputs;
        out.moved.resize(draft_.inputs + count_);
        for (Variable v = 0; v < draft_.inputs; ++v) out.moved[v] = Literal::of(v);
        const std::vector<std::uint32_t> sequence = in_sequence(p);
        out.component_of.resize(p.logic_end);
        for (std::uint32_t c = 0; c < p.logic_components().size(); ++c)
            std::fill(out.component_of.begin() + p.components[c].first, out.component_of.begin() + p.components[c].last, c);
        const auto evaluated = static_cast<std::uint32_t>(sequence.size());
        for (std::uint32_t i = 0; i < evaluated; ++i) out.moved[draft_.inputs + sequence[i]] = Literal::of(p.output(i));
        for (std::uint32_t g = 0; g < count_; ++g)
            if (gates_[g].alias) out.moved[draft_.inputs + g] = out.at(draft_.resolved(operands_of(g).front()));
        std::size_t operands = 0;
        for (const std::uint32_t g : sequence) operands += operands_of(g).size();
        p.operands.resize(operands);
        p.gates.reserve(evaluated);
        std::uint32_t next = 0;
        for (const std::uint32_t g : sequence) {
            const std::uint32_t first = next;
            const bool any_order = gates_[g].op == Gate::Op::all || gates_[g].op == Gate::Op::any;
            for (const Literal l : operands_of(g))
                if (!any_order || l.negated()) p.operands[next++] = out.at(l);
            for (const Literal l : operands_of(g))
                if (any_order && !l.negated()) p.operands[next++] = out.at(l);
            p.gates.push_back({.op = gates_[g].op, .position = gates_[g].position, .count = gates_[g].count, .first = first, .last = next});
        }
        const auto logic = static_cast<std::uint32_t>(p.logic_components().size());
        for (std::uint32_t c = 1; c < logic; ++c) put_in_step(p, p.components[c - 1], p.components[c]);
    }

    /// Most supplies are an `all` of one `any`, that of their port's feeds, and no loss.
    static void put_in_step(Program& p, const Component& any, Component& all) {
        const auto has_shape = [&](const Component& c, Gate::Op op, std::uint32_t least, std::uint32_t most) {
            const Gate& gate = p.gates[c.first];
            return !c.cyclic && gate.op == op && !gate.position && gate.last - gate.first >= least && gate.last - gate.first <= most;
        };
        const std::uint32_t count = all.last - all.first;
        if (!has_shape(any, Gate::Op::any, 2, 4) || any.negated != 0 || !has_shape(all, Gate::Op::all, 2, 2) || any.last - any.first != count) return;
        for (std::uint32_t i = 0; i < count; ++i) {
            const auto operands = p.operands_of(p.gates[all.first + i]);
            const bool other_is_later = operands[0].variable() > p.output(any.first + i) && operands[0].variable() < p.output(any.last);
            if (other_is_later || operands[1] != Literal::of(p.output(any.first + i))) return;
        }
        all.in_step = true;
    }
};

}  // namespace fedfrom::detail
