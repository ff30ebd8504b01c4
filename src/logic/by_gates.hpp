/// Minimal sets gate by gate, from the variables up.
#pragma once

#include <span>

#include <fedfrom/logic/family.hpp>
#include <fedfrom/logic/formula.hpp>

namespace fedfrom {

struct ByGates {
    Family family;
    bool dropped = false;  ///< something was left out for weighing too much
    double left_out = 0;   ///< never below the probability that something left out comes true; only with p
};

/// Whether no `not` is left on a variable when all are pushed down there.
bool is_coherent(const Formula&);

/// The sets of `formula.top` that weigh at most `most`. Variable v is member v; `p` by variable, or
/// empty. The formula is coherent. Forgets every other family of the store. Throws `BudgetSpent`.
ByGates sets_by_gates(const Formula&, Families&, std::uint32_t most, std::span<const double> p);

}  // namespace fedfrom
