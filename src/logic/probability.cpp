// Shannon's decomposition, once per node (Rauzy, RESS 40, 1993), with two probabilities a
// node: that its function holds and that it does not. Where edges can negate, 1 - p would be the
// textbook's step, and it loses every digit of a probability below 1e-16.
#include <algorithm>
#include <array>
#include <cmath>

#include <fedfrom/logic/probability.hpp>

#include "logic/probabilities.hpp"

namespace fedfrom {

namespace {

using detail::Edge;

/// Of a node's function and of its negation.
using Both = std::array<double, 2>;

double of(const std::vector<Both>& both, Edge e) { return both[e >> 1][e & 1]; }

std::vector<Both> probabilities(const Diagrams& d, Diagram f, const std::vector<std::uint32_t>& nodes, std::span<const double> p) {
    std::vector<Both> both((f.edge >> 1) + 1);
    both[0] = {0, 1};
    for (const std::uint32_t n : nodes) {
        const detail::DecisionNode& node = d.node(n);
        const double holds = p[node.level];
        for (const Edge negated : {0u, 1u}) both[n][negated] = holds * of(both, node.high ^ negated) + (1 - holds) * of(both, node.low ^ negated);
    }
    return both;
}

}  // namespace

double probability(const Diagrams& d, Diagram f, std::span<const double> p) {
    check_probabilities(p, d.variables());
    return std::min(1.0, of(probabilities(d, f, d.walk(f), p), f.edge));
}

std::vector<double> birnbaum(const Diagrams& d, Diagram f, std::span<const double> p) {
    check_probabilities(p, d.variables());
    const std::vector<std::uint32_t> nodes = d.walk(f);
    const std::vector<Both> both = probabilities(d, f, nodes, p);
    // The probability that a walk from the top comes by here, with an even and with an odd number of negations.
    std::vector<Both> reached(both.size());
    reached[f.edge >> 1][f.edge & 1] = 1;
    std::vector<double> result(d.variables());
    for (std::size_t i = nodes.size(); i-- > 0;) {
        const std::uint32_t n = nodes[i];
        const detail::DecisionNode& node = d.node(n);
        const double holds = p[node.level];
        // The difference of the two that hold is the difference of the two that do not, the other way round: take the smaller, which have more digits.
        const double high = of(both, node.high), low = of(both, node.low), not_high = of(both, node.high ^ 1), not_low = of(both, node.low ^ 1);
        const double difference = high + low <= not_high + not_low ? high - low : not_low - not_high;
        result[node.level] += (reached[n][0] - reached[n][1]) * difference;
        for (const Edge negated : {0u, 1u}) {
            reached[node.high >> 1][(node.high & 1) ^ negated] += reached[n][negated] * holds;
            reached[node.low >> 1][(node.low & 1) ^ negated] += reached[n][negated] * (1 - holds);
        }
    }
    return result;
}

}  // namespace fedfrom
