/// A settled state with every value its hunting cells may have (rule M15).
///
/// Almost always one world. Where cells hunt, one for every combination of the
/// values they took; what is not the same in all of them is unknown, never OK.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <fedfrom/solve/settler.hpp>

namespace fedfrom {

struct Worlds {
    /// Every variable, by world; the first is the state as it stands.
    std::vector<std::vector<One>> values;
    /// Too many combinations to try: everything is unknown.
    bool all_unknown = false;

    /// The truth of a literal; no value where it is unknown.
    std::optional<bool> truth(Literal l) const {
        if (all_unknown && l.variable() != 0) return std::nullopt;
        const bool first = read(0, l);
        for (std::size_t w = 1; w < values.size(); ++w)
            if (read(w, l) != first) return std::nullopt;
        return first;
    }
    bool read(std::size_t world, Literal l) const { return any(values[world][l.variable()]) != l.negated(); }
};

namespace detail {

inline constexpr std::size_t most_worlds = 256;

/// One cell that hunts: the variables that say its value, and which of them it may be.
struct Hunting {
    Variable first = 0;
    std::uint32_t count = 0;              ///< 1: a holder, on or off
    std::vector<std::uint32_t> may_be;
};

inline std::vector<Hunting> hunting_cells(const Compiled& c, const Frozen<One>& frozen) {
    std::vector<Hunting> cells;
    std::size_t base = 0;
    for (std::size_t i = 0; i < c.memory_cells.size(); ++i) {
        const auto positions = static_cast<std::uint32_t>(c.memory_cells[i].sent.size());
        if (any(frozen.cells[i])) {
            Hunting cell{c.elements[c.memory_cells[i].element].held, positions, {}};
            for (std::uint32_t p = 0; p < positions; ++p)
                if (any(frozen.took[base + p])) cell.may_be.push_back(p);
            cells.push_back(std::move(cell));
        }
        base += positions;
    }
    for (std::size_t h = 0; h < c.holders.size(); ++h)
        if (any(frozen.holders[h])) cells.push_back({c.elements[c.holders[h]].holding, 1, {0, 1}});
    return cells;
}

inline void put(std::span<One> values, const Hunting& cell, std::uint32_t value) {
    if (cell.count == 1) values[cell.first] = One::filled(value == 1);
    else
        for (std::uint32_t p = 0; p < cell.count; ++p) values[cell.first + p] = One::filled(p == value);
}

/// Settles `memory` in place and gives the worlds it may be in.
inline Worlds settle_worlds(const Compiled& c, Settler<One>& settler, std::vector<One>& memory, Frozen<One>& frozen) {
    settler.load(memory);
    settler.settle(frozen);
    settler.report();
    const auto values = settler.values();
    memory.assign(values.begin(), values.begin() + c.memory_end);
    Worlds worlds;
    worlds.values.emplace_back(values.begin(), values.end());

    const std::vector<Hunting> cells = hunting_cells(c, frozen);
    if (cells.empty()) return worlds;
    std::size_t combinations = 1;
    for (const Hunting& cell : cells) {
        combinations *= cell.may_be.size();
        if (combinations > most_worlds) {
            worlds.all_unknown = true;
            return worlds;
        }
    }
    for (std::size_t n = 0; n < combinations; ++n) {
        settler.load(memory);
        std::size_t rest = n;
        for (const Hunting& cell : cells) {
            put(settler.values(), cell, cell.may_be[rest % cell.may_be.size()]);
            rest /= cell.may_be.size();
        }
        settler.evaluate();
        settler.report();
        worlds.values.emplace_back(settler.values().begin(), settler.values().end());
    }
    return worlds;
}

}  // namespace detail
}  // namespace fedfrom
