/// Settled copies of a state that studies compare with.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

/// The running aircraft with the state's hands and givens: nothing failed, tripped or spent.
Outcome healthy(const State& state);

/// Batteries, accumulators and bottles that are not empty, as elements in order.
std::vector<std::uint32_t> stores_left(const State& state);

/// The state with these stores spent.
Outcome spent(const State& state, const std::vector<std::uint32_t>& stores);

/// A settled state of a network in a larger one: of the same elements first, then others, and more functions. What only the larger
/// one has is at rest. `copy_of`: functions of the larger one whose one-shot modes stand as those of another.
State carried(const State& from, const Network& larger, const std::map<std::string, std::string>& copy_of = {});

/// Settles the memory alone; no function is judged.
void settle_memory(State& state, Settler<One>& settler);

}  // namespace fedfrom::detail
