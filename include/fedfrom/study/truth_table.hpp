/// The table pilots write by hand: switch positions down, failures across, and what the target then does.
///
///     TruthTable t = truth_table(net, {"standby"}, {.positions = {{"standby_switch", {}}}, .failures = {{}, {{"gen_l"}, {"gen_r"}}}});
///     std::cout << text(t);
///     // standby_switch   Standby bus: nothing failed   Standby bus: gen_l loss and gen_r loss
///     // AUTO             supplied, from gen_l          unsupplied
///     // BATT             supplied, from battery        supplied, from battery
///
/// Each cell is settled and judged by itself: the row's positions and the block's failures are added to the settled state
/// in one step, with that state's memory. Nothing is carried from row to row. Where rows are joined, a dash stands only
/// for what makes no difference: every row it stands for was settled, and is exactly alike, sources and all. What is
/// unknown is never joined (rule M32).
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include <fedfrom/study/trace.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct TruthTableOptions {
    /// The positions of each control to try, in the order of the rows; an empty list: all it has. Empty: every control that crew in
    /// cockpit and cabin reach and the targets hang on, switches, selectors and handles before others, as many as fit `most_rows`.
    std::map<std::string, std::vector<std::string>> positions{};
    std::vector<std::vector<FailureRef>> failures{{}};  ///< a block of columns for each set of failures; an empty set: nothing more failed
    bool join = false;                                  ///< draw rows together that do not differ
    std::size_t most_rows = 128;                        ///< rows settled, before any are joined
};

/// A control, and the positions tried.
struct TruthControl {
    std::string id{}, name{};
    std::vector<std::string> positions{};
    bool all = true;  ///< it has no others
    bool operator==(const TruthControl&) const = default;
};

/// A function's level, mode and sources, or an element's status, position and sources.
struct TruthCell {
    Level level = Level::unknown;     ///< of a function
    std::string mode{}, mode_name{};  ///< of a function; empty: none, or unknown which
    Status status = Status::unknown;  ///< of an element
    std::string position{};           ///< of an element; "unknown"; empty: has none
    Sources sources{};
    bool operator==(const TruthCell&) const = default;
};

struct TruthRow {
    std::vector<std::string> at{};   ///< by control; empty: it makes no difference at which of those tried
    std::vector<TruthCell> cells{};  ///< block by block, in each target by target
    std::size_t stands_for = 1;      ///< so many rows
    bool operator==(const TruthRow&) const = default;
};

struct TruthTable {
    Outcome before;
    std::vector<std::string> targets{};    ///< functions and elements, as asked
    TruthTableOptions options{};
    std::vector<TruthControl> controls{};  ///< by id; the first changes slowest
    std::vector<std::string> left_out{};   ///< controls the targets hang on that did not fit, by id: they stand where they are
    std::vector<TruthRow> rows{};
    std::size_t settled = 0;               ///< rows, before any were joined
    bool complete = true;                  ///< false: there are more rows, or controls were left out
};

/// From a settled state (a copy is settled first). UnknownId for a target that is neither function nor element; NotPossible
/// for no target, for one that is not fitted, or for what cannot be set or fail so. A settle for each row and block.
TruthTable truth_table(const State& from, const std::vector<std::string>& targets, const TruthTableOptions& options = {});

/// From the running aircraft.
TruthTable truth_table(const Network& net, const std::vector<std::string>& targets, const TruthTableOptions& options = {});

Table table(const TruthTable& truth);
std::string text(const TruthTable& truth);

}  // namespace fedfrom
