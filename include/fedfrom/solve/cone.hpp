/// What the answers about some functions hang on, through gates and through memory.
#pragma once

#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/network/compiled.hpp>

namespace fedfrom::detail {

struct Cone {
    std::vector<bool> gates, cells, holders;
    std::vector<bool> inputs;  ///< by variable: memory, and levels of other functions
};

/// Everything: for a session, which reports everything.
inline Cone whole_cone(const Compiled& c) {
    return {std::vector<bool>(c.program.gates.size(), true), std::vector<bool>(c.memory_cells.size(), true), std::vector<bool>(c.holders.size(), true), std::vector<bool>(c.program.inputs, true)};
}

/// Calls with each variable that decides whether a fault goes on along a link, beside supply and positions.
template <class Call>
void each_that_guides_faults(const Compiled& c, Call call) {
    for (const Literal l : c.link_literals) call(l.variable());
    for (const std::uint32_t e : c.protecting) call(c.elements[e].works.variable());
}

/// Of these variables, backwards. `faults`: shorts, leaks and jams may be about, and all that decides how far they
/// go counts too.
inline Cone cone_from(const Compiled& c, std::vector<Variable> todo, bool faults) {
    const Program& p = c.program;
    Cone cone{std::vector<bool>(p.gates.size(), false), std::vector<bool>(c.memory_cells.size(), faults), std::vector<bool>(c.holders.size(), faults),
              std::vector<bool>(p.inputs, false)};
    std::vector<std::uint32_t> cell_of(c.memory_end, none), holder_of(c.memory_end, none), loop_of(p.logic_end, none);
    for (std::uint32_t i = 0; i < c.memory_cells.size(); ++i)
        for (std::uint32_t s = 0; s < c.memory_cells[i].sent.size(); ++s) cell_of[c.elements[c.memory_cells[i].element].held + s] = i;
    for (std::uint32_t h = 0; h < c.holders.size(); ++h) holder_of[c.elements[c.holders[h]].holding] = h;
    for (std::uint32_t i = 0; i < p.components.size(); ++i)
        for (std::uint32_t g = p.components[i].first; p.components[i].cyclic && g < p.components[i].last; ++g) loop_of[g] = i;

    const auto from_cell = [&](std::uint32_t i) {
        for (const Literal l : c.memory_cells[i].sent) todo.push_back(l.variable());
    };
    const auto from_holder = [&](std::uint32_t h) { todo.push_back(c.elements[c.holders[h]].supplied.variable()); };
    if (faults) {
        for (std::uint32_t g = 0; g < c.standing_gates.last; ++g) todo.push_back(p.output(g));
        for (std::uint32_t i = 0; i < c.memory_cells.size(); ++i) from_cell(i);
        for (std::uint32_t h = 0; h < c.holders.size(); ++h) from_holder(h);
        each_that_guides_faults(c, [&](Variable v) { todo.push_back(v); });
    }
    while (!todo.empty()) {
        const Variable v = todo.back();
        todo.pop_back();
        if (v < c.memory_end) {
            if (cell_of[v] != none && !cone.cells[cell_of[v]]) {
                cone.cells[cell_of[v]] = true;
                from_cell(cell_of[v]);
            }
            if (holder_of[v] != none && !cone.holders[holder_of[v]]) {
                cone.holders[holder_of[v]] = true;
                from_holder(holder_of[v]);
            }
        }
        if (v < p.inputs) {
            cone.inputs[v] = true;
            continue;
        }
        if (cone.gates[v - p.inputs]) continue;
        const std::uint32_t g = v - p.inputs;
        cone.gates[g] = true;
        for (const Literal l : p.operands_of(p.gates[g])) todo.push_back(l.variable());
        if (g >= p.logic_end || loop_of[g] == none) continue;
        const Component& loop = p.components[loop_of[g]];  // evaluated as a whole
        for (std::uint32_t member = loop.first; member < loop.last; ++member) todo.push_back(p.output(member));
        for (std::uint32_t h = loop.first_holder; h < loop.last_holder; ++h) todo.push_back(p.holders[h].holding);
    }
    return cone;
}

/// Of the modes of these functions, and of `also`.
inline Cone cone_of(const Compiled& c, std::span<const std::uint32_t> functions, bool faults, std::span<const Variable> also = {}) {
    std::vector<Variable> from(also.begin(), also.end());
    for (const std::uint32_t f : functions)
        for (const ModeInfo& m : c.functions[f].modes) from.push_back(m.when.variable());
    return cone_from(c, std::move(from), faults);
}

/// Of a cone, what decides where its memory moves: it moves the same as long as nothing of this changes, faults apart.
inline Cone deciding_moves(const Compiled& c, const Cone& of) {
    std::vector<Variable> from;
    for (std::size_t i = 0; i < of.cells.size(); ++i)
        if (of.cells[i]) from.push_back(c.elements[c.memory_cells[i].element].held);
    for (std::size_t h = 0; h < of.holders.size(); ++h)
        if (of.holders[h]) from.push_back(c.elements[c.holders[h]].holding);
    return cone_from(c, std::move(from), false);
}

}  // namespace fedfrom::detail
