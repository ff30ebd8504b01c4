/// From symptoms to candidates: which failures explain what is seen, dead and alive, and what to look at next.
///
///     Diagnosis d = diagnose(state, {{"standby_light", "out"}, {"radio", "works"}, {"gear_valve", "closed"},
///                                    {"radio", "dead", {.set = {{"standby_switch", "BATT"}}}}});
///     d.candidates.front().failures;         // explains everything, smallest, most likely
///     d.looks.front();                       // what tells the candidates apart best, and what each result would mean
///
/// A candidate is a set of failures added to the settled state in one step; what it *predicts* of an observation is read in the
/// settled aircraft, with the hands and givens of that observation then set in one further step. What works counts as much as what is
/// dead, and a light may itself be dead. A prediction that is unknown neither explains nor contradicts (rule M34). An observation may be mistaken: sets
/// that contradict one of them alone are listed behind those that contradict none. This shows what the model holds; it is no procedure.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// What was seen, heard or felt of one thing.
struct Observation {
    std::string id{};    ///< an element or a function
    std::string seen{};  ///< of an element: a text it shows ("" is nothing), else "works" or "dead" (supplied or not), else a position; of a function: "works", "dead" or a level
    Demand when{};       ///< hands and givens then; what is not said is as it stands
    bool operator==(const Observation&) const = default;
};

struct DiagnoseOptions {
    int most_failures = 2;                                        ///< how many at once, 1 to 3
    std::optional<std::vector<FailureRef>> within{};              ///< the only failures to think of; no value: every one
    std::map<std::pair<std::string, std::string>, double> prior{};  ///< by element and mode: how likely, instead of the author's rate or probability
    bool mistaken = true;                                         ///< also sets that contradict one observation
    bool next = true;                                             ///< also what to look at next
    Reach reach = Reach::cockpit;                                 ///< how far somebody goes to try something
    std::size_t most_listed = 1000;                               ///< candidates listed; all are counted
    double seconds = 0;                                           ///< a budget for the search; 0: none
    std::function<bool(double)> progress{};                       ///< called now and then with the part done; false cancels
};

/// A set of failures that explains what was seen.
struct Candidate {
    std::vector<FailureRef> failures{};      ///< by element and mode; empty: nothing more need have failed
    std::vector<std::size_t> contradicts{};  ///< places in Diagnosis::observations: none, or one
    std::vector<std::size_t> undecided{};    ///< those whose prediction is unknown
    std::optional<double> likely{};          ///< product of rates (per flight hour) or probabilities; no value: one is missing
    std::vector<FailureRef> missing{};       ///< failures in it without one
    bool operator==(const Candidate&) const = default;
};

/// Something to look at, or to try, and what each result would leave.
struct NextLook {
    std::string id{};                 ///< an indication, or a function
    Demand with{};                    ///< what is set for it; empty: as things stand
    double bits = 0;                  ///< expected information
    std::vector<std::string> worse{}; ///< functions that setting it makes worse, as things stand or with the first candidate
    struct Result {
        std::string reading{};        ///< a text, or a level of a function
        double share = 0;             ///< of the weight of the candidates considered
        std::vector<std::size_t> leaves{};  ///< places in Diagnosis::candidates; one whose prediction is unknown is left by every result
        bool operator==(const Result&) const = default;
    };
    std::vector<Result> results{};    ///< in order of readings
    bool operator==(const NextLook&) const = default;
};

struct Diagnosis {
    Outcome before;
    std::vector<Observation> observations{};
    DiagnoseOptions options{};
    std::vector<std::size_t> unexpected{};    ///< observations that the aircraft as it stands contradicts
    std::vector<std::size_t> undecided{};     ///< those whose prediction is unknown as it stands
    std::vector<Candidate> candidates{};      ///< fewest contradictions, those surely explaining before undecided ones, smallest, most likely, ids
    std::array<std::size_t, 2> found{};       ///< how many there are with no and with one contradiction, listed or not
    std::vector<NextLook> looks{};            ///< what makes nothing worse first, then most information, then what needs no action; at most ten
    std::size_t considered = 0;               ///< how many candidates they tell apart: the first of those with fewest contradictions
    bool by_rates = false;                    ///< these were weighed by `likely`; false: equally, since rates are missing
    std::uint64_t combinations = 0;           ///< examined; with failures that can reach nothing observed they are not
    bool complete = true;                     ///< false: cancelled, or out of budget; what is listed holds all the same
    int complete_to = 0;                      ///< every set of up to so many failures was examined
};

/// From a settled state (a copy is settled first), what is failed there being known. Throws UnknownId and NotPossible for what cannot be observed so.
/// Pairs cost a sweep of all pairs of failures that can reach what was observed; next looks a settle for each candidate considered and crew action, 64 at a time.
Diagnosis diagnose(const State& from, const std::vector<Observation>& observations, const DiagnoseOptions& options = {});

/// From the running aircraft.
Diagnosis diagnose(const Network& net, const std::vector<Observation>& observations, const DiagnoseOptions& options = {});

/// What was seen, the candidates, what to look at next.
std::vector<Table> tables(const Diagnosis& diagnosis);
std::string text(const Diagnosis& diagnosis);

}  // namespace fedfrom
