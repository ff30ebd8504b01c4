/// How many independent sources each function has: the order of its smallest set of losses among sources,
/// controllers and drives.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include <fedfrom/study/next_failures.hpp>

namespace fedfrom::detail {

/// Sources, what makes power of power, controllers, pumps and motors: fitted, and able to be lost. In id order.
std::vector<std::uint32_t> sources_controllers_drives(const Compiled& c);

/// By function; those not in `goals` are left at their default. The state is settled.
std::vector<SourceCount> count_sources(const Outcome& from, const std::vector<std::uint32_t>& goals, std::size_t most_settles);

}  // namespace fedfrom::detail
