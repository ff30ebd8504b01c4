/// Whether a list of probabilities is one.
#pragma once

#include <cstddef>
#include <span>
#include <stdexcept>

namespace fedfrom {

inline void check_probabilities(std::span<const double> p, std::size_t variables) {
    if (p.size() != variables) throw std::invalid_argument("one probability for every variable, please");
    for (const double q : p)
        if (!(q >= 0 && q <= 1)) throw std::invalid_argument("a probability is from 0 to 1");
}

}  // namespace fedfrom
