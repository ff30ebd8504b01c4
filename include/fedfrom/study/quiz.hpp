/// A quiz: failures are hidden, symptoms are given, guesses are taken.
///
///     Quiz q = quiz(net, {.seed = 7});
///     q.seen();                                   // what the lights and gauges now show otherwise
///     q.look("radio", {.set = {{"standby_switch", "BATT"}}});
///     Guess g = q.guess({{"main_l"}});            // what it explains of all that was seen, what it contradicts
///     q.answer();
///
/// A value; the same seed hides the same failures. Nothing but `answer` tells what is hidden. Drawn failures always show: each of
/// them changes what some indication would show otherwise.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/diagnose.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct QuizOptions {
    std::vector<FailureRef> hidden{};                 ///< empty: drawn
    std::uint64_t seed = 0;
    int failures = 1;                                 ///< how many are drawn, 1 to 3
    std::optional<std::vector<FailureRef>> within{};  ///< those drawn from; no value: every one
};

/// What a guess says of all that was seen, as places in Quiz::seen.
struct Guess {
    std::vector<FailureRef> failures{};
    std::vector<std::size_t> explains{}, contradicts{}, undecided{};
    bool right = false;            ///< they are the hidden ones
    bool looks_the_same = false;   ///< every indication surely shows the same as things stand, and all that was seen is explained
    bool operator==(const Guess&) const = default;
};

class Quiz {
public:
    /// See `quiz`.
    Quiz(const State& from, const QuizOptions& options);

    /// The indications that surely changed, then what was looked at since.
    const std::vector<Observation>& seen() const { return seen_; }
    std::size_t symptoms() const { return symptoms_; }

    /// Looks at one thing more: what an element shows, or whether it works where it shows nothing; the level of a function. What is
    /// read is seen from then on. No value where it is unknown. Throws UnknownId and NotPossible.
    std::optional<Observation> look(const std::string& id, const Demand& when = {});

    /// Throws UnknownId and NotPossible for failures the aircraft does not have, or has already.
    Guess guess(const std::vector<FailureRef>& failures) const;

    const std::vector<FailureRef>& answer() const { return hidden_; }
    /// The aircraft without what is hidden.
    const Outcome& before() const { return before_; }

private:
    State from_;
    Outcome before_;
    std::vector<FailureRef> hidden_;
    std::vector<Observation> seen_;
    std::size_t symptoms_ = 0;
};

/// From a settled state (a copy is settled first). UnknownId and NotPossible for failures that are not there, or where nothing that shows can be drawn.
Quiz quiz(const State& from, const QuizOptions& options = {});

/// From the running aircraft.
Quiz quiz(const Network& net, const QuizOptions& options = {});

/// What was seen; not what is hidden.
Table table(const Quiz& quiz);
std::string text(const Quiz& quiz);

}  // namespace fedfrom
