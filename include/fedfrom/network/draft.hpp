/// A network while it is being compiled, and the steps' shared vocabulary.
///
/// compile.hpp runs the steps in order; each is one header:
/// wiring.hpp (ports, feeds, ties), inputs.hpp (memory and zone variables),
/// logic.hpp (conditions, positions, supply), links.hpp (what a fault runs
/// along), judging.hpp (functions).
#pragma once

#include <algorithm>
#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include <fedfrom/model/id_table.hpp>
#include <fedfrom/model/resolve.hpp>
#include <fedfrom/network/compiled.hpp>
#include <fedfrom/network/gate_builder.hpp>

namespace fedfrom::detail {

/// A coil or a field winding: a fault goes out of it, never into it.
inline bool own_circuit(const PortInfo& port) { return port.name == "control" || port.name == "field"; }

struct Draft {
    Compiled& out;
    model::IdTable ids{out.model.elements.size()};  ///< of the elements
    GateBuilder gates{};

    /// Position sets asked for: (element, bit set) to the gate that answers.
    /// Those of the logic serve all; those of later stages only their own.
    std::unordered_map<std::uint64_t, Literal> known{}, known_here{};
    struct Asked {
        std::uint32_t element, positions, gate;
    };
    std::vector<Asked> asked{};
    /// Gates that say the opposite of others, made in this stage.
    std::unordered_map<std::uint32_t, Literal> opposites{};
    /// While a mode's condition is compiled: it named something not fitted.
    bool met_unfitted = false;

    std::uint32_t element(std::string_view id) const { return ids.find(id); }

    std::uint32_t position(std::uint32_t e, std::string_view word) const {
        const auto& list = out.elements[e].positions;
        const auto it = std::ranges::find(list, word);
        return it == list.end() ? none : static_cast<std::uint32_t>(it - list.begin());
    }
    std::uint32_t position_bit(std::uint32_t e, std::string_view word) const {
        const std::uint32_t p = position(e, word);
        return p == none ? 0 : 1u << p;
    }
    std::uint32_t all_positions(std::uint32_t e) const {
        return static_cast<std::uint32_t>((std::uint64_t{1} << out.elements[e].positions.size()) - 1);
    }

    /// True only in the element's failure `mode`; `never` where it cannot fail so.
    Literal failed(std::uint32_t e, std::string_view mode) const {
        for (std::uint32_t f = out.elements[e].failures.first; f < out.elements[e].failures.last; ++f)
            if (out.failures[f].mode == mode) return Literal::of(out.failures[f].variable);
        return never;
    }

    std::uint32_t zone(std::uint32_t e, std::uint32_t medium) const {
        for (std::uint32_t z = out.elements[e].zones.first; z < out.elements[e].zones.last; ++z)
            if (out.zones[z].medium == medium) return z;
        return none;
    }
};

}  // namespace fedfrom::detail
