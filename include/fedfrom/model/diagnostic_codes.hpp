/// Every code a `Diagnostic` can carry, with one sentence each.
///
/// *Structural* codes are about the shape of the text; the JSON Schema in
/// schemas/ finds the same (all but `duplicate_key` and the ones about the text
/// itself, which a schema never sees). The others compare one part of the
/// model with another.
///
///     is_structural("unknown_key");   // true
///     is_structural("dangling_id");   // false
#pragma once

#include <algorithm>
#include <array>
#include <string_view>

namespace fedfrom {

struct DiagnosticCode {
    std::string_view code;
    bool structural;
    std::string_view meaning;
};

inline constexpr std::array diagnostic_codes{
    // the text
    DiagnosticCode{"cannot_read", true, "the file cannot be opened or read"},
    DiagnosticCode{"empty_file", true, "there is no text"},
    DiagnosticCode{"encoding", true, "the text is not UTF-8"},
    DiagnosticCode{"syntax", true, "the text is not JSON"},
    DiagnosticCode{"truncated", true, "the text ends in the middle"},
    DiagnosticCode{"too_deep", true, "more levels of brackets, or of conditions, than any model needs"},
    DiagnosticCode{"duplicate_key", true, "a key occurs twice in one object"},
    // the shape
    DiagnosticCode{"wrong_format", true, "the format tag is not one this library reads"},
    DiagnosticCode{"missing_key", true, "a required key is not there"},
    DiagnosticCode{"unknown_key", true, "a key means nothing here"},
    DiagnosticCode{"wrong_type", true, "a value has another type or shape than is needed"},
    DiagnosticCode{"bad_id", true, "an id is not a lower-case letter followed by letters, digits and underscores"},
    DiagnosticCode{"bad_word", true, "a word is empty, too long, or none of the words known here"},
    DiagnosticCode{"duplicate_word", true, "a word occurs twice in a list"},
    DiagnosticCode{"out_of_range", true, "a number or a length is outside its range"},
    DiagnosticCode{"empty_list", true, "a list is empty where that means nothing"},
    DiagnosticCode{"not_both", true, "two keys exclude each other"},
    // ids
    DiagnosticCode{"dangling_id", false, "an id that is in no collection"},
    DiagnosticCode{"wrong_collection", false, "an id of another collection than is needed"},
    DiagnosticCode{"id_used_twice", false, "one id in two collections"},
    DiagnosticCode{"unknown_group", false, "a group that `groups` does not list"},
    DiagnosticCode{"media_built_in", false, "`media` changes a port name whose medium is built in"},
    // positions
    DiagnosticCode{"no_positions", false, "a position is asked of something that has none"},
    DiagnosticCode{"unknown_position", false, "a word that is no position of that element"},
    DiagnosticCode{"reserved_word", false, "a position called `stays`"},
    DiagnosticCode{"bare_position", false, "an id read as supplied, of something that only has a position"},
    DiagnosticCode{"two_movers", false, "more than one of `follows`, `goes` and `reach`"},
    DiagnosticCode{"follows_itself", false, "an element follows itself"},
    DiagnosticCode{"words_differ", false, "an unmapped `follows` between different words"},
    DiagnosticCode{"no_without", false, "ports and positions, but nothing said about a port that is not supplied"},
    DiagnosticCode{"unknown_port", false, "`without` or `runs_without_s` names a port the element does not have"},
    DiagnosticCode{"duplicate_port", false, "`without` names a port twice"},
    DiagnosticCode{"not_reachable", false, "a crew setting of something the crew cannot reach"},
    // feeds and ties
    DiagnosticCode{"no_feeds", false, "a port nothing feeds"},
    DiagnosticCode{"too_few", false, "`at_least` asks for more than there are"},
    DiagnosticCode{"not_a_device", false, "something in a `via` that has no positions and is no diode or check valve"},
    DiagnosticCode{"passes_nothing", false, "something that lets supply through in no position"},
    DiagnosticCode{"duplicate_device", false, "a device twice in one `via`"},
    DiagnosticCode{"one_way_in_tie", false, "a diode or check valve in a tie"},
    DiagnosticCode{"one_way_misused", false, "a diode or check valve with ports, positions or a position list"},
    DiagnosticCode{"tie_to_itself", false, "a tie between an element and itself"},
    DiagnosticCode{"tie_not_here", false, "a port lists a tie its element is not an end of"},
    DiagnosticCode{"tie_placed_twice", false, "a tie listed twice at one end"},
    DiagnosticCode{"tie_unplaced", false, "a tie at an element with several ports, listed in none"},
    DiagnosticCode{"tie_media", false, "the ends of a tie carry different media"},
    DiagnosticCode{"cannot_hold", false, "a bus, feeder, pipe or manifold that is to hold itself in"},
    DiagnosticCode{"left_unsaid", false, "an unfitted device in a `via` that does not say what is left"},
    // failures
    DiagnosticCode{"unknown_mode", false, "a failure mode, or a mode of a function, that is not there"},
    DiagnosticCode{"mode_misused", false, "a failure mode, or a key of it, where it means nothing"},
    DiagnosticCode{"leak_fluid", false, "a leak whose fluid is unsaid, ambiguous or not carried"},
    DiagnosticCode{"no_protection", false, "`tripped` of something that does not protect"},
    // judgement
    DiagnosticCode{"level_in_logic", false, "a function's level used in the aircraft's own logic"},
    DiagnosticCode{"function_ring", false, "functions whose levels depend on each other in a ring"},
    DiagnosticCode{"no_store", false, "`spend` from something without a store"},
    DiagnosticCode{"spends_too_much", false, "`spend` of more applications than the store holds when full"},
    DiagnosticCode{"shows_nothing", false, "`look_at` of something that shows nothing"},
    DiagnosticCode{"unknown_text", false, "`expect` of a text that is never shown"},
    DiagnosticCode{"more_required", false, "more required than installed"},
    // variants
    DiagnosticCode{"variant_ring", false, "variants that build on each other in a ring"},
    DiagnosticCode{"bad_patch", false, "a patch that does not apply"},
    DiagnosticCode{"already_variant", false, "a variant of a model that is a variant already"},
    // the list
    DiagnosticCode{"more_follow", true, "there are more problems than are listed"},
};

/// Whether a code is about the shape of the text alone; false for a code not in the table.
inline constexpr bool is_structural(std::string_view code) {
    const auto found = std::ranges::find(diagnostic_codes, code, &DiagnosticCode::code);
    return found != diagnostic_codes.end() && found->structural;
}

/// Diagnostics are listed up to this many; one `more_follow` then ends the list.
inline constexpr std::size_t most_diagnostics = 1000;

}  // namespace fedfrom
