/// What the threads of a sweep share, and what a task of one finds.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include <fedfrom/solve/candidates.hpp>
#include <fedfrom/solve/sweep.hpp>
#include <fedfrom/solve/sweeper.hpp>
#include <fedfrom/solve/writes.hpp>

namespace fedfrom::detail {

inline bool worse(Level is, Level than) {
    const auto rank = [](Level l) { return l == Level::normal ? 0 : l == Level::degraded ? 1 : 2; };
    return rank(is) > rank(than);
}

/// What all threads share and nobody changes while they run.
struct SweepWork {
    const State& from;
    const SweepOptions& options;
    const Outcome& before;
    const SweepPlan& plan;
    std::vector<Event> events;                        ///< those that reach anything judged
    std::vector<std::uint32_t> asked;                 ///< by event: its place among those asked for
    std::vector<std::vector<Write>> writes;           ///< by event
    std::vector<std::vector<Write>> always;           ///< what is in every combination
    std::vector<std::uint32_t> thing_of;              ///< by event: what it happens to, an element or a given
    std::vector<std::uint8_t> never_together;         ///< by event: with none other of the same thing
    std::vector<std::uint32_t> goals;                 ///< functions asked for
    std::vector<std::uint32_t> goal_at;               ///< by place in the plan: in `goals`, none: only read by one
    std::vector<std::array<Closure, 2>> closures;     ///< by goal: to degraded or beyond, and to the end, lost or normal
    bool one_by_one = false;                          ///< something hunts already
    std::optional<Candidates> candidates;             ///< where only what can be minimal is examined

    std::uint32_t count() const { return static_cast<std::uint32_t>(events.size()); }
    std::uint32_t groups() const { return (count() + 7) / 8; }

    /// The level a threshold is at, on the way down or up.
    Level level_at(std::uint32_t threshold) const { return threshold == 0 ? Level::degraded : options.restoring ? Level::normal : Level::lost; }
    bool beyond(Level is, Level than) const { return options.restoring ? worse(than, is) : worse(is, than); }
    Level at_rest(std::uint32_t goal) const { return before.judged()[goals[goal]].level; }

    bool together(std::uint32_t a, std::uint32_t b) const { return thing_of[a] != thing_of[b] || !(never_together[a] | never_together[b] || events[a].index == events[b].index); }
    bool valid(const std::array<std::uint32_t, 3>& e, int order) const {
        for (int i = 0; i < order; ++i)
            if (e[i] >= count() || (i > 0 && e[i - 1] >= e[i])) return false;
        for (int i = 0; i < order; ++i)
            for (int j = 0; j < i; ++j)
                if (!together(e[i], e[j])) return false;
        return true;
    }
};

/// What one task found.
struct SweepFound {
    std::vector<SweepHit> hits;
    std::uint64_t combinations = 0, alone = 0, evaluated = 0;
    struct Closed {
        std::uint32_t goal, threshold, a, b;  ///< b: none for a single event; a too where there is none
    };
    std::vector<Closed> closed;
    std::vector<Meetings::Coming> comings;
    OnTop::Found on_top;
    std::vector<std::uint32_t> wild;      ///< events that meet everything
    bool done = false;
};

}  // namespace fedfrom::detail
