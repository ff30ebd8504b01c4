/// Why something is lost, or on what it lives: the trace an instructor draws.
///
///     State state = running_state(net);
///     state.fail("battery").set("standby_switch", "BATT");
///     std::cout << text(why(state, "standby"));
///     // Why: standby is not supplied.
///     //
///     // Root causes
///     //   battery: loss
///     //   standby_switch at BATT
///     // …
///     // standby is not supplied:
///     //   Its power port has 2 ways in, none live:
///     //     from main_l through standby_switch at BATT (blocks)
///     //       standby_switch is at BATT, which blocks here (it passes at AUTO): selected by hand.
///     //     from battery through standby_switch at BATT (passes)
///     //       battery has failed: loss.
///
/// Lost, degraded or unknown: the blocked link in *every* alternative, down to root causes. A device that
/// blocks is followed along what moves it: its control supply, its leader, its logic. Working: the path
/// in use, consumer to source, and what stands behind it. What has been explained once is referred to
/// afterwards, and a loop of dead things is cut where it closes. Failures, trips, empty stores and hands away
/// from rest are the causes; a switch at rest or a given as the model has it stands in the way too, and is
/// named apart: changing it could help.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/solve/outcome.hpp>
#include <fedfrom/solve/settle.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// One sentence of the explanation. Lines come in reading order; `depth` says under which it stands.
struct WhyLine {
    enum class Role {
        statement,    ///< how it is with an element or function
        alternative,  ///< one way supply could come, or one mode or part of a condition
        in_use,       ///< a link of the path in use
        behind,       ///< an alternative that is not needed now
        root,         ///< a root cause stands in this line
        reference,    ///< explained above, or below under its own heading
        loop,         ///< closes a loop of things that wait for each other
    };
    int depth = 0;
    Role role = Role::statement;
    std::string id{};    ///< the element or function it is about
    std::string text{};
    bool operator==(const WhyLine&) const = default;
};

struct RootCause {
    enum class Kind : std::uint8_t {
        failure,
        trip,
        empty,
        hunting,
        used,           ///< a one-shot mode
        position,       ///< a hand away from rest
        given,          ///< other than in the model
        rest_position,  ///< a hand at rest: no cause, but changing it could help
        usual_given,    ///< as in the model: likewise
    };
    Kind kind = Kind::failure;
    std::string id{};
    std::string word{};  ///< the failure mode, the mode used, the position, "true" or "false"
    std::string text{};
    bool operator==(const RootCause&) const = default;
};

inline constexpr std::string_view name_of(RootCause::Kind kind) {
    constexpr std::array<std::string_view, 9> names{"failure", "trip", "empty", "hunting", "used", "position", "given", "rest_position", "usual_given"};
    return names[static_cast<std::size_t>(kind)];
}

/// Nothing is wrong with it: it stands as in the running aircraft.
inline constexpr bool could_help(RootCause::Kind kind) { return kind >= RootCause::Kind::rest_position; }

struct Why {
    Outcome outcome;
    std::string id{};
    std::string headline{};
    std::vector<WhyLine> lines{};
    std::vector<RootCause> roots{};  ///< by kind, then id; of what is supplied: only what holds it where it stands
};

/// Of an element or a function; UnknownId for anything else. A function is explained where it is judged:
/// with its demand applied. Linear in the part of the network it runs through; lines nest at most
/// 16 deep, then go on under a heading of their own.
Why why(const Outcome& outcome, std::string_view id);

/// Settles a copy of the state first.
Why why(const State& state, std::string_view id);

/// 100 columns wide: the root causes, what could help, then the explanation as indented sentences, and the caution.
std::string text(const Why& why);

/// The lines as rows.
Table table(const Why& why);

}  // namespace fedfrom
