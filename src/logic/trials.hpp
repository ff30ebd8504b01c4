// A trial of several orders of a formula that is no more than one module.
#pragma once

#include <optional>

#include <fedfrom/logic/ordered_diagram.hpp>

namespace fedfrom::detail {

/// The order that gave the fewest nodes, and what was made of the formula under it: no diagram where none was done within the budget, or none was tried
/// because every order is as good. Then the order is the one that came furthest.
struct Tried {
    Order order;
    std::optional<OrderedDiagram> diagram{};
};

Tried best_of_trials(const Formula&, const Budget& most);

}  // namespace fedfrom::detail
