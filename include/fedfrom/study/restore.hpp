/// Which crew actions bring a function back: every smallest set, and what each costs.
///
///     Restore r = restore(state, {.goals = {"wheel_braking"}});
///     for (const RestoringSet& s : r.sets) std::cout << actions_text(s.effect.actions, net) << '\n';
///     r.best_single;                         // the one action that brings back most of what is lost
///
/// A set is *smallest* for a function where no part of it brings the function to the level asked for. Its actions are
/// taken in one step, added to the settled state (rule M28); whether another order of single steps ends otherwise is
/// said. What is unknown counts as not brought back. A function is judged with its demand applied: what the demand
/// itself sets is no action for it. This shows what the model holds; it is no procedure, and recommends nothing.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/effect.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct RestoreOptions {
    std::vector<std::string> goals{};        ///< functions; empty: all that are lost, degraded or unknown
    std::optional<Level> to{};               ///< normal, or degraded, which is at least degraded; no value: a better level than each has
    int most_actions = 3;                    ///< how many at once, 1 to 3
    Reach reach = Reach::cockpit;            ///< how far somebody goes: cabin is cockpit and cabin, ground everything
    bool next = false;                       ///< also which single failures then hurt more than now
    double seconds = 0;                      ///< a budget for the search; 0: none
    std::function<bool(double)> progress{};  ///< called now and then with the part done; false cancels
};

/// A single failure that takes a function further with the actions taken than as things stand.
struct NextHurt {
    std::string element{}, mode{}, function{};
    Level now = Level::unknown, then = Level::unknown;  ///< with this failure: without and with the actions
    bool operator==(const NextHurt&) const = default;
};

struct RestoringSet {
    Effect effect{};
    std::vector<Change> goals{};          ///< those it brings back, and no part of it does, in id order
    bool order_matters = false;           ///< taken in single steps, some order ends otherwise than in one step
    int orders = 1, orders_restoring = 1; ///< orders of single steps; those that bring all its goals back
    std::vector<std::string> order{};     ///< where not all do: one that does, in words
    bool order_powers_fault = false;      ///< some order of single steps powers a fault again (rule M26)
    std::vector<NextHurt> next{};         ///< where asked for; by element, mode, function
    std::size_t single_failures = 0;      ///< where asked for: those that would take one of the goals away again
    bool operator==(const RestoringSet&) const = default;
};

struct RestoreGoal {
    std::string function{};
    Level before = Level::unknown;
    Level to = Level::unknown;             ///< reached by this level or a better one
    std::vector<std::size_t> sets{};       ///< places in Restore::sets
    bool operator==(const RestoreGoal&) const = default;
};

struct Restore {
    Outcome before;
    RestoreOptions options{};
    std::vector<RestoreGoal> goals{};  ///< that stand below the level asked for, in the order of groups
    std::vector<RestoringSet> sets{};  ///< fewest actions first, then least price, then ids (rule M28)
    std::optional<RestoringSet> best_single{};  ///< brings back most of all lost functions; its goals are those
    std::size_t actions = 0;           ///< in reach and possible
    std::uint64_t combinations = 0;    ///< of them examined; those that can reach no goal are not
    bool complete = true;              ///< false: cancelled, out of budget, or so much hunts that everything is unknown; what is listed holds all the same
    int complete_to = 0;               ///< every set of up to so many actions was examined
};

/// From a settled state (a copy is settled first). UnknownId for a goal that is none; NotPossible for options out of range.
Restore restore(const State& from, const RestoreOptions& options = {});

/// From the running aircraft.
Restore restore(const Network& net, const RestoreOptions& options = {});

/// The functions asked for, and the sets.
std::vector<Table> tables(const Restore& restore);
std::string text(const Restore& restore);

}  // namespace fedfrom
