/// What a battery gives in one operating condition, of all it may give in the worlds of an outcome.
#pragma once

#include <memory>
#include <set>
#include <string_view>
#include <vector>

#include "load_flow.hpp"

namespace fedfrom::detail {

/// By world; none where all is unknown.
using LoadGraphs = std::vector<std::unique_ptr<LoadGraph>>;
LoadGraphs load_graphs(const Outcome& out);

/// Its steady current, and what intermittent loads take from it once.
struct Current {
    Span amps{}, once_amp_minutes{};
};

/// `shed`: elements whose own load is taken off. What could not be known is added to `gaps`, unless null.
Current battery_current(const LoadGraphs& graphs, std::uint32_t battery, std::string_view condition, const std::set<std::uint32_t>& shed = {}, Gaps* gaps = nullptr);

}  // namespace fedfrom::detail
