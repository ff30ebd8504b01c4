/// Variables that can help: a function somewhere does not hold with them and would without. Of a coherent function there are none.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/logic/formula.hpp>
#include <fedfrom/logic/ordered_diagram.hpp>

namespace fedfrom {

/// Variables that are negated somewhere when every `not` is pushed down to them, ascending. No other can help; these need not. O(size).
std::vector<std::uint32_t> read_negated(const Formula&);

/// Whether there are none such: no variable can help.
bool is_coherent(const Formula&);

/// Those of these variables that can help, ascending. Makes no node; throws `BudgetSpent` where there are not steps enough.
std::vector<std::uint32_t> helping(OrderedDiagram&, std::span<const std::uint32_t> variables);

}  // namespace fedfrom
