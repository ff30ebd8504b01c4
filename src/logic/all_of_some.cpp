#include <fedfrom/logic/all_of_some.hpp>

#include <algorithm>
#include <stdexcept>

namespace fedfrom {

AllOfSome::AllOfSome(const Families& families, Family family, Diagrams& d) : families_(families), family_(family), d_(d), nodes_(families.walk(family)) {
    if (families.levels() != d.variables()) throw std::invalid_argument("families and diagrams are over the same variables");
    any_set_.assign(std::max<std::size_t>(2, (family.edge >> 1) + 1), Diagrams::never);
    any_set_[Families::unit.edge >> 1] = Diagrams::always;
    for (const std::uint32_t n : nodes_) {
        const detail::DecisionNode& at = families.node(n);
        any_set_[n] = node(at.level, any_set_[at.low >> 1], any_set_[at.high >> 1]);
    }
}

Diagram AllOfSome::with(std::uint32_t member) {
    std::vector<Diagram> some(any_set_.size(), Diagrams::never);  // by node: of its sets with the member
    for (const std::uint32_t n : nodes_) {
        const detail::DecisionNode& at = families_.node(n);
        if (at.level == member) some[n] = d_.all(d_.variable(member), any_set_[at.high >> 1]);
        else if (at.level < member) some[n] = node(at.level, some[at.low >> 1], some[at.high >> 1]);
    }
    return some[family_.edge >> 1];
}

}  // namespace fedfrom
