/// What `dispatch_table` and `check_deferrals` share: pairs of deferrals, and how things are said on their sheets.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/check_deferrals.hpp>

#include "deferrals.hpp"

namespace fedfrom::detail {

/// A unit with what is known of it alone.
struct Alone {
    const Unit* unit = nullptr;
    Outcome out;
    Standing standing{};
};

/// What two deferrals do to each other: broken conditions, contradictions, functions that stand worse. Both out: `both`.
std::vector<Conflict> conflicts_of(const Compiled& c, const Outcome& before, const Alone& a, const Alone& b, const Outcome& both, const Standing& standing);

/// Functions that stand worse than before and than with any one of them alone.
std::vector<Change> worse_together(const Outcome& before, const std::vector<const Outcome*>& alone, const Outcome& together);
/// With text and severity.
Conflict together(const Compiled& c, std::vector<Deferral> deferrals, std::vector<Change> changes);

/// "Wheel brakes degraded: accumulator (major)", the worst first; of more than `most` the rest is a number. Empty: nothing.
std::string ranked_changes_text(const Compiled& c, const std::vector<Change>& changes, std::size_t most = static_cast<std::size_t>(-1));
/// Remarks or exceptions as a list has them: (M) and (O) first, each with its mark.
std::string remarks_text(const std::vector<std::string>& maintenance, const std::vector<std::string>& operational, const std::vector<std::string>& provided,
                         const std::vector<std::string>& remarks);
/// "C: 10 days", "A: as the remarks say".
std::string interval_text(std::string_view category);
std::string heading(const std::string& ata, const std::string& name);

std::string_view word_of(Met met);
Cell met_cell(Met met);
std::string_view word_of(Conflict::Why why);
Cell why_cell(Conflict::Why why);

std::string called(const Model& m, const Deferral& d);

/// "Asks for Battery supplied: Battery failed or out."
std::string asks_text(const Provided& p);

/// What the model cannot know; at the foot of every sheet.
std::vector<std::string> dispatch_notes();

}  // namespace fedfrom::detail
