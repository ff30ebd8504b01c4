/// Gates while a network is being compiled: made in any order, folded where an
/// operand is constant, and put into evaluation order at the end (order.hpp).
#pragma once

#include <algorithm>
#include <cstdint>
#include <utility>
#include <vector>

#include <fedfrom/network/program.hpp>

namespace fedfrom::detail {

/// What a gate belongs to, for the order of evaluation and for naming loops.
enum class Stage : std::uint8_t { logic, command, standing, report, function };

struct DraftGate {
    Gate::Op op = Gate::Op::all;
    bool position = false;
    Stage stage = Stage::logic;
    std::uint32_t count = 0;
    std::uint32_t owner = 0;  ///< element (function, in stage `function`)
    bool reserved = false;    ///< a supply or a position set, which loops run through
    bool alias = false;       ///< only another name for its one operand
    std::vector<Literal> operands;
};

/// Draft gate g is variable `inputs + g`, as in the finished program before reordering.
class GateBuilder {
public:
    std::uint32_t inputs = 1;
    std::vector<DraftGate> gates;

    // what the gates made from now on belong to
    Stage stage = Stage::logic;
    bool position = false;
    std::uint32_t owner = 0;

    Variable input() { return inputs++; }

    /// A gate to be defined later. All inputs must exist by now.
    std::uint32_t reserve() {
        gates.push_back({.position = position, .stage = stage, .owner = owner, .reserved = true, .operands = {}});
        return static_cast<std::uint32_t>(gates.size() - 1);
    }
    Literal output(std::uint32_t gate) const { return Literal::of(inputs + gate); }

    void define(std::uint32_t gate, std::vector<Literal> operands) {
        gates[gate].op = Gate::Op::all;
        gates[gate].operands = std::move(operands);
    }

    /// Makes a reserved gate another name for a literal; it will not be evaluated.
    void define_as(std::uint32_t gate, Literal same) {
        gates[gate].alias = true;
        gates[gate].operands = {same};
    }
    Literal resolved(Literal l) const {
        while (l.variable() >= inputs && gates[l.variable() - inputs].alias) {
            const Literal same = gates[l.variable() - inputs].operands.front();
            l = l.negated() ? !same : same;
        }
        return l;
    }
    void resolve_aliases() {
        for (DraftGate& g : gates)
            for (Literal& l : g.operands) l = resolved(l);
    }

    Literal all(std::vector<Literal> of) { return gather(Gate::Op::all, std::move(of), always); }
    Literal any(std::vector<Literal> of) { return gather(Gate::Op::any, std::move(of), never); }

    Literal at_least(std::int64_t k, std::vector<Literal> of) {
        k -= std::erase(of, always);
        std::erase(of, never);
        const auto n = static_cast<std::int64_t>(of.size());
        if (k <= 0) return always;
        if (k > n) return never;
        if (k == 1) return any(std::move(of));
        if (k == n) return all(std::move(of));
        return make(Gate::Op::at_least, std::move(of), static_cast<std::uint32_t>(k));
    }

    /// `then` where `when` holds, else `otherwise`. In a loop, `when` must be an input.
    Literal choose(Literal when, Literal then, Literal otherwise) {
        if (when == always || then == otherwise) return then;
        if (when == never) return otherwise;
        return make(Gate::Op::choose, {when, then, otherwise}, 0);
    }

private:
    Literal gather(Gate::Op op, std::vector<Literal> of, Literal neutral) {
        if (std::ranges::find(of, !neutral) != of.end()) return !neutral;
        std::erase(of, neutral);
        if (of.empty()) return neutral;
        if (of.size() == 1) return of.front();
        return make(op, std::move(of), 0);
    }
    Literal make(Gate::Op op, std::vector<Literal> of, std::uint32_t count) {
        gates.push_back({.op = op, .position = position, .stage = stage, .count = count, .owner = owner, .operands = std::move(of)});
        return output(static_cast<std::uint32_t>(gates.size() - 1));
    }
};

}  // namespace fedfrom::detail
