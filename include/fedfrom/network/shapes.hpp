/// Brings gates of one shape together, so that they are evaluated one after the other without a look at what each is.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/network/gate_builder.hpp>

namespace fedfrom::detail {

/// What two gates have in common that differ in nothing but which operands they read.
struct Shape {
    Gate::Op op = Gate::Op::all;
    bool position = false;
    std::uint32_t count = 0, operands = 0, negated = 0;  ///< of the operands
    bool operator==(const Shape&) const = default;
};

class Shapes {
public:
    explicit Shapes(const GateBuilder& draft) : draft_(draft), depth_(draft.gates.size()) {}

    Shape of(std::uint32_t g) const {
        const DraftGate& gate = draft_.gates[g];
        const auto operands = draft_.operands(gate);
        return {gate.op, gate.position, gate.count, static_cast<std::uint32_t>(operands.size()), static_cast<std::uint32_t>(std::ranges::count_if(operands, &Literal::negated))};
    }

    /// Gates, each after those of them it reads: by depth, and those of one depth by shape. Linear: by counting, the later key first.
    void gather(std::span<std::uint32_t> gates) {
        std::uint32_t deepest = 0;
        for (const std::uint32_t g : gates) {
            std::uint32_t depth = 1;
            for (const Literal l : draft_.operands(draft_.gates[g]))
                if (l.variable() >= draft_.inputs) depth = std::max(depth, depth_[l.variable() - draft_.inputs] + 1);
            deepest = std::max(deepest, depth_[g] = depth);
        }
        by(gates, kinds, [&](std::uint32_t g) { return kind(of(g)); });
        by(gates, deepest + 1, [&](std::uint32_t g) { return depth_[g]; });
        for (const std::uint32_t g : gates) depth_[g] = 0;  // for whoever reads them from elsewhere they are no depth
    }

private:
    const GateBuilder& draft_;
    std::vector<std::uint32_t> depth_;  // by draft gate, of those being gathered
    std::vector<std::uint32_t> next_, sorted_;

    /// Of large gates, which are few, not all shapes are told apart.
    static constexpr std::uint32_t most_operands = 15, most_negated = 3, kinds = 8 * (most_negated + 1) * (most_operands + 1);
    static std::uint32_t kind(const Shape& s) {
        return ((static_cast<std::uint32_t>(s.op) * 2 + s.position) * (most_negated + 1) + std::min(s.negated, most_negated)) * (most_operands + 1) + std::min(s.operands, most_operands);
    }

    template <class Key>
    void by(std::span<std::uint32_t> gates, std::uint32_t keys, Key key) {
        next_.assign(keys + 1, 0);
        for (const std::uint32_t g : gates) ++next_[key(g) + 1];
        for (std::uint32_t k = 0; k < keys; ++k) next_[k + 1] += next_[k];
        sorted_.resize(gates.size());
        for (const std::uint32_t g : gates) sorted_[next_[key(g)]++] = g;
        std::ranges::copy(sorted_, gates.begin());
    }
};

}  // namespace fedfrom::detail
