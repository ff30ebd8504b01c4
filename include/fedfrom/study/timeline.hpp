/// What happens when: events at their times, transfers and motors with their delays, the aircraft settled at every instant.
///
///     Timeline t = timeline(state, {{.at_s = 0, .step = {.fail = {{"gen_l"}}}}}, 60);
///     for (const Instant& i : t.instants) std::cout << i.seconds << " s: " << i.text << '\n';
///     t.interruptions;                       // what was without supply for a while, and how long
///     t.cannot_move;                         // motor valves that are where they are
///     timeline(state, steps, 7200, {.condition = "g10_emergency", .derating = 0.75, .charge = 1});   // and batteries run empty
///
/// What a hand, a leader or its own logic sends elsewhere stands where it was until its delay (`after_s`) is over (rule M30);
/// what spins up gives nothing until it has (`spin_up_s`, rule M45); what runs down, or does without cooling for a while, works on for so
/// long (`run_down_s`, `runs_without_s`, rule M46). With an operating condition a battery is empty when what is drawn from it, as
/// `endurance` counts it, has used it up (rule M47). Everything else follows at once. Functions are judged at every instant as if asked for then, with what waits
/// standing still.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <fedfrom/solve/clock.hpp>
#include <fedfrom/study/effect.hpp>
#include <fedfrom/study/preview.hpp>
#include <fedfrom/study/storage.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct TimedStep {
    double at_s = 0;  ///< seconds from the beginning
    Step step{};
    bool operator==(const TimedStep&) const = default;
};

/// What is drawn from batteries. Nothing is left out silently: with a condition, `derating` and `charge` must be said.
struct TimelineOptions {
    std::string condition{};           ///< an operating condition of the load sheet; empty: no battery runs empty
    std::optional<double> derating{};  ///< usable part of the nameplate capacity, above 0 to 1
    std::optional<double> charge{};    ///< at the beginning, of all batteries, above 0 to 1
    Discharge discharge{};
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

/// Something that takes time and is on its way when the timeline ends.
struct OnItsWay {
    std::string id{}, name{};
    Waiting::What what = Waiting::What::moves;
    std::string position{};  ///< where it moves
    double due_s = 0;
    bool operator==(const OnItsWay&) const = default;
};

/// A battery when the timeline ends.
struct BatteryLeft {
    std::string id{}, name{};
    double charge = 0;     ///< the part that is left of what is usable when full
    double amp_hours = 0;  ///< likewise
    bool operator==(const BatteryLeft&) const = default;
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
    TimelineOptions options{};
    std::vector<Instant> instants{};
    std::vector<Outcome> outcomes{};  ///< by instant
    Difference difference{};          ///< from beginning to end
    std::vector<Interruption> interruptions{};  ///< by time, then id
    std::vector<CannotMove> cannot_move{};      ///< at the end, in id order
    std::vector<OnItsWay> on_its_way{};         ///< at the end: what moves, starts, runs down, each in id order
    std::vector<BatteryLeft> batteries{};       ///< at the end, in id order; with a condition
    std::vector<std::string> assumptions{};
    bool complete = true;             ///< false: `open` says why what follows is not played
    std::string open{};
};

/// From a settled state (a copy is settled first, so that nothing waits). Steps of one time are taken one after another, each settled; what is due at that time
/// moves after them, and batteries that are empty by then come last. Ends at `until_s`, after 1,000 instants, where something hunts, or where how long a battery lasts is not
/// known: what follows that is open.
/// UnknownId for what is not there; NotPossible for a word that is none of the thing's, for times that are negative or not finite, and for options that do not go together or are out of range.
/// A settle an instant.
Timeline timeline(const State& from, const std::vector<TimedStep>& steps, double until_s, const TimelineOptions& options = {});

/// From the running aircraft.
Timeline timeline(const Network& net, const std::vector<TimedStep>& steps, double until_s, const TimelineOptions& options = {});

/// What happened when; each function that changes, over time; interruptions; what cannot be moved any more; what is on its way; what batteries have left.
std::vector<Table> tables(const Timeline& timeline);
std::string text(const Timeline& timeline);

/// A drawing of it, as SVG: a bar a function that changes, and one for each element that lost or got its supply and shows it, along one axis of time.
/// It reads without colour: full height is normal, half height degraded, a line lost. Same timeline, same bytes.
std::string chart(const Timeline& timeline);

}  // namespace fedfrom
