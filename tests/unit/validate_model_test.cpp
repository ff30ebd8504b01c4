#include "catch.hpp"

#include <set>

#include <fedfrom/io/read.hpp>
#include <fedfrom/model/diagnostic_codes.hpp>
#include <fedfrom/model/validate.hpp>

#include "marked_text.hpp"

using namespace fedfrom;
using marked::model_with;

namespace {

std::string bus(std::string_view members) { return model_with("\"e\": {\"kind\": \"bus\", " + std::string(members) + "}"); }
std::string with_needs(std::string_view condition) { return bus("\"needs\": " + std::string(condition)); }
std::string function(std::string_view mode_members, std::string_view members = {}) {
    return model_with("", "\"functions\": {\"f\": {\"modes\": {\"m\": {" + std::string(mode_members) + "}}" + std::string(members) + "}}");
}
std::string media(int n) {
    std::string all;
    for (int i = 0; i < n; ++i) all += (i ? ", \"m" : "\"m") + std::to_string(i) + "\": \"water\"";
    return "{" + all + "}";
}
std::string check(std::string_view step) { return model_with("", "\"checks\": {\"c\": {\"steps\": [{" + std::string(step) + "}]}}"); }
std::string ties(std::string_view elements, std::string_view tie) { return model_with(elements, "\"ties\": {\"t\": " + std::string(tie) + "}"); }
std::string dispatch(std::string_view members) {
    return model_with("", "\"dispatch\": {\"d\": {\"category\": \"B\", \"installed\": 1, " + std::string(members) + "}}");
}

/// One problem in each, at the mark.
const std::vector<marked::Case> cases{
    // ids
    {"dangling_id", "/elements/e/inputs/power/0", bus("\"inputs\": {\"power\": [@\"no\"]}")},
    {"dangling_id", "/elements/e/inputs/power/0/from", bus("\"inputs\": {\"power\": [{\"from\": @\"no\", \"via\": [\"cb\"]}]}")},
    {"dangling_id", "/elements/e/inputs/power/of/0", bus("\"inputs\": {\"power\": {\"at_least\": 1, \"of\": [@\"no\"]}}")},
    {"dangling_id", "/elements/e/inputs/power/parallel/0", bus("\"inputs\": {\"power\": {\"parallel\": [@\"no\"]}}")},
    {"dangling_id", "/elements/e/inputs/power/0/via/0", bus("\"inputs\": {\"power\": [{\"from\": \"bat\", \"via\": [@\"no\"]}]}")},
    {"dangling_id", "/elements/e/inputs/power/0/via/0", bus("\"inputs\": {\"power\": [{\"from\": \"bat\", \"via\": [@{\"no\": [\"A\"]}]}]}")},
    {"dangling_id", "/elements/e/inputs/power/0/tie", bus("\"inputs\": {\"power\": [{\"tie\": @\"no\"}]}")},
    {"dangling_id", "/elements/e/needs", with_needs("@\"no\"")},
    {"dangling_id", "/elements/e/needs/all/1", with_needs("{\"all\": [\"bat\", @\"no\"]}")},
    {"dangling_id", "/elements/e/needs/any/0", with_needs("{\"any\": [@\"no\"]}")},
    {"dangling_id", "/elements/e/needs/of/0", with_needs("{\"at_least\": 1, \"of\": [@\"no\"]}")},
    {"dangling_id", "/elements/e/needs/not", with_needs("{\"not\": @\"no\"}")},
    {"dangling_id", "/elements/e/needs/at/no", with_needs("{\"at\": {\"no\": @\"A\"}}")},
    {"dangling_id", "/elements/e/needs/contact/no", with_needs("{\"contact\": {\"no\": @\"A\"}}")},
    {"dangling_id", "/elements/e/needs/set/no", with_needs("{\"set\": {\"no\": @\"A\"}}")},
    {"dangling_id", "/elements/e/needs/passes", with_needs("{\"passes\": @\"no\"}")},
    {"dangling_id", "/elements/e/needs/tripped", with_needs("{\"tripped\": @\"no\"}")},
    {"dangling_id", "/elements/e/needs/given", with_needs("{\"given\": @\"no\"}")},
    {"dangling_id", "/elements/e/needs/failure/no", with_needs("{\"failure\": {\"no\": @\"loss\"}}")},
    {"dangling_id", "/elements/e/follows", model_with("\"e\": {\"kind\": \"valve\", \"follows\": @\"no\"}")},
    {"dangling_id", "/elements/e/follows/no", model_with("\"e\": {\"kind\": \"valve\", \"follows\": {\"no\": @{\"A\": \"open\"}}}")},
    {"dangling_id", "/elements/e/goes/0/when", model_with("\"e\": {\"kind\": \"valve\", \"goes\": [{\"to\": \"open\", \"when\": @\"no\"}]}")},
    {"dangling_id", "/elements/e/shows/0/when", bus("\"shows\": [{\"text\": \"x\", \"when\": @\"no\"}]")},
    {"dangling_id", "/elements/e/protects/needs", model_with("\"e\": {\"kind\": \"breaker\", \"protects\": {\"needs\": @\"no\"}}")},
    {"dangling_id", "/ties/t/between/1", ties("", "{\"between\": [\"main\", @\"no\"]}")},
    {"dangling_id", "/ties/t/via/0", ties("\"e\": {\"kind\": \"bus\"}", "{\"between\": [\"main\", \"e\"], \"via\": [@\"no\"]}")},
    {"dangling_id", "/functions/f/modes/m/when", function("\"rank\": 1, \"when\": @\"no\"")},
    {"dangling_id", "/functions/f/modes/m/when/level/no", function("\"rank\": 1, \"when\": {\"level\": {\"no\": @\"normal\"}}")},
    {"dangling_id", "/functions/f/modes/m/effects/no", function("\"rank\": 1, \"when\": \"main\", \"effects\": {\"no\": @2}")},
    {"dangling_id", "/functions/f/modes/m/spend/no", function("\"rank\": 1, \"when\": \"main\", \"spend\": {\"no\": @1}")},
    {"dangling_id", "/functions/f/demand/set/no", function("\"rank\": 1, \"when\": \"main\"", ", \"demand\": {\"set\": {\"no\": @\"A\"}}")},
    {"dangling_id", "/functions/f/demand/given/no", function("\"rank\": 1, \"when\": \"main\"", ", \"demand\": {\"given\": {\"no\": @true}}")},
    {"dangling_id", "/quantities/q/rules/r/when", model_with("", "\"quantities\": {\"q\": {\"rules\": {\"r\": {\"when\": @\"no\", \"value\": 2}}}}")},
    {"dangling_id", "/checks/c/steps/0/look_at", check("\"look_at\": @\"no\", \"expect\": \"x\"")},
    {"dangling_id", "/checks/c/steps/0/do/set/no", check("\"do\": {\"set\": {\"no\": @\"A\"}}")},
    {"dangling_id", "/dispatch/d/units/u/elements/0", dispatch("\"required\": 1, \"units\": {\"u\": {\"elements\": [@\"no\"]}}")},
    {"dangling_id", "/dispatch/d/units/u/secured/no", dispatch("\"required\": 1, \"units\": {\"u\": {\"elements\": [], \"secured\": {\"no\": @\"A\"}}}")},
    {"dangling_id", "/dispatch/d/provided/0", dispatch("\"required\": 1, \"provided\": [@\"no\"]")},
    {"dangling_id", "/common_causes/c/fails/0", model_with("", "\"common_causes\": {\"c\": {\"fails\": [@\"no\"]}}")},
    {"dangling_id", "/common_causes/c/fails/0/0", model_with("", "\"common_causes\": {\"c\": {\"fails\": [[@\"no\", \"short\"]]}}")},
    {"dangling_id", "/variants/v/on", model_with("", "\"variants\": {\"v\": {\"on\": @\"no\", \"patch\": {}}}")},
    {"dangling_id", "/variant", model_with("", "\"variant\": @\"no\"")},
    {"wrong_collection", "/elements/e/needs", with_needs("@\"airborne\"")},
    {"wrong_collection", "/elements/e/needs/given", with_needs("{\"given\": @\"bat\"}")},
    {"wrong_collection", "/dispatch/d/units/u/elements/0", dispatch("\"required\": 1, \"units\": {\"u\": {\"elements\": [@\"d\"]}}")},
    {"id_used_twice", "/quantities/bat", model_with("", "\"quantities\": {\"bat\": @{}}")},
    {"id_used_twice", "/base", model_with("", "\"base\": @\"v\", \"variants\": {\"v\": {\"patch\": {}}}")},
    {"bad_id", "/base", model_with("", "\"base\": @\"A\"")},
    {"bad_id", "/elements/e/inputs/Power", bus("\"inputs\": {@\"Power\": [\"bat\"]}")},
    {"unknown_group", "/elements/e/group", bus("\"group\": @\"powr\"")},
    {"unknown_group", "/functions/f/group", function("\"rank\": 1, \"when\": \"main\"", ", \"group\": @\"powr\"")},
    {"media_built_in", "/media/fuel", model_with("", "\"media\": {\"fuel\": @\"water\"}")},
    {"out_of_range", "/media", model_with("", "\"media\": @" + media(41))},
    // positions
    {"unknown_position", "/elements/e/needs/at/sw", with_needs("{\"at\": {\"sw\": @\"C\"}}")},
    {"unknown_position", "/elements/e/needs/set/sw", with_needs("{\"set\": {\"sw\": @\"C\"}}")},
    {"unknown_position", "/elements/e/needs/contact/sw", with_needs("{\"contact\": {\"sw\": @\"C\"}}")},
    {"unknown_position", "/elements/e/inputs/power/0/via/0/sw/1", bus("\"inputs\": {\"power\": [{\"from\": \"bat\", \"via\": [{\"sw\": [\"A\", @\"C\"]}]}]}")},
    {"unknown_position", "/elements/e/rest", model_with("\"e\": {\"kind\": \"valve\", \"rest\": @\"shut\"}")},
    {"unknown_position", "/elements/e/passes_in/0", model_with("\"e\": {\"kind\": \"valve\", \"passes_in\": [@\"shut\"]}")},
    {"unknown_position", "/elements/e/goes/0/to", model_with("\"e\": {\"kind\": \"valve\", \"goes\": [{\"to\": @\"shut\", \"when\": \"main\"}]}")},
    {"unknown_position", "/elements/e/without/0/1", model_with("\"e\": {\"kind\": \"valve\", \"inputs\": {\"power\": [\"main\"]}, \"without\": [[\"power\", @\"shut\"]]}")},
    {"unknown_position", "/elements/e/follows/sw/C", model_with("\"e\": {\"kind\": \"valve\", \"follows\": {\"sw\": {\"C\": @\"open\"}}}")},
    {"unknown_position", "/elements/e/follows/sw/A", model_with("\"e\": {\"kind\": \"valve\", \"follows\": {\"sw\": {\"A\": @\"shut\"}}}")},
    {"unknown_position", "/elements/e/failures/stuck/at", model_with("\"e\": {\"kind\": \"valve\", \"failures\": {\"stuck\": {\"at\": @\"shut\"}}}")},
    {"unknown_position", "/functions/f/demand/set/sw", function("\"rank\": 1, \"when\": \"main\"", ", \"demand\": {\"set\": {\"sw\": @\"C\"}}")},
    {"unknown_position", "/dispatch/d/units/u/secured/vlv", dispatch("\"required\": 1, \"units\": {\"u\": {\"elements\": [\"vlv\"], \"secured\": {\"vlv\": @\"shut\"}}}")},
    {"unknown_position", "/common_causes/c/fails/0/2/at", model_with("", "\"common_causes\": {\"c\": {\"fails\": [[\"vlv\", \"stuck\", {\"at\": @\"shut\"}]]}}")},
    {"no_positions", "/elements/e", model_with("\"e\": @{\"kind\": \"switch\"}")},
    {"no_positions", "/elements/e/needs/at/bat", with_needs("{\"at\": {\"bat\": @\"A\"}}")},
    {"no_positions", "/elements/e/goes", bus("\"goes\": @[{\"to\": \"A\", \"when\": \"main\"}]")},
    {"no_positions", "/elements/e/protects", bus("\"protects\": @true")},
    {"no_positions", "/elements/e/follows", model_with("\"e\": {\"kind\": \"valve\", \"follows\": @\"bat\"}")},
    {"duplicate_word", "/elements/e/positions/1", model_with("\"e\": {\"kind\": \"switch\", \"positions\": [\"A\", @\"A\"]}")},
    {"duplicate_word", "/groups/1", "{\"format\": \"fedfrom/1\", \"name\": \"x\", \"elements\": {}, \"groups\": [\"a\", @\"a\"]}"},
    {"reserved_word", "/elements/e/positions/0", model_with("\"e\": {\"kind\": \"switch\", \"positions\": [@\"stays\"]}")},
    {"bare_position", "/elements/e/needs", with_needs("@\"sw\"")},
    {"bare_position", "/elements/e/needs/not", with_needs("{\"not\": @\"dio\"}")},
    {"bare_position", "/elements/e/inputs/power/0", bus("\"inputs\": {\"power\": [@\"cb\"]}")},
    {"bare_position", "/elements/e/inputs/power/0", bus("\"inputs\": {\"power\": [@\"dio\"]}")},
    {"bare_position", "/ties/t/between/1", ties("", "{\"between\": [\"main\", @\"vlv\"]}")},
    {"two_movers", "/elements/e/goes", model_with("\"e\": {\"kind\": \"valve\", \"follows\": {\"sw\": {\"A\": \"open\"}}, \"goes\": @[{\"to\": \"open\", \"when\": \"main\"}]}")},
    {"two_movers", "/elements/e/reach", model_with("\"e\": {\"kind\": \"valve\", \"follows\": {\"sw\": {\"A\": \"open\"}}, \"reach\": @\"cockpit\"}")},
    {"two_movers", "/elements/e/reach", model_with("\"e\": {\"kind\": \"valve\", \"goes\": [{\"to\": \"open\", \"when\": \"main\"}], \"reach\": @\"cabin\"}")},
    {"follows_itself", "/elements/e/follows", model_with("\"e\": {\"kind\": \"valve\", \"follows\": @\"e\"}")},
    {"words_differ", "/elements/e/follows", model_with("\"e\": {\"kind\": \"valve\", \"follows\": @\"sw\"}")},
    {"no_without", "/elements/e", model_with("\"e\": @{\"kind\": \"valve\", \"inputs\": {\"power\": [\"main\"]}}")},
    {"unknown_port", "/elements/e/without/0/0", model_with("\"e\": {\"kind\": \"valve\", \"inputs\": {\"power\": [\"main\"]}, \"without\": [[@\"air\", \"open\"]]}")},
    {"duplicate_port", "/elements/e/without/1/0", model_with("\"e\": {\"kind\": \"valve\", \"inputs\": {\"power\": [\"main\"]}, \"without\": [[\"power\", \"stays\"], [@\"power\", \"open\"]]}")},
    {"not_reachable", "/functions/f/demand/set/vlv", function("\"rank\": 1, \"when\": \"main\"", ", \"demand\": {\"set\": {\"vlv\": @\"open\"}}")},
    {"not_reachable", "/checks/c/steps/0/do/set/vlv", check("\"do\": {\"set\": {\"vlv\": @\"open\"}}")},
    {"not_reachable", "/elements/e/needs/set/vlv", with_needs("{\"set\": {\"vlv\": @\"open\"}}")},
    // feeds and ties
    {"no_feeds", "/elements/e/inputs/power", bus("\"inputs\": {\"power\": @[]}")},
    {"too_few", "/elements/e/inputs/power/at_least", bus("\"inputs\": {\"power\": {\"at_least\": @2, \"of\": [\"bat\"]}}")},
    {"too_few", "/elements/e/needs/at_least", with_needs("{\"at_least\": @2, \"of\": [\"bat\"]}")},
    {"not_a_device", "/elements/e/inputs/power/0/via/0", bus("\"inputs\": {\"power\": [{\"from\": \"bat\", \"via\": [@\"main\"]}]}")},
    {"passes_nothing", "/elements/e/inputs/power/0/via/0", bus("\"inputs\": {\"power\": [{\"from\": \"bat\", \"via\": [@\"sw\"]}]}")},
    {"passes_nothing", "/elements/e/needs/passes", with_needs("{\"passes\": @\"sw\"}")},
    {"duplicate_device", "/elements/e/inputs/power/0/via/1", bus("\"inputs\": {\"power\": [{\"from\": \"bat\", \"via\": [\"cb\", @\"cb\"]}]}")},
    {"one_way_in_tie", "/ties/t/via/0", ties("\"e\": {\"kind\": \"bus\"}", "{\"between\": [\"main\", \"e\"], \"via\": [@\"dio\"]}")},
    {"one_way_misused", "/elements/e/inputs", model_with("\"e\": {\"kind\": \"diode\", \"inputs\": @{\"power\": [\"bat\"]}}")},
    {"one_way_misused", "/elements/e/inputs/power/0/via/0/dio", bus("\"inputs\": {\"power\": [{\"from\": \"bat\", \"via\": [{\"dio\": @[\"A\"]}]}]}")},
    {"tie_to_itself", "/ties/t/between", ties("", "{\"between\": @[\"main\", \"main\"]}")},
    {"tie_not_here", "/elements/f/inputs/power/1/tie", ties("\"e\": {\"kind\": \"bus\"}, \"f\": {\"kind\": \"bus\", \"inputs\": {\"power\": [\"bat\", {\"tie\": @\"t\"}]}}", "{\"between\": [\"main\", \"e\"]}")},
    {"tie_placed_twice", "/ties/t/between/1", ties("\"e\": {\"kind\": \"bus\", \"inputs\": {\"power\": [{\"tie\": \"t\"}], \"control\": [{\"tie\": \"t\"}]}}", "{\"between\": [\"main\", @\"e\"]}")},
    {"tie_unplaced", "/ties/t/between/1", ties("\"e\": {\"kind\": \"bus\", \"inputs\": {\"power\": [\"bat\"], \"field\": [\"bat\"]}}", "{\"between\": [\"main\", @\"e\"]}")},
    {"tie_media", "/ties/t", ties("\"e\": {\"kind\": \"manifold\"}", "@{\"between\": [\"main\", \"e\"]}")},
    {"cannot_hold", "/elements/e/holds_in", bus("\"holds_in\": @true")},
    {"left_unsaid", "/elements/e", model_with("\"e\": @{\"kind\": \"breaker\", \"fitted\": false}, \"b\": {\"kind\": \"bus\", \"inputs\": {\"power\": [{\"from\": \"bat\", \"via\": [\"e\"]}]}}")},
    // failures
    {"unknown_mode", "/elements/e/needs/failure/bat", with_needs("{\"failure\": {\"bat\": @\"short\"}}")},
    {"unknown_mode", "/common_causes/c/fails/0/1", model_with("", "\"common_causes\": {\"c\": {\"fails\": [[\"bat\", @\"short\"]]}}")},
    {"unknown_mode", "/common_causes/c/fails/0", model_with("\"e\": {\"kind\": \"bus\", \"fallible\": false}", "\"common_causes\": {\"c\": {\"fails\": [@\"e\"]}}")},
    {"unknown_mode", "/functions/f/modes/m/bars/0", function("\"rank\": 1, \"when\": \"main\", \"bars\": [@\"n\"]")},
    {"mode_misused", "/elements/e/failures/stuck", bus("\"failures\": {\"stuck\": @{}}")},
    {"mode_misused", "/elements/e/failures/contacts", bus("\"failures\": {\"contacts\": @{}}")},
    {"mode_misused", "/elements/e/failures/no_trip", bus("\"failures\": {\"no_trip\": @{}}")},
    {"mode_misused", "/elements/e/failures/loss/at", model_with("\"e\": {\"kind\": \"valve\", \"failures\": {\"loss\": {\"at\": @\"open\"}}}")},
    {"mode_misused", "/elements/e/failures/loss/fluid", bus("\"failures\": {\"loss\": {\"fluid\": @\"fuel\"}}")},
    {"mode_misused", "/elements/e/failures", bus("\"fallible\": false, \"failures\": @{\"loss\": {}}")},
    {"mode_misused", "/common_causes/c/fails/0/2/at", model_with("", "\"common_causes\": {\"c\": {\"fails\": [[\"bat\", \"loss\", {\"at\": @\"x\"}]]}}")},
    {"leak_fluid", "/elements/e/failures/leak", bus("\"failures\": {\"leak\": @{}}")},
    {"leak_fluid", "/elements/e/failures/leak/fluid", model_with("\"r\": {\"kind\": \"reservoir\"}, \"e\": {\"kind\": \"pump\", \"inputs\": {\"hydraulic\": [\"r\"]}, \"failures\": {\"leak\": {\"fluid\": @\"fuel\"}}}")},
    {"leak_fluid", "/elements/e", model_with("\"r\": {\"kind\": \"reservoir\"}, \"e\": @{\"kind\": \"pump\", \"inputs\": {\"hydraulic\": [\"r\"], \"fuel\": [\"r\"]}}")},
    {"no_protection", "/elements/e/needs/tripped", with_needs("{\"tripped\": @\"bat\"}")},
    {"not_both", "/common_causes/c", model_with("", "\"common_causes\": {\"c\": @{\"rate\": 0, \"probability\": 0, \"fails\": [\"bat\"]}}")},
    {"out_of_range", "/common_causes/c/probability", model_with("", "\"common_causes\": {\"c\": {\"probability\": @1.5, \"fails\": [\"bat\"]}}")},
    {"not_both", "/elements/e/failures/loss", bus("\"failures\": {\"loss\": @{\"rate\": 0, \"probability\": 0}}")},
    // judgement
    {"level_in_logic", "/elements/e/needs/level/f", model_with("\"e\": {\"kind\": \"bus\", \"needs\": {\"level\": {\"f\": @\"normal\"}}}", "\"functions\": {\"f\": {\"modes\": {\"m\": {\"rank\": 1, \"when\": \"main\"}}}}")},
    {"function_ring", "/functions/f", model_with("", "\"functions\": {\"f\": @{\"modes\": {\"m\": {\"rank\": 1, \"when\": {\"level\": {\"g\": \"normal\"}}}}}, \"g\": {\"modes\": {\"m\": {\"rank\": 1, \"when\": {\"not\": {\"level\": {\"f\": \"normal\"}}}}}}}")},
    {"no_store", "/functions/f/modes/m/spend/main", function("\"rank\": 1, \"when\": \"main\", \"spend\": {\"main\": @1}")},
    {"shows_nothing", "/checks/c/steps/0/look_at", check("\"look_at\": @\"main\", \"expect\": \"x\"")},
    {"unknown_text", "/checks/c/steps/0/expect", check("\"look_at\": \"lamp\", \"expect\": @\"lid\"")},
    {"more_required", "/dispatch/d/required", dispatch("\"required\": @2")},
    // numbers
    {"out_of_range", "/functions/f/modes/m/rank", function("\"rank\": @0, \"when\": \"main\"")},
    {"out_of_range", "/functions/f/modes/m/rank", function("\"rank\": @1001, \"when\": \"main\"")},
    {"spends_too_much", "/functions/f/modes/m/spend/bat", function("\"rank\": 1, \"when\": \"main\", \"spend\": {\"bat\": @3}")},
    {"out_of_range", "/functions/f/modes/m/spend/bat", function("\"rank\": 1, \"when\": \"main\", \"spend\": {\"bat\": @0}")},
    {"out_of_range", "/elements/e/failures/loss/rate", bus("\"failures\": {\"loss\": {\"rate\": @-1}}")},
    {"out_of_range", "/elements/e/failures/loss/probability", bus("\"failures\": {\"loss\": {\"probability\": @1.1}}")},
    {"out_of_range", "/elements/e/failures/loss/hidden_for", bus("\"failures\": {\"loss\": {\"hidden_for\": @-1}}")},
    {"out_of_range", "/elements/e/after_s", bus("\"after_s\": @-1")},
    {"out_of_range", "/elements/e/runs_without_s/power", bus("\"inputs\": {\"power\": [\"main\"]}, \"runs_without_s\": {\"power\": @-1}")},
    {"unknown_port", "/elements/e/runs_without_s/cooling", bus("\"runs_without_s\": {\"cooling\": @5}")},
    {"out_of_range", "/elements/e/rating/amps", bus("\"rating\": {\"amps\": @2e9}")},
    {"out_of_range", "/elements/e/loads/cruise/power_factor", bus("\"loads\": {\"cruise\": {\"power_factor\": @2}}")},
    {"out_of_range", "/elements/e/rating/efficiency", bus("\"rating\": {\"efficiency\": @80}")},
    {"not_both", "/elements/e/loads/cruise", bus("\"loads\": {\"cruise\": @{\"amps\": 2, \"watts\": 56}}")},
    {"out_of_range", "/elements/e/wire/feet", bus("\"wire\": {\"gauge\": \"20\", \"feet\": @-1}")},
    {"dangling_id", "/elements/e/store/charger", model_with("\"e\": {\"kind\": \"battery\", \"store\": {\"charger\": @\"chrger\"}}")},
    {"out_of_range", "/elements/e/inputs/power/at_least", bus("\"inputs\": {\"power\": {\"at_least\": @0, \"of\": [\"bat\"]}}")},
    {"out_of_range", "/elements/e/needs/at_least", with_needs("{\"at_least\": @0, \"of\": [\"bat\"]}")},
    {"out_of_range", "/elements/e/positions", [] {
         std::string words;
         for (int i = 0; i < 33; ++i) words += (i ? ", \"P" : "\"P") + std::to_string(i) + "\"";
         return model_with("\"e\": {\"kind\": \"selector\", \"positions\": @[" + words + "]}");
     }()},
    {"out_of_range", "/dispatch/d/required", dispatch("\"required\": @-1")},
    // variants
    {"variant_ring", "/variants/a/on", model_with("", "\"variants\": {\"c\": {\"on\": \"b\", \"patch\": {}}, \"b\": {\"on\": \"a\", \"patch\": {}}, \"a\": {\"on\": @\"b\", \"patch\": {}}}")},
    {"bad_patch", "/variants/v", model_with("", "\"variants\": {\"v\": @{\"patch\": [{\"op\": \"replace\", \"path\": \"/nowhere\", \"value\": 1}]}}")},
    {"bad_patch", "/variants/v", model_with("", "\"variants\": {\"v\": @{\"patch\": {\"variants\": {}}}}")},
    {"dangling_id", "/variants/v", model_with("", "\"variants\": {\"v\": @{\"patch\": {\"elements\": {\"bat\": null}}}}")},
};

}  // namespace

