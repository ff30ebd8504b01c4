/// Every failure and common cause against every function, and combinations of failures.
///
///     ImpactTable t = impact_table(net);
///     impact_table(net, {.order = 2});                  // and every pair of failures
///     std::cout << to_markdown(table(t));             // worst first
///     t.rows.front().changes;                          // level before and after, where they differ
///
/// Each cause is added to the settled state in one step, with that state's memory, and settled (rule 8);
/// functions are then judged with their demands as always. A combination is listed for the functions it takes further
/// down than any part of it does; two modes of one element are not combined.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct ImpactOptions {
    int order = 1;                    ///< how many failures at once, 1 to 3
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
    enum class Cause { failure, common_cause, zone, combination };
    Cause cause = Cause::failure;
    std::string id{};                  ///< the element, common cause or zone; of a combination its elements, "a + b"
    std::string mode{};                ///< of a failure
    std::string name{};
    std::vector<FailureRef> fails{};   ///< what was added; what is present already is not
    std::vector<Change> changes{};     ///< functions examined whose level or mode differs (of a combination: that no part of it takes so far down), in id order
    std::size_t elements_lost = 0;     ///< supplied before, not (or unknown) after
    std::optional<Severity> worst{};   ///< of the functions examined that got worse; an unknown level counts as lost
    std::size_t lost = 0, degraded = 0, unknown = 0;  ///< functions that got worse, by level after
    bool operator==(const Impact&) const = default;
};

struct ImpactTable {
    Outcome before;
    ImpactOptions options{};
    std::vector<std::string> functions{};  ///< those any row changes, in the order of groups, then ids
    std::vector<Impact> rows{};  ///< single causes first, then pairs, then triples; of each worst severity first, then most lost, most degraded, id
    std::size_t examined = 0, unchanged = 0;  ///< single causes, and those of them that change no function examined
    std::uint64_t combinations = 0;           ///< of two or more failures examined
    std::uint32_t inert = 0;                  ///< failures left out of them, which can reach no function examined
};

/// From a settled state (a copy is settled first). `order` beyond 3 throws NotPossible. One settle and
/// one judgement for each single cause and for each combination listed; the others by `Sweep`, on all processors.
ImpactTable impact_table(const State& from, const ImpactOptions& options = {});

/// From the running aircraft.
ImpactTable impact_table(const Network& net, const ImpactOptions& options = {});

Table table(const ImpactTable& impacts);
std::string text(const ImpactTable& impacts);

}  // namespace fedfrom
