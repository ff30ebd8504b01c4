// A function rises with a variable where each of its nodes of that variable has a high edge that holds wherever its low edge does:
// whatever the variables above are, the way down comes to one of these nodes, or to a function that does not read the variable. Where the way
// comes with a negation, it is the other way round, and a node may be reached both ways.
#include <fedfrom/logic/helping.hpp>

#include <algorithm>
#include <array>

#include "logic/by_gates.hpp"

namespace fedfrom {

std::vector<std::uint32_t> read_negated(const Formula& f) {
    const std::vector<std::uint32_t> read = times_read_by_code(f);
    std::vector<std::uint32_t> found;
    for (std::uint32_t v = 0; v < f.variables(); ++v)
        if (read[(!f.variable(v)).code] != 0) found.push_back(v);
    return found;
}

bool is_coherent(const Formula& f) { return read_negated(f).empty(); }

std::vector<std::uint32_t> helping(OrderedDiagram& f, std::span<const std::uint32_t> variables) {
    if (variables.empty()) return {};
    Diagrams& d = f.diagrams;
    const std::vector<std::uint32_t> level = positions(f.order);
    enum class Can : std::uint8_t { not_asked, not_known, help };
    std::vector<Can> can(level.size(), Can::not_asked);  // by level
    for (const std::uint32_t v : variables) can[level[v]] = Can::not_known;

    const std::vector<std::uint32_t> nodes = d.walk(f.top);
    std::vector<std::array<bool, 2>> reached((f.top.edge >> 1) + 1);  // plain, negated
    reached[f.top.edge >> 1][f.top.edge & 1] = true;
    for (std::size_t i = nodes.size(); i-- > 0;)
        for (const detail::Edge negated : {0u, 1u}) {
            if (!reached[nodes[i]][negated]) continue;
            const detail::DecisionNode& node = d.node(nodes[i]);
            const Diagram low{node.low ^ negated}, high{node.high ^ negated};
            for (const Diagram next : {low, high}) reached[next.edge >> 1][next.edge & 1] = true;
            Can& here = can[node.level];
            if (here == Can::not_known && !d.implies(low, high)) here = Can::help;
        }

    std::vector<std::uint32_t> found;
    for (std::uint32_t l = 0; l < can.size(); ++l)
        if (can[l] == Can::help) found.push_back(f.order[l]);
    std::ranges::sort(found);
    return found;
}

}  // namespace fedfrom
