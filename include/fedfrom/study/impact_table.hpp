/// Every single failure and common cause against every function.
///
///     ImpactTable t = impact_table(net);
///     std::cout << to_markdown(table(t));             // worst first
///     t.rows.front().changes;                          // level before and after, where they differ
///
/// Each cause is added to the settled state in one step, with that state's memory, and settled (rule 8);
/// functions are then judged with their demands as always.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct ImpactOptions {
    int order = 1;                    ///< how many failures at once; this version examines single ones
    bool causes = true;               ///< also the author's common causes, and each zone lost as a whole
    std::vector<std::string> goals{}; ///< the only functions to examine; empty: all
};

struct Change {
    std::string function{};
    Level before = Level::unknown, after = Level::unknown;
    std::string mode_before{}, mode_after{};
    std::string mode_name_before{}, mode_name_after{};  ///< the author's name, or the id with spaces
    bool operator==(const Change&) const = default;
};

struct Impact {
    enum class Cause { failure, common_cause, zone };
    Cause cause = Cause::failure;
    std::string id{};                  ///< the element, common cause or zone
    std::string mode{};                ///< of a failure
    std::string name{};
    std::vector<FailureRef> fails{};   ///< what was added; what is present already is not
    std::vector<Change> changes{};     ///< functions examined whose level or mode differs, in id order
    std::size_t elements_lost = 0;     ///< supplied before, not (or unknown) after
    std::optional<Severity> worst{};   ///< of the functions examined that got worse; an unknown level counts as lost
    std::size_t lost = 0, degraded = 0, unknown = 0;  ///< functions that got worse, by level after
    bool operator==(const Impact&) const = default;
};

struct ImpactTable {
    Outcome before;
    ImpactOptions options{};
    std::vector<std::string> functions{};  ///< those any row changes, in the order of groups, then ids
    std::vector<Impact> rows{};  ///< worst severity first, then most lost, most degraded, id
    std::size_t examined = 0, unchanged = 0;  ///< causes, and those of them that change no function examined
};

/// From a settled state (a copy is settled first). `order` above 1 throws NotPossible. One settle and
/// one judgement for each cause.
ImpactTable impact_table(const State& from, const ImpactOptions& options = {});

/// From the running aircraft.
ImpactTable impact_table(const Network& net, const ImpactOptions& options = {});

Table table(const ImpactTable& impacts);
std::string text(const ImpactTable& impacts);

}  // namespace fedfrom
