/// The compiled logic of a network: gates over variables, in evaluation order.
///
/// Variable 0 is always true. Then come the inputs (memory and zone, see
/// compiled.hpp), then one variable per gate. A literal is a variable or its
/// negation, so there are no inverter gates. Gates stand so that one sweep in
/// index order evaluates everything outside loops, where gates of one shape stand
/// together; each loop is one cyclic `Component`, whose least fixed point is found
/// by sweeping it until it rests.
/// No loop runs through a negation: order.hpp refuses such programs.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <vector>

namespace fedfrom {

using Variable = std::uint32_t;

struct Literal {
    std::uint32_t code = 0;  ///< variable * 2, plus 1 where negated

    Literal() = default;
    explicit constexpr Literal(std::uint32_t c) : code(c) {}
    static constexpr Literal of(Variable v) { return Literal(v << 1); }
    constexpr Variable variable() const { return code >> 1; }
    constexpr bool negated() const { return code & 1; }
    constexpr Literal operator!() const { return Literal(code ^ 1); }
    bool operator==(const Literal&) const = default;
};

inline constexpr Literal always{0}, never{1};

struct Gate {
    enum class Op : std::uint8_t {
        all,
        any,
        at_least,
        choose,  ///< the second operand where the first holds, else the third
    };
    Op op = Op::all;
    /// Part of a position: kept as it stands where supply alone is evaluated again.
    bool position = false;
    std::uint32_t count = 0;  ///< of `at_least`
    std::uint32_t first = 0, last = 0;  ///< its operands in Program::operands
};

/// Gates without loops that differ only in what they read, or one loop.
struct Component {
    std::uint32_t first = 0, last = 0;  ///< gates
    bool cyclic = false;
    /// Outside loops: each `all` and `any` has so many negated operands, which stand first.
    std::uint32_t negated = 0;
    /// Each gate is an `all` of something and of the gate in the same place of the component before, an `any` of two to four, none negated.
    bool in_step = false;
    std::uint32_t first_holder = 0, last_holder = 0;  ///< in Program::holders
};

/// An element that may keep itself supplied through a loop.
struct Holder {
    std::uint32_t gate = 0;  ///< of its supply
    Variable holding = 0;    ///< the memory input
};

struct Program {
    std::uint32_t inputs = 1;  ///< variables below this are inputs
    std::vector<Gate> gates;
    std::vector<Literal> operands;
    std::vector<Component> components;  ///< in order, those of the logic first
    std::vector<Holder> holders;        ///< grouped by component

    /// Gates of the logic come first; those outside it have no loops.
    std::uint32_t logic_end = 0;

    std::span<const Component> logic_components() const {
        return {components.begin(), std::ranges::lower_bound(components, logic_end, {}, &Component::first)};
    }
    std::uint32_t variables() const { return inputs + static_cast<std::uint32_t>(gates.size()); }
    Variable output(std::uint32_t gate) const { return inputs + gate; }
    /// Gates of the longest loop.
    std::uint32_t longest_loop() const {
        std::uint32_t longest = 0;
        for (const Component& c : components)
            if (c.cyclic) longest = std::max(longest, c.last - c.first);
        return longest;
    }
    std::span<const Literal> operands_of(const Gate& g) const { return {operands.data() + g.first, operands.data() + g.last}; }
};

}  // namespace fedfrom
