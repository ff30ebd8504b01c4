/// Minimal sets gate by gate, from the variables up.
#pragma once

#include <cstdint>
#include <vector>

#include <fedfrom/logic/family.hpp>
#include <fedfrom/logic/formula.hpp>

namespace fedfrom {

/// What becomes of a set that is too heavy.
enum class TooHeavy : std::uint8_t { dropped, cut_short };

/// By `code` of a term, how often it is read when every `not` is pushed down to the variables.
std::vector<std::uint32_t> times_read_by_code(const Formula&);

/// The sets of `formula.top` that weigh at most `most`, and, where heavier ones are cut short, a beginning
/// at least of every other, heavier than `most` too. Variable v is member v. The formula is coherent.
/// Forgets every other family of the store. Throws `BudgetSpent`.
Trimmed sets_by_gates(const Formula&, Families&, std::uint32_t most, TooHeavy);

}  // namespace fedfrom
