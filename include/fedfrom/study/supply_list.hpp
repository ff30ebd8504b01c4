/// What hangs on a bus, breaker or source, and what feeds it.
///
///     SupplyList s = supply_list(state, "Left main bus");   // by id, name or alias, in any case
///     s.needs;        // what loses supply when it alone is lost
///     s.uses;         // what lives on it now and would be taken over by another feed
///     s.functions;    // what the crew would notice
///
/// Found by settling the state with its `loss` added in one step. What loses supply *needs* it. What stays supplied *uses* it
/// where, among the feeds in use from there to the sources (generators of every kind, and what nothing feeds), one comes from it,
/// runs through it, or is not live without it. What neither needs nor uses it *could use* it where some way leads there from
/// it, open or not, in use or not. A contactor, relay or valve that is lost goes where its `without` says, which may
/// pass: where it then stands is in `lost_as`.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/study/impact_table.hpp>
#include <fedfrom/study/trace.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// A way in.
struct SupplyWay {
    std::string into{}, port{};  ///< the element it leads into (of a device: what it stands before), and by which port
    std::string from{};
    std::string text{};          ///< "Left main bus (main_l) through cb_gear at in (passes)"
    bool in_use = false;
    std::string stands{};        ///< "in use", "live", or what blocks it
    bool operator==(const SupplyWay&) const = default;
};

/// Something that hangs on it.
struct SupplyLine {
    std::string id{}, name{};
    bool direct = false;              ///< fed by it with nothing but devices between, or it is such a device
    Status now = Status::unknown;     ///< as things stand
    Status without = Status::unknown; ///< with it lost
    std::vector<std::string> sources{};  ///< live sources with it lost; empty: none, or it is unknown
    bool operator==(const SupplyLine&) const = default;
};

struct SupplyList {
    Outcome outcome, without;            ///< as things stand; with it lost
    std::string id{}, name{};
    std::string lost_as{};               ///< what its loss is here, in a sentence
    bool lost_already = false;           ///< then nothing needs it or uses it
    bool sure = true;                    ///< false: something never comes to rest, with it or without, and which feed is in use is not sure
    std::vector<SupplyWay> ways{};       ///< directly, by priority; of a device: the ways it stands in
    std::vector<std::string> path{};     ///< what feeds it all the way, nearest first: elements in use
    std::vector<std::string> sources{};  ///< the live sources at the far end
    std::vector<std::string> others{};   ///< sources not in use for it from which some way leads, open or not
    std::vector<SupplyLine> needs{}, uses{}, could{}, unknown{};  ///< each in id order; unknown: supplied or not as things stand
    std::vector<Change> functions{};     ///< that stand otherwise with it lost: worse first, in the order of groups
};

/// By id; else by id, name or alias in any case. UnknownId naming the nearest, or every one of several that bear the name.
/// NotPossible for a diode or check valve that its author took as perfect; anything else so taken is lost all the same.
SupplyList supply_list(const Outcome& outcome, std::string_view name);

/// A copy of the state is settled first.
SupplyList supply_list(const State& state, std::string_view name);

/// In the running aircraft.
SupplyList supply_list(const Network& net, std::string_view name);

/// What feeds it, what hangs on it, functions.
std::vector<Table> tables(const SupplyList& list);
std::string text(const SupplyList& list);

}  // namespace fedfrom
