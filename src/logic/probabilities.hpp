/// Lists of probabilities: whether one is, and by level in place of by variable.
#pragma once

#include <cstddef>
#include <span>
#include <stdexcept>
#include <vector>

#include <fedfrom/logic/order.hpp>

namespace fedfrom {

inline void check_probabilities(std::span<const double> p, std::size_t variables) {
    if (p.size() != variables) throw std::invalid_argument("one probability for every variable, please");
    for (const double q : p)
        if (!(q >= 0 && q <= 1)) throw std::invalid_argument("a probability is from 0 to 1");
}

inline std::vector<double> by_level(const Order& order, std::span<const double> p) {
    check_probabilities(p, order.size());
    std::vector<double> moved;
    for (const std::uint32_t variable : order) moved.push_back(p[variable]);
    return moved;
}

}  // namespace fedfrom