TEST_CASE("Every problem of a model has its code, pointer and place", "[validate]") {
    std::set<std::string_view> seen;
    for (const marked::Case& c : cases) {
        const auto [json, line, column] = marked::unmarked(c.text);
        INFO(c.text);
        const ReadResult r = try_parse_model(json);
        REQUIRE_FALSE(r.diagnostics.empty());
        const Diagnostic& d = r.diagnostics.front();
        INFO(text(d));
        CHECK(r.diagnostics.size() == 1);
        CHECK(d.code == c.code);
        CHECK(d.pointer == c.pointer);
        CHECK(d.line == line);
        CHECK(d.column == column);
        CHECK(d.message.back() == '.');
        seen.insert(c.code);
    }
    // Every code that compares parts of the model is tested here, but the one no text can have.
    for (const DiagnosticCode& c : diagnostic_codes)
        if (!c.structural && c.code != "already_variant") CHECK(seen.contains(c.code));
}

TEST_CASE("Hints say what to write instead", "[validate]") {
    const auto hint = [](const std::string& json) { return try_parse_model(json).diagnostics.at(0).hint; };
    CHECK(hint(with_needs("\"sw\"")) == "Say {\"at\": {\"sw\": \"A\"}}.");
    CHECK(hint(with_needs("\"cb\"")) == "Say {\"at\": {\"cb\": \"in\"}} or {\"passes\": \"cb\"}.");
    CHECK(hint(with_needs("\"dio\"")) == "Say {\"passes\": \"dio\"}.");
    CHECK(hint(with_needs("\"airborne\"")) == "Say {\"given\": \"airborne\"}.");
    CHECK(hint(bus("\"inputs\": {\"power\": [\"cb\"]}")) == "Put it in the `via` of a feed.");
}

