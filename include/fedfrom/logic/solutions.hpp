/// The minimal solutions of a diagram: from what is true to the smallest reasons for it.
#pragma once

#include <fedfrom/logic/diagram.hpp>
#include <fedfrom/logic/family.hpp>

namespace fedfrom {

/// The smallest sets of variables with which f holds when these hold and all others do not. The store of
/// families has a level for every variable of the diagrams. O(nodes of f) steps, each a subsumption.
///
/// Of a coherent function (one that more true variables never make false) these are its minimal cut sets. Of any
/// other, f may be false again where more hold; still, whenever f holds, all of some set here do.
Family minimal_solutions(const Diagrams&, Diagram f, Families&);

}  // namespace fedfrom
