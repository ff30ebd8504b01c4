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
///
/// Beside the trace stand two exact answers. Of what is lost: every *smallest set* of what is present that is enough, put
/// alone into the running aircraft (rule M41):
///
///     why(state, "standby").causes->sets;     // {{battery: loss, standby_switch at BATT}}
///
/// And of what works, the *last line of defence*: how many sources are left that do not stand or fall with each other,
/// and every further single failure that takes it.
///
///     why(net, "standby").last->sources.count;    // 2: one more stands behind
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/solve/outcome.hpp>
#include <fedfrom/solve/settle.hpp>
#include <fedfrom/study/next_failures.hpp>
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
        overloaded,
        starting,
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
    constexpr std::array<std::string_view, 11> names{"failure", "trip", "empty", "overloaded", "starting", "hunting", "used", "position", "given", "rest_position", "usual_given"};
    return names[static_cast<std::size_t>(kind)];
}

/// Nothing is wrong with it: it stands as in the running aircraft.
inline constexpr bool could_help(RootCause::Kind kind) { return kind >= RootCause::Kind::rest_position; }

/// The smallest sets of what is present that explain how something stands (rule M41). A trip or an empty store that
/// follows from the rest of what is present is no cause of its own.
struct CauseSets {
    std::vector<RootCause> present{};             ///< all that is present beyond the running aircraft, by kind, id, word
    std::vector<std::vector<RootCause>> sets{};   ///< fewest causes first, then in the order of `present`
    bool running = false;                         ///< it stands no better in the running aircraft: the one set is the empty one
    bool together = true;                         ///< all that is present, put in in one step, leaves it so
    bool complete = true;                         ///< false: more than twelve causes, and not every set was tried
    std::size_t complete_to = 0;                  ///< every set of up to so many causes was
    std::vector<std::string> remembered{};        ///< where no set is enough: what the aircraft remembers beside, one clause each
    bool operator==(const CauseSets&) const = default;
};

/// What stands between something that works and its loss.
struct LastLine {
    SourceCount sources{};               ///< independent sources left (rule M25); of an element without its own loss
    std::vector<FailureRef> singles{};   ///< every further single failure that takes it, by element and mode; not those of the element itself
    bool complete = true;                ///< false: the network is too large to try every failure
    bool operator==(const LastLine&) const = default;
};

struct Why {
    Outcome outcome;
    std::string id{};
    std::string headline{};
    std::vector<WhyLine> lines{};
    std::vector<RootCause> roots{};     ///< those the trace meets, by kind, then id; of what is supplied: only what holds it where it stands
    std::optional<CauseSets> causes{};  ///< of a function that is not normal, of what is not surely supplied or does not stand as in the running aircraft
    std::optional<LastLine> last{};     ///< of a function that works, and of what is supplied by something else
};

/// Of an element or a function; UnknownId for anything else. A function is explained where it is judged:
/// with its demand applied. The trace is linear in the part of the network it runs through; lines nest at most
/// 16 deep, then go on under a heading of their own. The sets take one settle for each set of causes, 64 side by side; the
/// last line of defence up to 30,000, and fewer where the network is large.
Why why(const Outcome& outcome, std::string_view id);

/// Settles a copy of the state first.
Why why(const State& state, std::string_view id);

/// 100 columns wide: the root causes, the smallest sets, what could help, the last line of defence, then the explanation
/// as indented sentences, and the caution.
std::string text(const Why& why);

/// The lines as rows; the rest as captions.
Table table(const Why& why);

}  // namespace fedfrom
