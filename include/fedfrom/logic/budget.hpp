/// How much work a computation on diagrams and set families may do before it gives up.
#pragma once

#include <cstdint>
#include <stdexcept>

namespace fedfrom {

/// Counted, not timed: the same input runs out at the same place on every machine.
struct Budget {
    std::uint32_t nodes = 1u << 22;      ///< kept at one time in one store; a node is some 30 bytes with its tables
    std::uint64_t steps = 400'000'000;  ///< of all operations of one store together; some million a second in large stores, ten in small ones
};

/// Thrown by an operation that would need more than its store's budget. The store and
/// every result it gave before are still good.
class BudgetSpent : public std::runtime_error {
public:
    BudgetSpent() : std::runtime_error("the budget of nodes or steps is spent") {}
};

}  // namespace fedfrom
