/// What belongs to each variable, as compressed rows.
#pragma once

#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/network/program.hpp>

namespace fedfrom::detail {

class ByVariable {
public:
    ByVariable() = default;

    /// Pairs of a variable and what belongs to it; what belongs to one variable stays in their order.
    ByVariable(const std::vector<std::pair<Variable, std::uint32_t>>& pairs, std::uint32_t variables) : first_(variables + 1), all_(pairs.size()) {
        for (const auto& [v, what] : pairs) ++first_[v + 1];
        for (std::uint32_t v = 0; v < variables; ++v) first_[v + 1] += first_[v];
        std::vector<std::uint32_t> at(first_.begin(), first_.end() - 1);
        for (const auto& [v, what] : pairs) all_[at[v]++] = what;
    }

    std::span<const std::uint32_t> of(Variable v) const { return {all_.data() + first_[v], all_.data() + first_[v + 1]}; }

private:
    std::vector<std::uint32_t> first_, all_;
};

}  // namespace fedfrom::detail
