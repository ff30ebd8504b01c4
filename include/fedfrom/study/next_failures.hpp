/// Which single failures hurt next, against the clean aircraft, and how many independent sources are left.
///
///     State state = running_state(net);
///     state.fail("gen_l");
///     NextFailures next = next_failures(state);
///     for (const NextFailure& f : next.rows)
///         if (!f.exposed.empty()) …                  // hurts more today than on the clean aircraft
///     next.sources.front().now;                      // 1: one more loss takes this function
///
/// The *clean aircraft* has the same hands and givens, and nothing failed. A failure is *newly exposed* in a
/// function that it takes further than what is present does, and further than it does alone on the clean
/// aircraft: to a worse level, or to a mode of a worse rank.
///
/// *Independent sources left*: the size of the smallest set of losses among sources, controllers and drives that
/// takes the function altogether. What is counted are the things themselves and not the ways: two generators
/// behind one controller are one. Buses, ducts and devices are left out; what hangs on one of them shows among
/// the single failures.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/impact_table.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct NextOptions {
    bool causes = true;                ///< also the author's common causes, and each zone lost as a whole
    std::vector<std::string> goals{};  ///< the only functions to examine; empty: all
    bool sources = true;               ///< count the independent sources
    std::size_t most_settles = 30000;  ///< for counting them, in each of the two aircraft
};

/// One function that a further failure takes further than anything does alone.
struct Exposed {
    std::string function{};
    Level before = Level::unknown, after = Level::unknown;  ///< without and with the failure
    Level clean = Level::unknown;                           ///< with this failure alone, on the clean aircraft
    std::string mode_after{}, mode_clean{};                 ///< names; empty: none, or unknown which
    bool operator==(const Exposed&) const = default;
};

struct NextFailure {
    Impact now{};                           ///< what it does from the state
    std::optional<Severity> worst{};        ///< of what it makes worse, a worse mode at the same level too; unknown counts as lost
    std::optional<Severity> clean_worst{};  ///< the same, of this failure alone on the clean aircraft
    std::vector<Exposed> exposed{};         ///< in id order; empty: it hurts no more than on the clean aircraft
    std::optional<Severity> exposed_worst{};
    bool operator==(const NextFailure&) const = default;
};

inline constexpr int most_sources_counted = 3;

/// A number of independent sources: exact up to three.
struct SourceCount {
    int count = 0;              ///< 0: the function is lost or unknown as it is; 4: four or more
    bool exact = true;          ///< false: the budget ran out; there are `count` at least
    bool kept_without = false;  ///< the function is there even with all of them lost
    std::vector<std::vector<std::string>> sets{};  ///< every smallest set, where there are three or fewer in it
    bool operator==(const SourceCount&) const = default;
};

struct SourcesLeft {
    std::string function{};
    SourceCount now{}, clean{};
    bool operator==(const SourcesLeft&) const = default;
};

struct NextFailures {
    Outcome before, clean;
    NextOptions options{};
    std::vector<Change> changes{};      ///< what is worse already than on the clean aircraft
    std::vector<NextFailure> rows{};    ///< that make a function worse: worst severity first, then most lost, most degraded, id
    std::vector<SourcesLeft> sources{}; ///< in the order of groups
    std::vector<std::string> counted{}; ///< the sources, controllers and drives among which they are counted
    std::size_t examined = 0;           ///< causes

    /// How many failures newly exposed are of this severity.
    std::size_t newly_exposed(std::optional<Severity> severity) const;
};

/// From a settled state (a copy is settled first).
NextFailures next_failures(const State& from, const NextOptions& options = {});

/// From the running aircraft.
NextFailures next_failures(const Network& net, const NextOptions& options = {});

/// Newly exposed failures, independent sources left, and all that hurts besides.
std::vector<Table> tables(const NextFailures& next);
std::string text(const NextFailures& next);

}  // namespace fedfrom
