/// How the studies say things: names, lists, the state in words, lines that wrap.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/solve/outcome.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom::detail {

/// "GEN L", or the id where there is no name.
const std::string& name_of(const ElementInfo& e);
const std::string& name_of(const FunctionInfo& f);

/// "GEN L (gen_l)", or the id alone.
std::string called(const ElementInfo& e);
std::string called(const FunctionInfo& f);
/// "GEN L (gen_l): loss".
std::string called(const Compiled& c, const FailureRef& failure);
/// Failures by name, the first ten and how many more; "none".
std::string considered(const Compiled& c, const std::vector<FailureRef>& failures);

/// What the author calls a mode, or its id with spaces: "free fall".
std::string mode_name(const ModeInfo& mode);
std::string spaced(std::string id);

/// "a, b and c"; "a; b, c; and d" where an item has a comma of its own.
std::string listed(const std::vector<std::string>& words, std::string_view last = " and ");

/// A number with up to ten significant digits, as tables write it.
std::string digits(double x);
/// With four: "2.152e-05".
std::string four_digits(double x);

/// Seconds to be read: to a tenth, below a hundred of them to a thousandth.
double shown_time(double seconds);
std::string time_text(double seconds);

/// "1 pair", "3 pairs".
std::string plural(std::size_t n, const std::string& one, const std::string& many);

/// A sentence with its full stop, or without: notes come either way.
std::string with_stop(std::string text);
std::string without_stop(std::string text);

/// "passes", "blocks", "unknown"; empty where it is no device or depends on the contact.
std::string passing(const Outcome& out, std::uint32_t e);

/// Kept, degraded, lost: the words of a sheet, and their marks.
std::string_view word_of(Level level);
Mark mark_of(Level level);

/// The crew action a function is judged with: "with GEAR HANDLE at DOWN, when airborne"; empty without demand.
std::string demand_text(const Compiled& c, std::uint32_t demand);
/// The same of what an author wrote, without what is not fitted.
std::string demand_text(const Compiled& c, const Demand& written);

/// Failures by element, as listed: "Right main bus: loss or short". `most`: how many elements by name.
std::string failures_text(const Compiled& c, const std::vector<FailureRef>& failures, std::size_t most);

/// Failures, trips and spent stores present; "nothing failed".
std::string state_text(const Outcome& out);
/// "airborne true, icing false".
std::string givens_text(const Outcome& out);
/// Crew selections that differ from rest; "all at rest".
std::string positions_text(const Outcome& out);

/// Model, edition, variant, state, givens, positions: what every sheet names.
std::vector<Caption> captions(const Outcome& out);

/// The functions in the order of `groups`, then of ids; those in no group last.
std::vector<std::uint32_t> in_group_order(const Compiled& c);

/// Appends `text`, made literal, in lines of at most `width`, each but the first indented by `hang`. `first`
/// is put before it as it is; it counts for the width.
void append_wrapped(std::string& out, std::string_view first, std::string_view text, std::size_t hang, std::size_t width = 100);

/// Appends "Model: …" and the other captions, wrapped.
void append_captions(std::string& out, const std::vector<Caption>& captions);

/// Appends tables of one sheet, whose captions stand above them once, and the caution once.
void append_tables(std::string& out, std::vector<Table> tables);

}  // namespace fedfrom::detail
