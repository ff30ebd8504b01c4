/// The parts of a formula that stand alone.
#pragma once

#include <cstdint>
#include <vector>

#include <fedfrom/logic/formula.hpp>

namespace fedfrom {

/// The gates that share no variable and no gate below them with the rest of the formula, ascending: what
/// is below a module can be thought of apart, with one variable in its place. O(size).
std::vector<std::uint32_t> modules(const Formula&);

}  // namespace fedfrom
