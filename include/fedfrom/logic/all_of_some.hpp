/// From sets back to a function: that all of some set hold.
#pragma once

#include <cstdint>
#include <vector>

#include <fedfrom/logic/diagram.hpp>
#include <fedfrom/logic/family.hpp>

namespace fedfrom {

/// Of the sets of one family, told apart by a member. The store of diagrams has a variable for every level of the families;
/// what it forgets meanwhile is void here too. Throws `BudgetSpent`.
class AllOfSome {
public:
    AllOfSome(const Families&, Family, Diagrams&);

    /// That all of some set with this member hold. O(nodes of the family above it) operations on diagrams.
    Diagram with(std::uint32_t member);

private:
    const Families& families_;
    Family family_;
    Diagrams& d_;
    std::vector<std::uint32_t> nodes_;
    std::vector<Diagram> any_set_;  // by node: all of some set of its family hold

    Diagram node(std::uint32_t level, Diagram low, Diagram high) { return d_.any(low, d_.all(d_.variable(level), high)); }
};

}  // namespace fedfrom
