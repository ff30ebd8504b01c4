/// Many states at once: every combination of up to three events on one settled state.
///
///     Sweep sweep(running_state(net), {.order = 2});
///     for (const SweepHit& hit : sweep.run().hits) …      // only minimal ones, unless `all`
///     sweep.run([&](const SweepHit& hit) { … });          // the same, one after the other, none kept
///
/// Each combination is added to the settled state in one step, with that state's memory, settled
/// and judged as `settle` does it (rule 8). 512 combinations stand side by side in one
/// word and only what their events reach is evaluated; where something hunts, the combination
/// is settled alone. Of what is minimal only combinations whose events meet somewhere need be settled (meetings.hpp). Results come in order of size, then of events, and are the same however the work
/// is cut: into threads, or into shards that run elsewhere and are joined by `join`.
#pragma once

#include <array>
#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom {

/// Instruction sets the sweep is compiled for.
enum class InstructionSet : std::uint8_t { baseline, avx2, avx512 };
/// The best one this processor has.
InstructionSet best_instruction_set();

struct SweepOptions {
    int order = 1;                              ///< how many events at once: 1, 2 or 3
    std::vector<Event> events{};                ///< failures, positions, givens, resets and uses to combine; empty: every failure not present
    std::vector<Event> always{};                ///< in every combination besides, in the same step; alone they are examined first: a hit without events. Nothing is combined that cannot come together with them
    std::vector<FunctionHandle> goals{};        ///< the functions to judge; empty: all
    bool all = false;                           ///< also what a part of the combination does already
    bool modes = false;                         ///< only with `all`: also where nothing but a goal's mode differs; hits name the mode
    bool restoring = false;                     ///< minimal in taking a goal up, to a better level, instead of down; without meaning for `all`
    bool unknown = false;                       ///< also every combination with which a goal is unknown, whatever its parts do
    bool one_mode_an_element = true;            ///< do not combine two failures of one element; a position with a failure or another position of its element, two values of one given, or two uses never are
    unsigned threads = 1;                       ///< 0: as many as the machine runs at once
    std::uint32_t shard = 0, shards = 1;        ///< only this part of the work
    InstructionSet instructions = best_instruction_set();
    double seconds = 0;                         ///< a budget; 0: none
    std::function<bool(double)> progress{};     ///< called now and then with the part done, by one thread at a time; false cancels. 0 while sizes below `order` are examined
};

/// A combination that changes a goal's level, or where modes are asked for its mode.
struct SweepHit {
    std::array<std::uint32_t, 3> events{none, none, none};  ///< in SweepResult::events, ascending
    std::uint32_t goal = none;                              ///< a function
    Level level = Level::unknown;                           ///< instead of the level in the settled state
    std::uint32_t mode = none;                              ///< where modes are asked for: in FunctionInfo::modes; none: no mode, or unknown which
    bool operator==(const SweepHit&) const = default;
};

struct SweepResult {
    std::vector<Event> events{};     ///< those combined, in the order asked
    std::vector<SweepHit> hits{};    ///< by size, then events, then goal
    std::uint32_t inert = 0;         ///< events that can reach nothing judged: with them a combination is as without, and is not examined (unless `all`)
    std::uint64_t combinations = 0;  ///< examined: settled, or shown to do no more than a part of it
    std::uint64_t alone = 0;         ///< of them settled alone, since something hunts
    std::uint64_t evaluated = 0;     ///< gates evaluated, 512 combinations at a time
    bool complete = true;            ///< false: cancelled, or out of budget; what is listed holds all the same
    int complete_to = 0;             ///< every combination of up to so many events was examined
    bool operator==(const SweepResult&) const = default;
};

class Sweep {
public:
    /// Settles a copy of the state first. Throws NotPossible for an order out of range, or an event the aircraft does not allow.
    explicit Sweep(State from, SweepOptions options = {});

    /// Examines every combination. What `progress` throws is thrown here, after all threads have ended.
    SweepResult run() const;

    /// Hands each hit to `visit` instead of keeping it: the result's `hits` are empty. In the same order; from one thread
    /// at a time, not always the same. What is held is what was found among some dozens of first events, and with several threads
    /// what those that are ahead have found. What `visit` throws is thrown here.
    SweepResult run(const std::function<void(const SweepHit&)>& visit) const;

    /// The settled state, and the goals' levels there.
    const Outcome& before() const { return before_; }

private:
    SweepOptions options_;
    Outcome before_;
};

/// One result of the results of all shards, in their order.
SweepResult join(const std::vector<SweepResult>& shards);

}  // namespace fedfrom
