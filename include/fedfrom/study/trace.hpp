/// Where supply comes from: the sources that stand behind an element or a function now.
///
///     live_sources(out, "radio_1").ids;          // {"battery", "gen_r"}
///     for (const Support& s : supports(out, "gear_extension")) …   // gear: pump_l
///
/// The feeds in use are followed from consumer to source: of a port with alternatives the first live
/// one whose supply does not run through the element itself (rule M9), of a parallel port or a voter
/// all that are live. Generators and alternators of every kind are the source to name; the engine
/// behind them is not shown. Inverters, rectifiers, chargers and pumps are passed through. All ports
/// count: of a display on one bus with its data from another, both ends are named.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/solve/outcome.hpp>

namespace fedfrom {

struct Sources {
    std::vector<std::string> ids{};  ///< in id order; empty: not supplied
    bool sure = true;                ///< false: something hunts, and which of them feed is unknown
    bool operator==(const Sources&) const = default;
};

/// An element a function's mode rests on, and what feeds it.
struct Support {
    std::string element{};
    Sources sources{};
    bool operator==(const Support&) const = default;
};

/// The live sources of an element as things stand; of a function, of all its supports together; UnknownId
/// for anything else.
/// Linear in the network, but for ports inside a loop of supply, where telling whether a supply runs
/// through the element itself may cost the loop once.
Sources live_sources(const Outcome& outcome, std::string_view id);

/// The elements that make the condition of a function's mode true, in the order of the condition, with
/// their sources, traced where the function is judged: with its demand applied. Of alternatives the
/// first that holds; what only must not be gives none. Empty where the function has no known mode.
std::vector<Support> supports(const Outcome& outcome, std::string_view function);

}  // namespace fedfrom
