/// How many independent sources a function or an element has: the order of the smallest set of losses among sources,
/// controllers and drives that takes it.
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

/// Of an element: it is gone where it is not surely supplied. Its own loss does not count.
SourceCount count_sources_of(const Outcome& from, std::uint32_t element, std::size_t most_settles);

}  // namespace fedfrom::detail
