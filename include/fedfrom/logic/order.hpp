/// In which order the variables of a formula stand in a diagram: the difference between a thousand nodes and a billion.
///
/// An order is a list of all variables, the top level first. Finding the best is hopeless;
/// these find usable ones.
#pragma once

#include <cstdint>
#include <vector>

#include <fedfrom/logic/budget.hpp>
#include <fedfrom/logic/formula.hpp>

namespace fedfrom {

using Order = std::vector<std::uint32_t>;

/// In which order a depth-first walk enters the operands of a gate.
enum class Walk : std::uint8_t {
    as_written,
    small_first,   ///< those with few variables below, each as often as it is read
    large_first,
    shared_first,  ///< those that many gates read
};

/// Variables as a depth-first walk from `top` meets them; what it does not meet comes last, ascending.
Order depth_first_order(const Formula&, Walk = Walk::as_written);

/// Each module's (modules.hpp) variables together, in the order of that walk which gave its diagram the fewest nodes.
/// No trial takes more than the budget, nor than a million nodes; a module that fits under none walks as written.
Order best_order(const Formula&, const Budget& = {});

/// The level of each variable: the inverse of an order.
std::vector<std::uint32_t> positions(const Order&);

}  // namespace fedfrom
