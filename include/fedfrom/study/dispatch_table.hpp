/// The dispatch items of a model in the order of a minimum equipment list, with what each takes away.
///
///     DispatchTable t = dispatch_table(net);
///     std::cout << to_markdown(table(t));        // the list's own columns, then what is computed
///     for (const Conflict& c : t.conflicts) …    // pairs that must not meet, and why
///
/// Each unit is deferred alone and in every pair, in copies of the settled state. What is printed is what the
/// model shows, and what it does not know; whether an aircraft may go is for the operator's list and the crew.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/deferral.hpp>
#include <fedfrom/study/next_failures.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct DispatchOptions {
    bool causes = true;                  ///< next failures: also common causes and zones
    std::size_t most_settles = 300'000;  ///< what does not fit is left out, and said
};

/// Another single failure that shows what the failed unit shows.
struct Hidden {
    Impact cause{};                       ///< `changes` only where worse than with the unit failed
    std::vector<std::string> elements{};  ///< off supply besides, which the failed unit leaves supplied
    std::vector<std::string> checks{};    ///< checks of the model that read differently with the one and the other
    bool unit_works = false;              ///< the unit itself is in order with it
    bool operator==(const Hidden&) const = default;
};

/// One unit of an item, deferred alone.
struct DeferredUnit {
    std::string id{}, name{};
    bool fitted = true;                      ///< false: nothing of it is; then all else is empty
    std::vector<Change> changes{};           ///< lost or degraded at once
    std::vector<NextFailure> exposed{};      ///< single failures newly exposed, worst first
    bool exposed_examined = true;            ///< false: the budget ran out
    std::vector<Provided> provided{};
    std::vector<Hidden> hidden{};            ///< what the same symptom may hide; those that take most first
    std::vector<std::string> not_known{};    ///< what the model cannot say about it, a sentence each
    std::optional<Severity> exposed_worst() const;
    bool operator==(const DeferredUnit&) const = default;
};

struct DispatchRow {
    std::string id{}, name{}, ata{}, category{};
    int installed = 0, required = 0;
    std::vector<std::string> provided{};  ///< the conditions, in words
    std::vector<std::string> maintenance{}, operational{}, remarks{};
    std::vector<DeferredUnit> units{};    ///< in id order
    bool operator==(const DispatchRow&) const = default;
};

struct DispatchTable {
    Outcome before;
    DispatchOptions options{};
    std::vector<DispatchRow> rows{};       ///< by chapter, then id
    std::vector<Conflict> conflicts{};     ///< pairs of different items, and of one item that allows two
    std::size_t pairs = 0, pairs_examined = 0;
};

/// From a settled state (a copy is settled first).
DispatchTable dispatch_table(const State& from, const DispatchOptions& options = {});

/// From the running aircraft.
DispatchTable dispatch_table(const Network& net, const DispatchOptions& options = {});

/// One row a unit: item, category, installed, required, remarks or exceptions, then what is computed.
Table table(const DispatchTable& dispatch);
/// For paper: the list, what each deferral takes at once and exposes, conditions, pairs, symptoms.
std::vector<Table> tables(const DispatchTable& dispatch);
std::string text(const DispatchTable& dispatch);

}  // namespace fedfrom
