/// Which outcomes differ between two aircraft or two states of one, and with which failures, positions and givens.
///
///     Comparison c = compare(running_state(Network(model)), running_state(Network(variant_of(model, "b"))));
///     for (const DifferenceGroup& g : c.groups) …          // the same difference, with these failures
///     std::cout << text(c);                                // for a differences-training hand-out
///
///     State ground = flying;
///     ground.given("airborne", false);
///     compare(flying, ground, {.names = {"in flight", "on the ground"}});
///
/// Not a difference of drawings: both are settled and judged, as they stand and then in every *scenario*: each failure
/// both can have, each position of the crew's controls, each given, added in one step. An outcome of a function is its
/// level and its mode; a mode is the same where its id, its name, its crew notes and its effects are (rule M31). Ids
/// say what corresponds; what only one has is listed apart and is no difference of outcome. Functions are listed in the
/// order of the first's groups, elements in id order.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/solve/step.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct CompareOptions {
    int order = 1;                           ///< 2: also every pair of failures
    bool elements = false;                   ///< also the status of every element, though not with pairs
    std::vector<std::string> goals{};        ///< the only functions to compare; empty: all
    std::array<std::string, 2> names{};      ///< what the sheet calls the two; empty: by variant or edition, else "first" and "second"
    double seconds = 0;                      ///< a budget for pairs; 0: none
    std::function<bool(double)> progress{};  ///< called now and then with the part of the pairs done; false cancels
};

/// How a function stands in one of the two.
struct FunctionStanding {
    Level level = Level::unknown;
    std::string mode{}, mode_name{};  ///< the author's name, or the id with spaces; empty: none, or unknown which
    bool operator==(const FunctionStanding&) const = default;
};

struct FunctionPair {
    std::string function{};
    FunctionStanding a{}, b{};
    bool operator==(const FunctionPair&) const = default;
};

struct ElementPair {
    std::string element{};
    Status a = Status::unknown, b = Status::unknown;
    bool operator==(const ElementPair&) const = default;
};

/// Scenarios that make the same difference.
struct DifferenceGroup {
    std::vector<Step> scenarios{};          ///< what is added: failures, then positions, then givens; of pairs two failures
    std::vector<FunctionPair> functions{};  ///< that then differ, and otherwise than as the two stand; of a pair, than with a part of it too
    std::vector<FunctionPair> alike{};      ///< that differ as the two stand, and then no longer do; not said of pairs
    std::vector<ElementPair> elements{}, elements_alike{};  ///< likewise
    std::optional<Severity> worst{};        ///< of how the differing functions then stand, in either
    bool operator==(const DifferenceGroup&) const = default;
};

/// Something one of the two has, and the other has not.
struct OnlyOne {
    enum class What {
        element,
        failure,   ///< of an element both have
        control,   ///< an element both have, which the crew sets in this one alone
        position,  ///< of a control both have
        given,
        function,
        mode,      ///< of a function both have
    };
    What what = What::element;
    std::string id{};
    std::string word{};        ///< of a failure or mode its id, of a position the position
    std::string name{};        ///< of the element, function or mode
    bool in_a = true;          ///< the first has it
    bool not_fitted = false;   ///< the other's model has it, not fitted; else it is missing there
    bool operator==(const OnlyOne&) const = default;
};

inline constexpr std::string_view name_of(OnlyOne::What what) {
    constexpr std::array<std::string_view, 7> names{"element", "failure", "control", "position", "given", "function", "mode"};
    return names[static_cast<std::size_t>(what)];
}

struct Comparison {
    Outcome a, b;
    CompareOptions options{};
    std::array<std::string, 2> names{};          ///< what the sheet calls them
    std::vector<FunctionPair> functions{};       ///< that differ as the two stand
    std::vector<ElementPair> elements{};         ///< likewise, where asked for
    std::vector<DifferenceGroup> groups{};       ///< single scenarios: worst severity first, then most scenarios; those that only make alike last
    std::vector<DifferenceGroup> pairs{};        ///< where asked for; in the same order
    std::vector<OnlyOne> only{};                 ///< by what, id, word
    std::size_t scenarios = 0, unchanged = 0;    ///< single ones examined; those that leave the two as different as they stand
    std::uint64_t combinations = 0;              ///< pairs examined
    bool complete = true;                        ///< false: cancelled, or out of budget, among the pairs; what is listed holds all the same
};

/// Settles copies first. UnknownId for a goal neither has; NotPossible for an order out of range. Singles are one block of a
/// sweep of each, for element statuses one settle a scenario and side; pairs sweep on all processors.
Comparison compare(const State& a, const State& b, const CompareOptions& options = {});

/// From the running aircraft.
Comparison compare(const Network& a, const Network& b, const CompareOptions& options = {});

/// What a group's scenarios add, in words: "Left main bus: loss or short; Gear handle at DOWN".
std::string scenarios_text(const Comparison& comparison, const DifferenceGroup& group);

/// As the two stand, the scenarios, pairs where asked for, and what only one has.
std::vector<Table> tables(const Comparison& comparison);
std::string text(const Comparison& comparison);

}  // namespace fedfrom
