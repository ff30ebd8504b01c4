// Rauzy's minimal solutions ("New algorithms for fault trees analysis", RESS 40, 1993).
//
// In f = (x, high, low), those without x are those of low; those with x are those of high, less each
// that contains one of low. The textbook states it for coherent functions. Asking for sets with
// which f holds while everything else is false, it is true of any function, and so of negated edges. A
// variable that a path skips is in no minimal set.
//
// No recursion: nodes stand behind what they read, so one walk down marks which nodes are wanted,
// plain or negated, and one walk up solves them.
#include <array>
#include <stdexcept>

#include <fedfrom/logic/solutions.hpp>

namespace fedfrom {

Family minimal_solutions(const Diagrams& d, Diagram f, Families& s) {
    if (s.levels() != d.variables()) throw std::invalid_argument("families and diagrams are over the same variables");
    using detail::Edge;
    const std::vector<std::uint32_t> nodes = d.walk(f);
    std::vector<std::array<bool, 2>> wanted((f.edge >> 1) + 1);
    wanted[f.edge >> 1][f.edge & 1] = true;
    const auto both_ways = {Edge{0}, Edge{1}};
    for (std::size_t i = nodes.size(); i-- > 0;)
        for (const Edge negated : both_ways)
            if (wanted[nodes[i]][negated])
                for (const Edge e : {d.node(nodes[i]).low, d.node(nodes[i]).high}) wanted[e >> 1][(e & 1) ^ negated] = true;

    std::vector<std::array<Family, 2>> solved(wanted.size());
    solved[0] = {Families::none, Families::unit};
    for (const std::uint32_t n : nodes)
        for (const Edge negated : both_ways)
            if (wanted[n][negated]) {
                const detail::DecisionNode& node = d.node(n);
                const Family low = solved[node.low >> 1][(node.low & 1) ^ negated];
                const Family high = solved[node.high >> 1][(node.high & 1) ^ negated];
                solved[n][negated] = s.make(node.level, low, s.without(high, low));
            }
    return solved[f.edge >> 1][f.edge & 1];
}

}  // namespace fedfrom
