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
    far_first,     ///< those whose variables all reach many gates, however indirectly
};

/// Variables as a depth-first walk from `top` meets them; what it does not meet comes last, ascending.
Order depth_first_order(const Formula&, Walk = Walk::as_written);

/// The variable with the greatest weight first, where the top weighs one and a gate's weight is shared by what it reads; then the weights anew
/// without it. O(variables · size).
Order heaviest_first_order(const Formula&);

/// Starting from an order, what belongs together drawn together, until gates and what they read stand no closer. O(size · log size) a round.
Order drawn_together(const Formula&, const Order&);

/// Variables that reach at least a quarter of the gates first, those that reach most before the others; the rest by a walk, far first.
Order widest_first_order(const Formula&);

/// Each module's (modules.hpp) variables together, in the order which gave its diagram the fewest nodes: a walk where that is little work, else
/// one of the ways above, the best of each kind to the end. No trial takes more than the budget, nor eight million steps; of a module that fits under none,
/// that which came furthest.
Order best_order(const Formula&, const Budget& = {});

/// The level of each variable: the inverse of an order.
std::vector<std::uint32_t> positions(const Order&);

}  // namespace fedfrom
