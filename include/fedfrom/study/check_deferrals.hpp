/// What a given set of open items takes together, and where the items get in each other's way.
///
///     DeferralCheck check = check_deferrals(net, {{.item = "gen_24_30", .unit = "left"}, {.item = "apu_49_10"}});
///     for (const Conflict& c : check.conflicts) std::cout << c.text << '\n';
///     check.next.sources;                        // independent sources left with all of them out
///
/// Says what the model shows and what it does not know; never that an aircraft may go.
#pragma once

#include <string>
#include <vector>

#include <fedfrom/study/dispatch_table.hpp>

namespace fedfrom {

struct OpenItem {
    Deferral deferral{};
    std::string name{}, unit_name{}, ata{}, category{};
    std::optional<std::chrono::year_month_day> last_day{};  ///< of the repair interval, where `found` and the category say it
    std::vector<Change> changes{};         ///< what it takes alone
    std::vector<Provided> provided{};      ///< with all of them out
    std::vector<std::string> maintenance{}, operational{}, remarks{};
    std::vector<std::string> not_known{};
    bool operator==(const OpenItem&) const = default;
};

struct DeferralCheck {
    Outcome before, outcome;           ///< without and with all of them out
    std::vector<OpenItem> items{};     ///< by item, then unit
    std::vector<Change> changes{};     ///< lost or degraded, against `before`
    std::vector<Conflict> conflicts{};
    NextFailures next;                 ///< with all of them out, against `before`
};

/// From a settled state (a copy is settled first). UnknownId for an item or unit that is not there; NotPossible where a
/// unit is open twice, or has to be named and is not.
DeferralCheck check_deferrals(const State& from, const std::vector<Deferral>& open, const DispatchOptions& options = {});

/// From the running aircraft.
DeferralCheck check_deferrals(const Network& net, const std::vector<Deferral>& open, const DispatchOptions& options = {});

/// Open items, conditions, conflicts, what each takes and all take, next failures and sources left.
std::vector<Table> tables(const DeferralCheck& check);
std::string text(const DeferralCheck& check);

}  // namespace fedfrom
