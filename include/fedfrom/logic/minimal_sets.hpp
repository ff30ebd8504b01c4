/// The minimal sets of a formula: of a fault tree, its minimal cut sets.
///
///     const MinimalSets cuts = minimal_sets(tree);
///     if (cuts.complete) std::cout << cuts.count();
///     const MinimalSets likely = minimal_sets(tree, {.at_least = 1e-12, .p = p});
///     rare_event(likely, p) + likely.dropped;          // never below the probability of the top
///
/// A minimal set is a smallest set of variables with which the formula holds when these hold and
/// all others do not. Where the formula is not coherent (a `not` matters), it may fail again when more
/// variables hold; still, whenever it holds, all variables of some minimal set do.
///
/// The answer is exact or says that it is not: `complete`, what it is complete to, and `dropped`, a bound on what is missing.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include <fedfrom/logic/family.hpp>
#include <fedfrom/logic/ordered_diagram.hpp>

namespace fedfrom {

/// Which minimal sets, and for how much work. Not both limits at once.
struct Wanted {
    std::uint32_t order = no_limit;  ///< those of at most so many variables
    double at_least = 0;             ///< those at least so probable; of the less probable, some may be there
    std::vector<double> p = {};      ///< the probability of each variable: for `at_least`, and for a `dropped` that is not just one
    Budget budget = {};              ///< of each of the ways that are tried
};

struct MinimalSets {
    Order order;  ///< the variable at each level of the families
    Families families;
    Family family;

    bool complete = false;                      ///< every minimal set is there. Where a limit was set and this is false, there may be more or not
    std::optional<std::uint32_t> complete_to;   ///< every minimal set of at most this order is there
    std::optional<double> complete_from;        ///< every minimal set at least this probable is there
    /// Never below the probability that the formula holds without all variables of any set that is there. Zero where complete, one where nothing is known.
    double dropped = 1;

    std::uint64_t count() const { return families.count(family); }  ///< 2^64 - 1 stands for that many or more
    std::vector<std::uint64_t> count_by_order() const { return families.count_by_order(family); }
    /// By order, then by the variables; members ascending. Where `most` cuts through an order, which of it are there goes by the levels.
    std::vector<std::vector<std::uint32_t>> sets(std::size_t most = static_cast<std::size_t>(-1)) const;
};

/// By the formula's diagram where the budget suffices for it; else gate by gate with sets, which needs a coherent formula and soon a limit. With a
/// limit on order and no probabilities the other way about, but for small diagrams. Where the limit asked for needs too much as well, or there is
/// none: to the highest order that does not. Throws std::invalid_argument for what cannot be wanted, `BudgetSpent` never.
MinimalSets minimal_sets(const Formula&, const Wanted& = {});

/// Of a diagram that is there already. Throws `BudgetSpent`.
MinimalSets minimal_sets(const OrderedDiagram&, const Wanted& = {});

/// Gate by gate with sets, without a diagram: the cheaper way to low orders. With `p` it does more work, for `dropped`: where the
/// budget does not suffice for the limit's own bound, a smaller limit's stands for it. Throws `BudgetSpent`, and
/// std::invalid_argument for a formula where a `not` is left on a variable when it is pushed down there.
MinimalSets minimal_sets_by_gates(const Formula&, const Wanted& = {});

/// As the functions of the same names in probability.hpp, by the formula's variables.
double rare_event(const MinimalSets&, std::span<const double> p);
double min_cut_upper_bound(const MinimalSets&, std::span<const double> p);

}  // namespace fedfrom
