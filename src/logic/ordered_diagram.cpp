#include <stdexcept>

#include <fedfrom/logic/ordered_diagram.hpp>
#include <fedfrom/logic/probability.hpp>

#include "logic/assembly.hpp"
#include "logic/probabilities.hpp"

namespace fedfrom {

OrderedDiagram ordered_diagram(const Formula& formula, const Budget& budget) {
    const Formula simple = simplified(formula);
    return detail::Assembly(simple, budget).diagram();
}

OrderedDiagram ordered_diagram(const Formula& formula, Order order, const Budget& budget) {
    OrderedDiagram made{std::move(order), Diagrams(formula.variables(), budget), {}};
    made.top = diagram_of(renumbered(factored(formula), positions(made.order)), made.diagrams);
    return made;
}

double probability(const OrderedDiagram& d, std::span<const double> p) { return probability(d.diagrams, d.top, by_level(d.order, p)); }

std::vector<double> birnbaum(const OrderedDiagram& d, std::span<const double> p) {
    const std::vector<double> found = birnbaum(d.diagrams, d.top, by_level(d.order, p));
    std::vector<double> by_variable(found.size());
    for (std::size_t level = 0; level < found.size(); ++level) by_variable[d.order[level]] = found[level];
    return by_variable;
}

}  // namespace fedfrom
