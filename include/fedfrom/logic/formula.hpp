/// A Boolean formula as a value: gates over variables, in one array.
///
/// What is asked of diagrams.hpp and minimal_sets.hpp is asked of a `Formula`. It knows
/// nothing of what its variables stand for; in a fault tree a variable that is true has failed.
///
///     Formula f(3);                                     // a, b, c
///     const Term a = f.variable(0), b = f.variable(1), c = f.variable(2);
///     f.top = f.any({f.all({a, b}), !c});
///     f.value({true, true, true});                      // true
///
/// There is one kind of gate, "at least k of these operands": all of n is k = n, any is
/// k = 1. An operand written twice counts twice. Not is a bit of a `Term`, so that double
/// negation needs no rule. A gate reads only what was there before it: gates stand in
/// topological order and there are no cycles, which is why nothing here recurses.
#pragma once

#include <compare>
#include <cstdint>
#include <initializer_list>
#include <span>
#include <vector>

namespace fedfrom {

/// A variable, gate or constant of one formula, negated or not.
struct Term {
    std::uint32_t code = 0;  ///< twice the node, plus one where it is negated

    std::uint32_t node() const { return code >> 1; }
    bool negated() const { return (code & 1) != 0; }
    Term operator!() const { return {code ^ 1}; }
    Term negated_if(bool negate) const { return {code ^ static_cast<std::uint32_t>(negate)}; }
    auto operator<=>(const Term&) const = default;
};

class Formula {
public:
    static constexpr Term never{0}, always{1};

    explicit Formula(std::uint32_t variables = 0);

    Term variable(std::uint32_t v) const;  ///< throws std::invalid_argument where there is no such variable

    /// A new gate. An empty `all` always holds, an empty `any` never; so with `at_least` of none and of too many.
    /// Throws std::invalid_argument for an operand that is not of this formula.
    Term at_least(std::uint32_t k, std::span<const Term> operands);
    Term all(std::span<const Term> operands) { return at_least(static_cast<std::uint32_t>(operands.size()), operands); }
    Term any(std::span<const Term> operands) { return at_least(1, operands); }
    Term at_least(std::uint32_t k, std::initializer_list<Term> operands) { return at_least(k, std::span(operands.begin(), operands.size())); }
    Term all(std::initializer_list<Term> operands) { return all(std::span(operands.begin(), operands.size())); }
    Term any(std::initializer_list<Term> operands) { return any(std::span(operands.begin(), operands.size())); }

    Term top = never;  ///< what the formula says

    /// The value of `top` where variable v is `values[v]`. O(size).
    bool value(const std::vector<bool>& values) const;

    // Nodes: 0 is the constant that never holds, then the variables, then the gates.
    std::uint32_t variables() const { return variables_; }
    std::uint32_t nodes() const { return first_gate() + static_cast<std::uint32_t>(gates_.size()); }
    std::uint32_t first_gate() const { return variables_ + 1; }
    bool is_gate(std::uint32_t node) const { return node >= first_gate(); }
    bool is_variable(std::uint32_t node) const { return node != 0 && !is_gate(node); }
    std::uint32_t variable_of(std::uint32_t node) const { return node - 1; }
    std::uint32_t needed(std::uint32_t gate) const { return gates_[gate - first_gate()].needed; }  ///< the k of "at least k"
    std::span<const Term> operands(std::uint32_t gate) const;

private:
    struct Gate {
        std::uint32_t needed, first, count;  // a range of operands_
    };
    std::uint32_t variables_;
    std::vector<Gate> gates_;
    std::vector<Term> operands_;
};

/// The same formula for less work: constants are folded, a gate of one operand is that operand, an
/// operand of all or any that is there twice is dropped, gates of any (all) that only one gate of
/// any (all) reads are drawn into it, equal gates are one, what `top` does not read is gone. Variables
/// keep their numbers. Gates come in the order a depth-first walk leaves them. O(size · log size).
Formula simplified(const Formula&);

/// The same formula, simplified, with what the operands of a gate share written once: any of a·b and a·c becomes a and any of b, c, and
/// the other way about. Fewer operations to convert, but its gates no longer stand as the author wrote them, which orders go by.
Formula factored(const Formula&);

/// Variable v becomes `position[v]`.
Formula renumbered(const Formula&, std::span<const std::uint32_t> position);

}  // namespace fedfrom
