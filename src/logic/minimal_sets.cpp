// Which way to the minimal sets, what of them is wanted, and how sure that is.
//
// A limit on probability is one on weight: a variable weighs -log2 p in 64ths, rounded down, and a set may weigh
// what its least probability does, rounded up. No set that is wanted weighs too much, and weights, being whole numbers,
// make few different limits, so that results are found again.
#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <fedfrom/logic/helping.hpp>
#include <fedfrom/logic/minimal_sets.hpp>
#include <fedfrom/logic/probability.hpp>
#include <fedfrom/logic/solutions.hpp>

#include "logic/assembly.hpp"
#include "logic/by_gates.hpp"
#include "logic/probabilities.hpp"

namespace fedfrom {

namespace {

/// What a set may weigh.
struct Limit {
    std::vector<std::uint32_t> weights;  // by level; empty where each weighs one
    std::uint32_t most = no_limit;
};

Limit limit_of(const Wanted& wanted, std::span<const double> p) {
    if (wanted.at_least == 0) return {{}, wanted.order};
    constexpr double parts = 64, doubt = 1e-6;  // far more than a logarithm is wrong by
    Limit limit{{}, static_cast<std::uint32_t>(std::ceil(-std::log2(wanted.at_least) * parts + doubt))};
    for (const double q : p) {
        // One that never holds is in no set that is probable enough.
        const double weight = q == 0 ? limit.most + 1.0 : std::max(0.0, std::floor(-std::log2(q) * parts - doubt));
        limit.weights.push_back(static_cast<std::uint32_t>(weight));
    }
    return limit;
}

void check(const Wanted& wanted, std::uint32_t variables) {
    if (!wanted.p.empty()) check_probabilities(wanted.p, variables);
    if (!(wanted.at_least >= 0 && wanted.at_least <= 1)) throw std::invalid_argument("a probability is from 0 to 1");
    if (wanted.at_least > 0 && wanted.order != no_limit) throw std::invalid_argument("a limit on order or on probability, not both");
    if (wanted.at_least > 0 && wanted.p.size() != variables) throw std::invalid_argument("a limit on probability needs the probability of every variable");
}

/// A bound that is still one after all the rounding that went into it.
double upwards(double bound) { return std::min(1.0, bound * (1 + 1e-9)); }

MinimalSets finished(MinimalSets sets, const Wanted& wanted, bool complete, double dropped) {
    sets.complete = complete;
    if (complete) sets.complete_to = no_limit;
    if (complete) sets.complete_from = 0;
    if (!complete && wanted.at_least == 0) sets.complete_to = wanted.order;
    if (!complete && wanted.at_least > 0) sets.complete_from = wanted.at_least;
    sets.dropped = complete ? 0 : wanted.p.empty() ? 1 : upwards(dropped);
    return sets;
}

std::vector<double> by_level_if_any(const Order& order, const std::vector<double>& p) { return p.empty() ? p : by_level(order, p); }

/// Never below the probability that the formula holds without any of its sets within the limit: the bound for some smaller limit,
/// since that of a larger one is no higher, as large as a sixteenth of the steps allows: at the same limit, cutting short is far dearer than dropping.
double bound_on_dropped(const Formula& by_level, const Limit& limit, std::span<const double> p, Budget budget) {
    budget.steps /= 16;
    double bound = 1;
    std::optional<std::uint32_t> before;
    for (std::uint64_t part = 0; part <= 8; ++part) try {
            const auto most = static_cast<std::uint32_t>(limit.most * part / 8);
            if (before == most) continue;
            before = most;
            Families s(by_level.variables(), budget, limit.weights);
            const Family found = sets_by_gates(by_level, s, most, TooHeavy::cut_short).family;
            bound = std::min(bound, min_cut_upper_bound(s, s.without(found, s.trim(found, most).family), p));
        } catch (const BudgetSpent&) {
            break;
        }
    return bound;
}

/// Of a simplified, coherent formula.
MinimalSets from_gates(const Formula& formula, const Order& order, const Wanted& wanted) {
    const std::vector<double> p = by_level_if_any(order, wanted.p);
    const Limit limit = limit_of(wanted, p);
    const Formula by_level = renumbered(formula, positions(order));
    MinimalSets sets{order, Families(formula.variables(), wanted.budget, limit.weights), {}};
    const Trimmed found = sets_by_gates(by_level, sets.families, limit.most, TooHeavy::dropped);
    sets.family = found.family;
    return finished(std::move(sets), wanted, !found.dropped, found.dropped && !p.empty() ? bound_on_dropped(by_level, limit, p, wanted.budget) : 1);
}

/// Of a simplified formula to an order, for little work: by a small diagram, which tells whether there are more, else gate by gate.
std::optional<MinimalSets> soon(const Formula& formula, Wanted wanted) {
    const Budget whole = wanted.budget;
    try {
        wanted.budget.steps = std::min<std::uint64_t>(whole.steps, 1u << 14);
        return minimal_sets(detail::Assembly(formula, wanted.budget).diagram(), wanted);
    } catch (const BudgetSpent&) {
    }
    if (is_coherent(formula)) try {
            wanted.budget.steps = whole.steps / 16;
            return from_gates(formula, depth_first_order(formula), wanted);
        } catch (const BudgetSpent&) {
        }
    return std::nullopt;
}

/// To the highest order below `wanted.order` that the budget allows.
MinimalSets as_far_as_possible(const Formula& formula, const Order& order, const Wanted& wanted) {
    MinimalSets best{order, Families(formula.variables()), {}};
    if (!is_coherent(formula)) return best;
    Wanted now{.budget = wanted.budget};
    const std::uint32_t end = std::min(wanted.order, formula.variables() + 1);
    for (now.order = 0; now.order < end && !best.complete; ++now.order) try {
            best = from_gates(formula, order, now);
        } catch (const BudgetSpent&) {
            break;
        }
    if (!best.complete && best.complete_to && !wanted.p.empty())
        best.dropped = upwards(bound_on_dropped(renumbered(formula, positions(order)), {{}, *best.complete_to}, by_level(order, wanted.p), wanted.budget));
    return best;
}

}  // namespace

MinimalSets minimal_sets(const OrderedDiagram& d, const Wanted& wanted) {
    check(wanted, d.diagrams.variables());
    const std::vector<double> p = by_level_if_any(d.order, wanted.p);
    const Limit limit = limit_of(wanted, p);
    MinimalSets sets{d.order, Families(d.diagrams.variables(), wanted.budget, limit.weights), {}};
    Families& s = sets.families;
    // The whole family is seldom the larger part of the work, and then what a limit leaves out is known exactly.
    const Family whole = minimal_solutions(d.diagrams, d.top, s);
    const Trimmed kept = s.trim(whole, limit.most);
    sets.family = kept.family;
    const double dropped = kept.dropped && !p.empty() ? min_cut_upper_bound(s, s.without(whole, kept.family), p) : 0;
    Family left[] = {sets.family};
    s.keep_only(left);
    sets.family = left[0];
    return finished(std::move(sets), wanted, !kept.dropped, dropped);
}

MinimalSets minimal_sets_by_gates(const Formula& formula, const Wanted& wanted) {
    check(wanted, formula.variables());
    const Formula simple = simplified(formula);
    if (!is_coherent(simple)) throw std::invalid_argument("gate by gate, only a formula without a negated variable has minimal sets");
    return from_gates(simple, depth_first_order(simple), wanted);
}

MinimalSets minimal_sets(const Formula& formula, const Wanted& wanted) {
    check(wanted, formula.variables());
    const Formula simple = simplified(formula);
    if (wanted.order != no_limit && wanted.p.empty())
        if (auto few = soon(simple, wanted)) return *std::move(few);
    const detail::Assembly assembly(simple, wanted.budget);
    try {
        return minimal_sets(assembly.diagram(), wanted);
    } catch (const BudgetSpent&) {
    }
    if (is_coherent(simple)) try {
            return from_gates(simple, assembly.order(), wanted);
        } catch (const BudgetSpent&) {
        }
    return as_far_as_possible(simple, assembly.order(), wanted);
}

std::vector<std::vector<std::uint32_t>> MinimalSets::sets(std::size_t most) const {
    // Of each node, the least and the greatest order of a set.
    struct Orders {
        std::uint32_t least, greatest;
    };
    std::vector<Orders> orders(std::max<std::size_t>(2, (family.edge >> 1) + 1), Orders{no_limit, 0});
    orders[1] = {0, 0};
    for (const std::uint32_t n : families.walk(family)) {
        const detail::DecisionNode& node = families.node(n);
        const Orders low = orders[node.low >> 1], high = orders[node.high >> 1];
        orders[n] = {std::min(low.least, high.least + 1), std::max(low.greatest, high.greatest + 1)};
    }
    struct Step {
        Family here;
        std::uint32_t chosen;
    };
    std::vector<std::vector<std::uint32_t>> found;
    const Orders all = orders[family.edge >> 1];
    for (std::uint32_t wanted = all.least; wanted != no_limit && wanted <= all.greatest && found.size() < most; ++wanted) {
        const auto first = static_cast<std::ptrdiff_t>(found.size());
        std::vector<Step> todo{{family, 0}};
        std::vector<std::uint32_t> set;
        while (!todo.empty() && found.size() < most) {
            const auto [here, chosen] = todo.back();
            todo.pop_back();
            set.resize(chosen);
            const Orders below = orders[here.edge >> 1];
            if (below.least > wanted - chosen || below.greatest < wanted - chosen) continue;
            if (here == Families::unit) {
                found.push_back(set);
                std::ranges::sort(found.back());
                continue;
            }
            const detail::DecisionNode& node = families.node(here);
            todo.push_back({{node.low}, chosen});
            set.push_back(order[node.level]);
            todo.push_back({{node.high}, chosen + 1});
        }
        std::sort(found.begin() + first, found.end());
    }
    return found;
}

double rare_event(const MinimalSets& sets, std::span<const double> p) { return rare_event(sets.families, sets.family, by_level(sets.order, p)); }
double min_cut_upper_bound(const MinimalSets& sets, std::span<const double> p) { return min_cut_upper_bound(sets.families, sets.family, by_level(sets.order, p)); }

}  // namespace fedfrom
