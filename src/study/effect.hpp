/// Taking crew actions, and taking them back.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/effect.hpp>

namespace fedfrom::detail {

/// What the crew could tell apart.
bool same_outcome(const Outcome& a, const Outcome& b);

/// Several actions as one step, in the order of ids.
Step step_of(const std::vector<Event>& actions, const Network& net);

/// "Standby source at BATT", "Gear pump breaker reset", "bottle used for Engine fire".
std::string action_text(const Event& action, const Network& net);

/// Who has to go where for an action.
Reach reach_of(const Compiled& c, const Event& action);

/// How a fault got more by events that were all accepted.
FaultGrowth growth(const Outcome& before, const Outcome& after, const std::vector<Event>& events);

/// What actions that were all accepted did. `stored`: what hangs on stored energy alone before.
Effect effect_of(const Outcome& before, const Outcome& after, const std::vector<Event>& actions, const std::vector<StoredLine>& stored);

/// What a sheet says of them; the first few by name.
std::string changes_text(const Compiled& c, const std::vector<Change>& changes);
std::string fault_text(const Compiled& c, const FaultGrowth& fault);
std::string stored_text(const Compiled& c, const std::vector<StoredLine>& stored);
std::string undone_text(const Compiled& c, const Undone& undone);

}  // namespace fedfrom::detail
