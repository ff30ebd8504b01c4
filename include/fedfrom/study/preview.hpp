/// What crew actions would do, before they are taken: positions, resets and uses, in one step.
///
///     Preview p = preview(state, {.set = {{"standby_switch", "BATT"}}});
///     p.effect.difference.worse;             // functions that then stand worse
///     p.effect.undone.lasting;               // what stays so when the switch is put back
///     p.effect.stored;                       // what then hangs on stored energy alone
///
/// What the aircraft does not allow (a reset used up, a valve nobody sets) is said in `refused`, and the other actions
/// are taken without it. Loads are not weighed: whether a source that is reset can carry what rests on it is asked of
/// `power_balance`. It says what the model shows; it recommends nothing.
#pragma once

#include <string>
#include <vector>

#include <fedfrom/study/effect.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// An event the aircraft does not allow.
struct Refused {
    std::string action{};  ///< "Gear pump breaker reset"
    std::string reason{};  ///< a sentence
    bool operator==(const Refused&) const = default;
};

struct Preview {
    Outcome before, after;
    Step asked{};
    Effect effect{};                           ///< of those not refused
    std::vector<Refused> refused{};
    std::vector<std::string> sources_dropped{};///< live sources behind anything before, and behind nothing after
    std::vector<std::string> sources_taken{};  ///< the other way round
};

/// From a settled state (a copy is settled first). UnknownId for what is not there; NotPossible for a word that is none
/// of the thing's, and for what is no crew action: a failure, a repair, a given.
Preview preview(const State& from, const Step& actions);

/// From the running aircraft.
Preview preview(const Network& net, const Step& actions);

/// Functions that differ, elements that differ, what stays so when taken back.
std::vector<Table> tables(const Preview& preview);
std::string text(const Preview& preview);

}  // namespace fedfrom
