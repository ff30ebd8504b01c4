/// A formula's diagram under an order that suits it, and what is asked of it in the formula's own variables.
///
///     const OrderedDiagram d = ordered_diagram(formula);
///     probability(d, p);                               // p[v] of the formula's variable v
#pragma once

#include <span>
#include <vector>

#include <fedfrom/logic/diagram.hpp>
#include <fedfrom/logic/order.hpp>

namespace fedfrom {

struct OrderedDiagram {
    Order order;  ///< the variable at each level
    Diagrams diagrams;
    Diagram top;
};

/// Simplifies, looks for an order with `best_order`, converts. Throws `BudgetSpent`.
OrderedDiagram ordered_diagram(const Formula&, const Budget& = {});
/// Under this order.
OrderedDiagram ordered_diagram(const Formula&, Order, const Budget& = {});

/// As the functions of the same names in probability.hpp, by the formula's variables.
double probability(const OrderedDiagram&, std::span<const double> p);
std::vector<double> birnbaum(const OrderedDiagram&, std::span<const double> p);

}  // namespace fedfrom
