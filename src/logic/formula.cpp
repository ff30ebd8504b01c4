#include <algorithm>
#include <stdexcept>

#include <fedfrom/logic/formula.hpp>

namespace fedfrom {

namespace {
// Codes are 32 bits and diagrams add one bit to what they number.
constexpr std::uint32_t most_nodes = 1u << 30;
}  // namespace

Formula::Formula(std::uint32_t variables) : variables_(variables) {
    if (variables >= most_nodes) throw std::invalid_argument("a formula has fewer than 2^30 variables");
}

Term Formula::variable(std::uint32_t v) const {
    if (v >= variables_) throw std::invalid_argument("the formula has no variable of this number");
    return {2 * (v + 1)};
}

Term Formula::at_least(std::uint32_t k, std::span<const Term> operands) {
    for (const Term t : operands)
        if (t.node() >= nodes()) throw std::invalid_argument("an operand is not of this formula");
    if (nodes() >= most_nodes || operands_.size() + operands.size() >= most_nodes) throw std::invalid_argument("a formula has fewer than 2^30 nodes");
    gates_.push_back({k, static_cast<std::uint32_t>(operands_.size()), static_cast<std::uint32_t>(operands.size())});
    operands_.insert(operands_.end(), operands.begin(), operands.end());
    return {2 * (nodes() - 1)};
}

std::span<const Term> Formula::operands(std::uint32_t gate) const {
    const Gate& g = gates_[gate - first_gate()];
    return {operands_.data() + g.first, g.count};
}

bool Formula::value(const std::vector<bool>& values) const {
    if (values.size() != variables_) throw std::invalid_argument("one value for every variable, please");
    std::vector<bool> holds(nodes());
    for (std::uint32_t v = 0; v < variables_; ++v) holds[v + 1] = values[v];
    for (std::uint32_t g = first_gate(); g < nodes(); ++g)
        holds[g] = std::ranges::count_if(operands(g), [&](Term t) { return holds[t.node()] != t.negated(); }) >= static_cast<std::ptrdiff_t>(needed(g));
    return holds[top.node()] != top.negated();
}

Formula renumbered(const Formula& from, std::span<const std::uint32_t> position) {
    Formula to(from.variables());
    const auto renamed = [&](Term t) { return from.is_variable(t.node()) ? to.variable(position[from.variable_of(t.node())]).negated_if(t.negated()) : t; };
    std::vector<Term> operands;
    for (std::uint32_t g = from.first_gate(); g < from.nodes(); ++g) {
        operands.clear();
        for (const Term t : from.operands(g)) operands.push_back(renamed(t));
        to.at_least(from.needed(g), operands);
    }
    to.top = renamed(from.top);
    return to;
}

}  // namespace fedfrom
