/// What happens when: events at their times, transfers and motors with their delays, the aircraft settled at every instant.
///
///     Timeline t = timeline(state, {{.at_s = 0, .step = {.fail = {{"gen_l"}}}}}, 60);
///     for (const Instant& i : t.instants) std::cout << i.seconds << " s: " << i.text << '\n';
///     t.interruptions;                       // what was without supply for a while, and how long
///     t.cannot_move;                         // motor valves that are where they are
///
/// What a hand, a leader or its own logic sends elsewhere stands where it was until its delay (`after_s`) is over; everything
/// else follows at once (rule M30). Functions are judged at every instant as if asked for then, with what waits standing still. What spins up,
/// runs down or runs empty is not played: `spin_up_s`, `run_down_s` and what a store holds do not move anything here.
#pragma once

#include <string>
#include <vector>

#include <fedfrom/study/effect.hpp>
#include <fedfrom/study/preview.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct TimedStep {
    double at_s = 0;  ///< seconds from the beginning
    Step step{};
    bool operator==(const TimedStep&) const = default;
};

/// A point in time at which something happened.
struct Instant {
    double seconds = 0;
    std::string text{};              ///< what happened: "with GEN L: loss", "Tie gets to closed after 3 s"
    std::vector<Refused> refused{};  ///< of the events, what the aircraft does not allow
    Difference difference{};         ///< against just before
    FaultGrowth fault{};             ///< likewise
    bool operator==(const Instant&) const = default;
};

/// Something that surely had no supply, between two instants at which it surely had.
struct Interruption {
    std::string id{}, name{};
    double from_s = 0, to_s = 0;
    bool operator==(const Interruption&) const = default;
};

/// Something timed that is on its way when the timeline ends.
struct OnItsWay {
    std::string id{}, name{}, position{};
    double due_s = 0;
    bool operator==(const OnItsWay&) const = default;
};

/// Something that stays where it stands: it has no supply to move by, or has failed.
struct CannotMove {
    std::string id{}, name{}, position{};  ///< "unknown" where that is unknown
    double since_s = 0;                    ///< 0 where it could not at the beginning
    bool operator==(const CannotMove&) const = default;
};

struct Timeline {
    Outcome before, after;
    std::vector<TimedStep> asked{};  ///< by time; of one time as given
    double until_s = 0;
    std::vector<Instant> instants{};
    std::vector<Outcome> outcomes{};  ///< by instant
    Difference difference{};          ///< from beginning to end
    std::vector<Interruption> interruptions{};  ///< by time, then id
    std::vector<CannotMove> cannot_move{};      ///< at the end, in id order
    std::vector<OnItsWay> on_its_way{};         ///< at the end, in id order
    bool complete = true;             ///< false: `open` says why what follows is not played
    std::string open{};
};

/// From a settled state (a copy is settled first, so that nothing waits). Steps of one time are taken one after another, each settled; what is due at that time
/// moves after them. Ends at `until_s`, after 1,000 instants, or where something hunts: what follows that is open.
/// UnknownId for what is not there; NotPossible for a word that is none of the thing's, and for times that are negative or not finite.
/// A settle an instant.
Timeline timeline(const State& from, const std::vector<TimedStep>& steps, double until_s);

/// From the running aircraft.
Timeline timeline(const Network& net, const std::vector<TimedStep>& steps, double until_s);

/// What happened when; each function that changes, over time; interruptions; what cannot be moved any more.
std::vector<Table> tables(const Timeline& timeline);
std::string text(const Timeline& timeline);

}  // namespace fedfrom
