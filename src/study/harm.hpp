/// What is worse than what, and what a cause is called.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fedfrom/study/impact_table.hpp>

namespace fedfrom::detail {

/// How badly a function stands: first the level, then the rank of the mode. Unknown is worse than degraded,
/// and better than lost only so that a loss is seen on top of it.
struct Badness {
    int level = 0, rank = 0;
    auto operator<=>(const Badness&) const = default;
};
Badness badness(const FunctionInfo& f, Level level, std::string_view mode);
Badness badness(const FunctionInfo& f, const Judgement& judged);

/// The author's word for a function at this level; unknown counts as lost.
std::optional<Severity> severity_of(const FunctionInfo& f, Level level);
inline void raise(std::optional<Severity>& worst, std::optional<Severity> by) {
    if (by && (!worst || *by > *worst)) worst = by;
}

/// Counts a function that got worse among what a cause takes.
void count(Impact& cause, const FunctionInfo& f, Level level);

Change change_of(const Compiled& c, std::uint32_t f, const Judgement& before, const Judgement& after);

/// Whether the function then stands worse.
bool worsens(const Compiled& c, const Change& change);

/// Functions that stand worse in the second outcome, in id order.
std::vector<Change> worse(const Outcome& before, const Outcome& after);

/// "Left generator control unit: loss", "Tyre burst in the wheel well", "Zone tail bay lost".
std::string cause_text(const Compiled& c, const Impact& cause);

/// "Wheel brakes: power brakes without anti-skid (major)"; the word of the level, where lost or unknown.
std::string function_text(const Compiled& c, const std::string& id, Level level, const std::string& mode_name);

/// The level of a change, as its mark says it.
Cell severity_cell(std::optional<Severity> severity);

}  // namespace fedfrom::detail
