/// Which failures a set of checks reveals, which stay hidden, which look alike, and which path each step proves.
///
///     Coverage c = check_coverage(net);                  // the model's own checks
///     for (const std::size_t f : c.hidden()) …           // failures no check reveals
///     for (const Path& p : c.paths)
///         if (p.proved_by.empty()) …                     // one of several feeds that no step proves
///     c.smallest;                                        // as few checks as reveal the same
///
/// A check is played on the settled state with one failure added to it: the failure in one step, then each step of the check,
/// settled each. A failure is *revealed* by a step whose reading is then surely another than expected. A reading that is
/// unknown reveals nothing, and neither does a step whose expectation the aircraft does not meet as it stands; that is said.
/// A *path* is one of several feeds or ties of a port; a step proves it where the reading would be wrong with that path alone
/// cut, everything else in order. This shows what the model holds: it is no maintenance instruction. Pairs of failures are not
/// examined: a second failure may hide what a check reveals of a first.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct CoverageOptions {
    std::optional<std::map<std::string, Check>> checks{};  ///< by id; no value: those of the model
};

/// What a step reads that is not expected, and with which failures.
struct WrongReading {
    std::string reading{};
    std::vector<std::size_t> failures{};  ///< places in Coverage::failures
    bool operator==(const WrongReading&) const = default;
};

/// One step of a check.
struct CoverageStep {
    std::string check{};
    std::size_t number = 1;                ///< within its check
    Demand act{};
    std::string look_at{}, expect{};       ///< empty: nothing is looked at
    std::optional<std::string> reads{};    ///< as the aircraft stands; no value: unknown, or nothing is looked at
    bool met = true;                       ///< false: it does not read as expected as it stands, and so proves nothing
    std::vector<WrongReading> wrong{};     ///< in order of texts; empty where not met
    std::vector<std::size_t> unknown{};    ///< failures with which the reading is unknown
    std::vector<std::size_t> proves{};     ///< places in Coverage::paths
    bool operator==(const CoverageStep&) const = default;
};

/// A single failure, and what tells of it.
struct CoverageFailure {
    std::string element{}, mode{};
    std::vector<std::string> checks{};     ///< that reveal it, in id order
    std::vector<std::string> shows{};      ///< indications that surely change with it as things stand, without any check
    bool operator==(const CoverageFailure&) const = default;
};

/// One of several feeds or ties of a port.
struct Path {
    std::string element{}, port{};         ///< what is fed
    std::string upstream{};
    std::vector<std::string> through{};    ///< devices from source to load
    bool tie = false;
    std::vector<std::size_t> proved_by{};  ///< places in Coverage::steps
    std::vector<std::string> shows{};      ///< indications that surely change where it alone is cut, without any check
    bool operator==(const Path&) const = default;
};

struct Coverage {
    Outcome before;
    std::map<std::string, Check> checks{};
    std::vector<CoverageStep> steps{};                ///< in the order of checks, then of their steps
    std::vector<CoverageFailure> failures{};          ///< every failure not present, by element and mode
    std::vector<std::vector<std::size_t>> alike{};    ///< revealed failures that read the same in every step of every check, two or more
    std::vector<std::string> adds_nothing{};          ///< checks that reveal nothing that the others together do not
    std::vector<std::string> smallest{};              ///< a smallest set of checks that reveals the same
    bool smallest_exact = true;                       ///< false: the search ran out; there may be a smaller one
    std::vector<Path> paths{};                        ///< by element, port, then priority

    /// Failures that no check reveals, as places in `failures`.
    std::vector<std::size_t> hidden() const;
    /// Those of them that no indication shows by itself either.
    std::vector<std::size_t> silent() const;
};

/// From a settled state (a copy is settled first). UnknownId and NotPossible for checks that name what is not there, set what
/// nobody sets, or expect what is never shown. O((failures + paths) / 64 · steps · network).
Coverage check_coverage(const State& from, const CoverageOptions& options = {});

/// From the running aircraft.
Coverage check_coverage(const Network& net, const CoverageOptions& options = {});

/// What each step proves, paths side by side, what no check reveals, what looks alike, and every revealed failure against every check.
std::vector<Table> tables(const Coverage& coverage);
std::string text(const Coverage& coverage);

}  // namespace fedfrom
