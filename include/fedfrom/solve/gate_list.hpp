/// Gates written out with their operands, so that to run them nothing need be looked up.
///
/// A gate is some numbers in a row: its output, what it does, its operands. An `any` is written as the `all` of the
/// opposite literals, of which the opposite is taken; a gate of another kind by its index.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/network/compiled.hpp>

namespace fedfrom::detail {

/// A gate as written: `all` of the literals, or its opposite; or `index`, and no literals.
struct ListedGate {
    Variable output;
    bool opposite;
    std::uint32_t index;                     ///< none: written out
    std::span<const std::uint32_t> literals; ///< their codes
};

inline void list_gate(const Program& p, std::uint32_t g, std::vector<std::uint32_t>& into) {
    const Gate& gate = p.gates[g];
    const bool any = gate.op == Gate::Op::any;
    into.push_back(p.output(g));
    if (any || gate.op == Gate::Op::all) {
        into.push_back((gate.last - gate.first) << 1 | any);
        for (const Literal l : p.operands_of(gate)) into.push_back((any ? !l : l).code);
    } else {
        into.push_back(none);
        into.push_back(g);
    }
}

/// Calls with each gate of a list, in its order.
template <class Call>
[[gnu::always_inline]] inline void each_listed(std::span<const std::uint32_t> list, Call call) {
    for (const std::uint32_t *at = list.data(), *const end = at + list.size(); at != end;) {
        const Variable output = at[0];
        const std::uint32_t what = at[1];
        at += 2;
        if (what == none) {
            call(ListedGate{output, false, *at++, {}});
            continue;
        }
        const std::span<const std::uint32_t> literals(at, what >> 1);
        at += literals.size();
        call(ListedGate{output, (what & 1) != 0, none, literals});
    }
}

}  // namespace fedfrom::detail
