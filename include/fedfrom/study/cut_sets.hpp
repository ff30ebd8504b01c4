/// Which failures, together, take a function below a level; and which things, working, are enough to keep it there.
///
///     CutSets cuts = cut_sets(net, "wheel_braking");                        // not normal any more
///     cut_sets(state, "wheel_braking", {.below = Level::degraded});         // lost altogether
///     cuts.sets.front();                                                    // the failures of the first
///     path_sets(net, "wheel_braking").sets;                                 // enough, whatever else fails
///
/// A *cut set* is a set of failures that, added to the settled state in one step with its memory, takes the function
/// below the level (unknown is below every level); no proper subset does (rule 8). Two modes of one element are
/// never in one set.
///
/// Where what the function hangs on only carries supply and logic, it is written out as a Boolean formula of the failures, loops
/// included, and the sets are those of the formula: all of them, of any order. Where there is memory, or something that holds
/// itself in, all combinations of failures are settled at once, as decision diagrams: all sets too. Where shorts, leaks or jams may spread, or something hunts,
/// every combination of up to three failures is settled (`Sweep`), or of four where `order` asks for it, and beside that all at once in
/// which at most one failure spreads: the answer is complete to that order, and to all sets with at most one such. `by` says which it was, and why.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/logic/budget.hpp>
#include <fedfrom/solve/settle.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct CutSetOptions {
    Level below = Level::normal;               ///< normal: it is not normal any more; degraded: it is lost
    std::optional<int> order{};                ///< of at most so many failures; none: as many as it takes, or three where combinations are settled; of these at most four
    double hours = 0;                          ///< of a flight, for probabilities: `dropped`, and `at_least`. 0: none are told
    double at_least = 0;                       ///< only sets so probable on some flight between checks; of less probable ones, some may be there. Not with `order`
    std::optional<std::vector<FailureRef>> within{};  ///< the only failures to combine; none: every failure not present
    std::size_t most_sets = 10'000;            ///< listed; all are counted
    Budget budget{};                           ///< of the diagrams
    double seconds = 0;                        ///< a budget for settling combinations; 0: none
    std::function<bool(double)> progress{};    ///< of settling combinations; false cancels
};

struct CutSets {
    Outcome before;
    std::string function{};
    CutSetOptions options{};
    bool paths = false;                        ///< sets of failures that must *not* be there, to keep the function
    bool already = false;                      ///< the function is below the level as it is: there is nothing to take away
    std::vector<std::vector<FailureRef>> sets{};  ///< by order, then ids
    std::vector<std::uint64_t> counts{};       ///< [k]: sets of k failures, listed or not; 2^64 - 1 stands for that many or more
    bool complete = false;                     ///< every minimal set is counted
    std::optional<int> complete_to{};          ///< every minimal set of up to so many failures is; with `at_least`, every one so probable
    std::optional<int> spreading_to{};         ///< every minimal set in which at most so many failures spread is, of any order (within `order`, and `at_least`)
    std::vector<FailureRef> doubtful{};        ///< but for sets with these beyond `complete_to`: with them something may hunt, or was too much
    std::optional<double> complete_from{};     ///< every minimal set at least so probable is
    std::optional<double> dropped{};           ///< with `hours`: on no flight is it likelier that the function is below the level without all of any set that is counted
    std::vector<FailureRef> missing{};         ///< with `hours`: failures with neither rate nor probability, that matter, or, where combinations are settled, any. They are taken as certain: nothing is left out for them
    std::vector<FailureRef> helping{};         ///< failures that, in some combination, keep the function where it would else be below
    bool helping_known = false;                ///< whether `helping` was found out
    std::string by{};                          ///< a sentence: how the sets were found
};

/// From a settled state (a copy is settled first). Throws UnknownId, and NotPossible for a function that is not fitted, a level
/// that nothing is below, an order below 1, or `at_least` with an order or without hours. Cost: the diagram of all combinations; else combinations of three, see `Sweep`.
CutSets cut_sets(const State& from, std::string_view function, const CutSetOptions& options = {});
CutSets cut_sets(const Network& net, std::string_view function, const CutSetOptions& options = {});

/// The smallest sets of failures that must not be there so that the function stays at the level whatever else of `within` fails. Throws NotPossible,
/// naming why, where combinations have to be settled one by one, where a failure can help, or where the budget does not suffice; for `hours` and `at_least` too.
CutSets path_sets(const State& from, std::string_view function, const CutSetOptions& options = {});
CutSets path_sets(const Network& net, std::string_view function, const CutSetOptions& options = {});

Table table(const CutSets& sets);
std::string text(const CutSets& sets);

}  // namespace fedfrom
