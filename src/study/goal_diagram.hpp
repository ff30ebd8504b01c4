// A function's level for every combination of what may happen, as one decision diagram.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "goal_formula.hpp"

namespace fedfrom::detail {

struct GoalDiagram {
    std::optional<OrderedDiagram> diagram{};  ///< holds where the function is surely below the level
    Diagram may_be = Diagrams::never;         ///< of the same store: surely, or where that counts and is not decided, since two or more spread, or something hunts
    std::vector<std::uint32_t> doubtful{};    ///< what spreads and leaves something open by itself already
    bool hunts = false;                       ///< something is open with nothing that spreads
    std::optional<Formula> formula{};         ///< where there is one; then the budget may not suffice for its diagram
    std::string by{};                         ///< a sentence: how it was found
    std::string why_open{};                   ///< why not everything is decided, or nothing

    bool complete() const { return diagram && diagram->top == may_be; }
};

/// What counts: every combination, or only those in which no element has failed in two modes.
enum class Counting { all, one_mode_an_element };

/// By its formula where the function has one. Else every combination is settled at once by the rules for one state, over a word of diagrams: of
/// what does not spread, with nothing that does, and with each that does. `working`: as of `goal_formula`. What happens together happens in one step.
GoalDiagram goal_diagram(const Outcome& before, std::uint32_t function, Level below, const Happenings& happenings, Counting counting, const Budget& budget, bool working = false);

/// Variables of a diagram that is there with which it holds less than without, somewhere: failures that can help. Ascending. Throws `BudgetSpent`.
std::vector<std::uint32_t> those_that_help(GoalDiagram&);

}  // namespace fedfrom::detail
