/// Who reads a variable: so that after a change only what it can reach is evaluated again.
#pragma once

#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/solve/by_variable.hpp>
#include <fedfrom/solve/cone.hpp>

namespace fedfrom::detail {

/// Readers are gates by their index (a loop by its first gate), then what the settler watches.
class Readers {
public:
    explicit Readers(const Compiled& c) : Readers(c, whole_cone(c)) {}

    /// What is outside the cone is told nothing; `judged` watches the modes of these functions.
    Readers(const Compiled& c, const Cone& cone, std::span<const std::uint32_t> functions = {}) : gates_(static_cast<std::uint32_t>(c.program.gates.size())) {
        std::vector<std::pair<Variable, std::uint32_t>> edges;
        const Program& p = c.program;
        std::vector<std::uint32_t> loop(p.logic_end);
        for (std::uint32_t g = 0; g < p.logic_end; ++g) loop[g] = g;
        for (const Component& component : p.components)
            for (std::uint32_t g = component.first; component.cyclic && g < component.last; ++g) loop[g] = component.first;
        for (std::uint32_t g = 0; g < p.gates.size(); ++g) {
            if (!cone.gates[g]) continue;
            for (const Literal l : p.operands_of(p.gates[g])) {
                const std::uint32_t reader = g < p.logic_end ? loop[g] : g;
                const bool inside = l.variable() >= p.inputs && l.variable() - p.inputs < p.logic_end && reader == loop[l.variable() - p.inputs];
                if (!inside) edges.emplace_back(l.variable(), reader);
            }
        }
        for (std::uint32_t h = 0; h < p.holders.size(); ++h)
            if (p.holders[h].gate < p.logic_end && cone.gates[p.holders[h].gate]) edges.emplace_back(p.holders[h].holding, loop[p.holders[h].gate]);

        std::uint32_t next = gates_;
        const auto watched = [&](std::size_t count) { return Range{next, next += static_cast<std::uint32_t>(count)}; };
        cells = watched(c.memory_cells.size());
        for (std::uint32_t i = 0; i < c.memory_cells.size(); ++i)
            for (std::uint32_t s = 0; cone.cells[i] && s < c.memory_cells[i].sent.size(); ++s) {
                edges.emplace_back(c.memory_cells[i].sent[s].variable(), cells.first + i);
                edges.emplace_back(c.elements[c.memory_cells[i].element].held + s, cells.first + i);
            }
        holders = watched(c.holders.size());
        for (std::uint32_t h = 0; h < c.holders.size(); ++h) {
            if (!cone.holders[h]) continue;
            edges.emplace_back(c.elements[c.holders[h]].supplied.variable(), holders.first + h);
            edges.emplace_back(c.elements[c.holders[h]].holding, holders.first + h);
        }
        standing = watched(c.sticking.size());
        for (std::uint32_t i = 0; i < c.sticking.size(); ++i)
            for (std::uint32_t s = 0; s < c.elements[c.sticking[i]].stands.size(); ++s) {
                edges.emplace_back(c.elements[c.sticking[i]].stands[s].variable(), standing.first + i);
                edges.emplace_back(c.elements[c.sticking[i]].held + s, standing.first + i);
            }
        seeds.first = next;
        for (const ZoneInfo& z : c.zones)
            if (z.seed != never) edges.emplace_back(z.seed.variable(), next++);
        seeds.last = next;
        // Of a diode whose short only lets a fault through, no gate may be the reader: without this nothing would hang on it.
        each_that_guides_faults(c, [&](Variable v) {
            if (v < p.inputs && cone.inputs[v] && seeds.size() > 0) edges.emplace_back(v, seeds.first);
        });
        judged = watched(functions.size());
        for (std::uint32_t i = 0; i < functions.size(); ++i)
            for (const ModeInfo& m : c.functions[functions[i]].modes) edges.emplace_back(m.when.variable(), judged.first + i);
        end_ = next;
        readers_ = ByVariable(edges, p.variables());
    }

    std::span<const std::uint32_t> of(Variable v) const { return readers_.of(v); }
    std::uint32_t end() const { return end_; }

    Range cells, holders;  ///< by memory cell, by holder
    Range standing;        ///< by place among what may stick
    Range seeds;           ///< by place among the zones where a fault may begin
    Range judged;          ///< by place in `functions`: one whose modes' conditions changed

private:
    std::uint32_t gates_, end_ = 0;
    ByVariable readers_;
};

}  // namespace fedfrom::detail
