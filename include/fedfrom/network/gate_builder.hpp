/// Gates while a network is being compiled: made in any order, folded where an
/// operand is constant, and put into evaluation order at the end (order.hpp).
#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <initializer_list>
#include <span>
#include <vector>

#include <fedfrom/network/program.hpp>

namespace fedfrom::detail {

/// What a gate belongs to, for the order of evaluation and for naming loops.
enum class Stage : std::uint8_t { logic, command, standing, report, function };

struct DraftGate {
    Gate::Op op = Gate::Op::all;
    bool position = false;
    Stage stage = Stage::logic;
    bool reserved = false;    ///< a supply or a position set, which loops run through
    bool alias = false;       ///< only another name for its one operand
    std::uint32_t count = 0;
    std::uint32_t owner = 0;  ///< element (function, in stage `function`)
    std::uint32_t first = 0, last = 0;  ///< its operands, in the builder
};

/// Operands on their way into a gate. Most gates have few: those take no memory from the heap.
class Operands {
public:
    Operands() = default;
    Operands(std::initializer_list<Literal> list) : Operands(std::span(list.begin(), list.size())) {}
    explicit Operands(std::span<const Literal> list) {
        for (const Literal l : list) push_back(l);
    }

    void push_back(Literal l) {
        if (size_ < few_.size() && many_.empty()) {
            few_[size_++] = l;
            return;
        }
        if (many_.empty()) many_.assign(few_.begin(), few_.end());
        many_.push_back(l);
        ++size_;
    }
    /// Removes all that equal `l`; says how many.
    std::size_t erase(Literal l) {
        const auto rest = std::remove(begin(), end(), l);
        const auto gone = static_cast<std::size_t>(end() - rest);
        size_ -= gone;
        if (!many_.empty()) many_.resize(size_);
        return gone;
    }

    Literal* begin() { return many_.empty() ? few_.data() : many_.data(); }
    Literal* end() { return begin() + size_; }
    const Literal* begin() const { return many_.empty() ? few_.data() : many_.data(); }
    const Literal* end() const { return begin() + size_; }
    Literal operator[](std::size_t i) const { return begin()[i]; }
    std::size_t size() const { return size_; }
    bool empty() const { return size_ == 0; }

private:
    std::array<Literal, 8> few_;
    std::vector<Literal> many_;  // all of them, once they are more
    std::size_t size_ = 0;
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

    /// Room for a draft of about so many gates.
    void expect(std::size_t count) {
        gates.reserve(count);
        operands_.reserve(3 * count);
    }

    Variable input() { return inputs++; }

    /// A gate to be defined later. All inputs must exist by now.
    std::uint32_t reserve() {
        gates.push_back({.position = position, .stage = stage, .reserved = true, .owner = owner});
        return static_cast<std::uint32_t>(gates.size() - 1);
    }
    Literal output(std::uint32_t gate) const { return Literal::of(inputs + gate); }

    std::span<const Literal> operands(const DraftGate& g) const { return {operands_.data() + g.first, operands_.data() + g.last}; }

    void define(std::uint32_t gate, std::span<const Literal> of) {
        gates[gate].op = Gate::Op::all;
        replace_operands(gates[gate], of);
    }
    /// The new ones are laid out behind all others; the place of the old ones is lost.
    void replace_operands(DraftGate& g, std::span<const Literal> of) {
        g.first = static_cast<std::uint32_t>(operands_.size());
        lay_out(of);
        g.last = static_cast<std::uint32_t>(operands_.size());
    }

    /// Makes a reserved gate another name for a literal; it will not be evaluated.
    void define_as(std::uint32_t gate, Literal same) {
        gates[gate].alias = true;
        replace_operands(gates[gate], std::span(&same, 1));
    }
    Literal resolved(Literal l) const {
        while (l.variable() >= inputs && gates[l.variable() - inputs].alias) {
            const Literal same = operands(gates[l.variable() - inputs]).front();
            l = l.negated() ? !same : same;
        }
        return l;
    }
    void resolve_aliases() {
        for (Literal& l : operands_) l = resolved(l);
    }

    Literal all(std::span<const Literal> of) { return gather(Gate::Op::all, of, always); }
    Literal any(std::span<const Literal> of) { return gather(Gate::Op::any, of, never); }
    Literal all(std::initializer_list<Literal> of) { return all(std::span(of.begin(), of.size())); }
    Literal any(std::initializer_list<Literal> of) { return any(std::span(of.begin(), of.size())); }

    Literal at_least(std::int64_t k, Operands of) {
        k -= static_cast<std::int64_t>(of.erase(always));
        of.erase(never);
        const auto n = static_cast<std::int64_t>(of.size());
        if (k <= 0) return always;
        if (k > n) return never;
        if (k == 1) return any(of);
        if (k == n) return all(of);
        return make(Gate::Op::at_least, of, static_cast<std::uint32_t>(k));
    }

    /// `then` where `when` holds, else `otherwise`. In a loop, `when` must be an input.
    Literal choose(Literal when, Literal then, Literal otherwise) {
        if (when == always || then == otherwise) return then;
        if (when == never) return otherwise;
        return make(Gate::Op::choose, std::array{when, then, otherwise}, 0);
    }

private:
    std::vector<Literal> operands_;  // of all gates

    void lay_out(std::span<const Literal> of) {
        for (const Literal l : of) operands_.push_back(l);  // few: cheaper one by one than as a range
    }
    /// Operands are laid out as they are looked at, and taken back where no gate is needed.
    Literal gather(Gate::Op op, std::span<const Literal> of, Literal neutral) {
        const std::size_t first = operands_.size();
        const auto instead = [&](Literal l) { return operands_.resize(first), l; };
        for (const Literal l : of) {
            if (l == !neutral) return instead(l);
            if (l != neutral) operands_.push_back(l);
        }
        if (operands_.size() == first) return neutral;
        if (operands_.size() == first + 1) return instead(operands_.back());
        return made(op, first, 0);
    }
    Literal make(Gate::Op op, std::span<const Literal> of, std::uint32_t count) {
        const std::size_t first = operands_.size();
        lay_out(of);
        return made(op, first, count);
    }
    /// A gate of the operands laid out last.
    Literal made(Gate::Op op, std::size_t first, std::uint32_t count) {
        gates.push_back({.op = op, .position = position, .stage = stage, .count = count, .owner = owner,
                         .first = static_cast<std::uint32_t>(first), .last = static_cast<std::uint32_t>(operands_.size())});
        return output(static_cast<std::uint32_t>(gates.size() - 1));
    }
};

}  // namespace fedfrom::detail
