/// A question: what happened, as a value. And its outcome, from the running aircraft.
///
///     Question q{.failed = {{"gen_l"}, {"tie", "stuck"}}, .positions = {{"standby_switch", "BATT"}}};
///     Outcome out = ask(net, q);                 // all of it in one step
///     order_matters(net, q);                     // true: one after the other could end elsewhere
///
///     Outcome later = ask(net, {.steps = {{.fail = {{"gen_l"}}}, {.set = {{"standby_switch", "BATT"}}}}});
///
/// Ids throw UnknownId, what the aircraft does not allow NotPossible.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/solve/step.hpp>

namespace fedfrom {

struct Question {
    std::vector<FailureRef> failed{};
    std::map<std::string, std::string> positions{};
    std::map<std::string, bool> given{};
    std::vector<Step> steps{};  ///< settled one after the other
    bool operator==(const Question&) const = default;
};

/// The question as steps: failures, positions and givens together, then `steps` one after the other.
std::vector<Step> steps_of(const Question& question);

/// Applies the question's steps to the running state, settling after each. A question without
/// events is the running aircraft.
Outcome ask(const Network& net, const Question& question);

/// Whether the same events in another order, settled one by one, end in another outcome (levels,
/// modes, statuses, positions, trips) than the question as asked. A question of one step is taken apart
/// into its single events; of a question of several steps it is the order of the steps that is tried.
///
/// Every order is covered, by walking the sets of events with the distinct states each leaves. No value:
/// not examined, because that takes more than `most_settles` settles, or on a large network more work
/// than a second's. An order the aircraft does not allow (a reset too many) is left out.
std::optional<bool> order_matters(const Network& net, const Question& question);
inline constexpr int most_settles = 2000;

}  // namespace fedfrom
