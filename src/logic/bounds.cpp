// Sums over all sets of a family without listing them.
//
// The sum of the sets' probabilities is one walk (Minato's diagrams count with 1 where this has
// p). The min-cut upper bound (Esary and Proschan, "Coherent structures of non-identical
// components", Technometrics 5, 1963), 1 - prod(1 - P(S)), is no sum, but its logarithm is:
//
//     -log(1 - P) = P + P²/2 + P³/3 + …
//
// and the sum of P(S)^j over all sets is the walk with p^j for p. The series is slow where P is near one and has no
// end at one. Sets of at least one half are therefore found and taken alone. There are few, or the bound is one anyway.
#include <algorithm>
#include <cmath>

#include <fedfrom/logic/probability.hpp>

#include "logic/probabilities.hpp"

namespace fedfrom {

namespace {

/// Over the sets of f: the sum of P(S)^power.
double power_sum(const std::vector<std::uint32_t>& nodes, const Families& s, Family f, std::span<const double> p, int power) {
    std::vector<double> sum(std::max<std::size_t>(2, (f.edge >> 1) + 1));
    sum[1] = 1;
    for (const std::uint32_t n : nodes) {
        const detail::DecisionNode& node = s.node(n);
        double factor = 1;
        for (int i = 0; i < power; ++i) factor *= p[node.level];
        sum[n] = sum[node.low >> 1] + factor * sum[node.high >> 1];
    }
    return sum[f.edge >> 1];
}

/// By node, the probability of the likeliest set.
std::vector<double> likeliest_below(const std::vector<std::uint32_t>& nodes, const Families& s, Family f, std::span<const double> p) {
    std::vector<double> most(std::max<std::size_t>(2, (f.edge >> 1) + 1));
    most[1] = 1;
    for (const std::uint32_t n : nodes) {
        const detail::DecisionNode& node = s.node(n);
        most[n] = std::max(most[node.low >> 1], p[node.level] * most[node.high >> 1]);
    }
    return most;
}

constexpr std::size_t enough = 64;  // so many sets of one half, and the bound is one in any digit a double has

/// The probabilities of the sets of one half at least, `enough` of them at most.
std::vector<double> likely_sets(const std::vector<double>& most, const Families& s, Family f, std::span<const double> p) {
    std::vector<double> found;
    std::vector<std::pair<Family, double>> todo{{f, 1.0}};
    while (!todo.empty() && found.size() < enough) {
        const auto [here, above] = todo.back();
        todo.pop_back();
        if (above * most[here.edge >> 1] < 0.5) continue;
        if (here == Families::unit) {
            found.push_back(above);
            continue;
        }
        const detail::DecisionNode& n = s.node(here);
        todo.push_back({{n.low}, above});
        todo.push_back({{n.high}, above * p[n.level]});
    }
    return found;
}

}  // namespace

double rare_event(const Families& s, Family f, std::span<const double> p) {
    check_probabilities(p, s.levels());
    return power_sum(s.walk(f), s, f, p, 1);
}

double min_cut_upper_bound(const Families& s, Family f, std::span<const double> p) {
    check_probabilities(p, s.levels());
    const std::vector<std::uint32_t> nodes = s.walk(f);
    const std::vector<double> likely = likely_sets(likeliest_below(nodes, s, f, p), s, f, p);
    if (likely.size() == enough) return 1;
    double logarithm = 0;
    for (const double q : likely) {
        if (q >= 1) return 1;
        logarithm -= std::log1p(-q);
    }
    for (int power = 1; power <= 64; ++power) {  // each term is at most half the one before
        double sum = power_sum(nodes, s, f, p, power);
        for (const double q : likely) sum -= std::pow(q, power);
        logarithm += std::max(0.0, sum) / power;
        if (sum <= logarithm * 1e-17) break;
    }
    return -std::expm1(-logarithm);
}

}  // namespace fedfrom