TEST_CASE("Good models have no problems", "[validate]") {
    CHECK(try_parse_model(model_with("")).ok());
    // A contactor with a control port opens without it; a tie feeds a port without feeds of its own.
    CHECK(try_parse_model(model_with("\"k\": {\"kind\": \"contactor\", \"inputs\": {\"control\": [\"main\"]}}, \"e\": {\"kind\": \"bus\", \"inputs\": {\"power\": []}}",
                                     "\"ties\": {\"t\": {\"between\": [\"main\", \"e\"], \"via\": [\"k\"]}}"))
              .ok());
    // Follows with the same words in another order.
    CHECK(try_parse_model(model_with("\"s2\": {\"kind\": \"relay\", \"positions\": [\"B\", \"A\"], \"follows\": \"sw\"}")).ok());
}

TEST_CASE("A model built in code is checked like one that was read", "[validate]") {
    Model m{.name = "Built"};
    m.elements["Bad Id"] = {.kind = Kind::bus};
    m.elements["e"] = {.kind = Kind::bus, .needs = Condition(Condition::Op::negation, std::string()), .rating = {{"furlongs", 1}}};
    m.elements["f"] = {.kind = Kind::switch_, .positions = {"A"}, .reach = Reach::nobody};
    m.functions["g"] = {};
    std::vector<std::string> codes;
    for (const Diagnostic& d : validate(m)) {
        codes.push_back(d.code);
        CHECK(d.line == 0);
    }
    CHECK(codes == std::vector<std::string>{"bad_id", "wrong_type", "unknown_key", "bad_word", "empty_list"});
    Condition deep = "f";
    for (int i = 0; i < 1000; ++i) deep = not_(std::move(deep));
    Model n{.name = "Deep"};
    n.elements["e"] = {.kind = Kind::bus, .needs = deep};
    REQUIRE(validate(n).size() == 1);
    CHECK(validate(n)[0].code == "too_deep");
}
