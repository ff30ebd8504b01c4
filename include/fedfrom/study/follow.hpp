/// A checklist of one's own, played step by step: what each step changes, and which do nothing any more.
///
///     Followed f = follow(state, {{.set = {{"standby_switch", "BATT"}}}, {.reset = {"cb_gear"}}});
///     f.steps[0].difference.gained;
///     f.steps[1].refused;                    // the reset is used up
///     f.steps[1].idle;                       // why nothing came of it
///
/// Each step is settled before the next. What a step asks for that the aircraft does not allow is said, and the rest of it is
/// taken. It plays what it is given, and says nothing of what should be done.
#pragma once

#include <string>
#include <vector>

#include <fedfrom/study/effect.hpp>
#include <fedfrom/study/preview.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct FollowedStep {
    Step step{};                     ///< as asked
    std::string text{};              ///< "with Standby source at BATT"
    std::vector<Refused> refused{};
    Difference difference{};         ///< against the step before
    FaultGrowth fault{};
    bool spent = false;              ///< a one-shot mode was used: its stores hold less, whatever it did
    bool nothing = false;            ///< surely nothing differs, but for a hand that stands elsewhere
    std::vector<Refused> idle{};     ///< where it did nothing: each event not refused, and why, as far as it can be said
    bool operator==(const FollowedStep&) const = default;
};

struct Followed {
    Outcome before, after;
    std::vector<FollowedStep> steps{};
    Difference difference{};  ///< of all steps together
};

/// From a settled state (a copy is settled first). UnknownId for what is not there; NotPossible for a word that is none of the thing's.
Followed follow(const State& from, const std::vector<Step>& steps);

/// From the running aircraft.
Followed follow(const Network& net, const std::vector<Step>& steps);

/// One row a step; functions that stand otherwise in the end.
std::vector<Table> tables(const Followed& followed);
std::string text(const Followed& followed);

}  // namespace fedfrom
