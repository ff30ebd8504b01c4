#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/why.hpp>

#include <fedfrom/study/question.hpp>

#include "study_samples.hpp"

using namespace fedfrom;
using samples::bus;
using samples::load;

namespace {

/// Whether some line of the explanation holds all these words.
bool says(const Why& why, std::initializer_list<const char*> words) {
    return std::ranges::any_of(why.lines, [&](const WhyLine& line) {
        return std::ranges::all_of(words, [&](const char* word) { return line.text.find(word) != std::string::npos; });
    });
}

std::vector<std::string> roots(const Why& why) {
    std::vector<std::string> list;
    for (const RootCause& root : why.roots) list.push_back(root.text);
    return list;
}

using Texts = std::vector<std::string>;

}  // namespace

TEST_CASE("why names the blocked link in every alternative", "[study][why]") {
    const Network net(samples::two_bus());
    const Why y = why(ask(net, {.failed = {{"gen_l"}, {"tie", "stuck"}}}), "standby");
    CHECK(y.headline == "STANDBY (standby) is not supplied.");
    CHECK(says(y, {"Its power port has 2 ways in, none live"}));
    CHECK(says(y, {"BUS TIE (tie) is at open, which blocks here (it passes at closed)", "stuck"}));
    CHECK(says(y, {"STANDBY SOURCE (standby_switch) is at AUTO, which blocks here (it passes at BATT): selected by hand."}));
    CHECK(roots(y) == Texts{"GEN L (gen_l): loss", "BUS TIE (tie): stuck at open", "STANDBY SOURCE (standby_switch) at AUTO"});
    CHECK(y.lines.front().depth == 0);
    CHECK(text(y).find("Root causes\n  GEN L (gen_l): loss") != std::string::npos);
    CHECK(text(y).find(std::string(caution).substr(0, 40)) != std::string::npos);
}

TEST_CASE("why follows the control supply of a tie to the bus the tie would rescue", "[study][why]") {
    const Network net(samples::coils());
    const Why y = why(ask(net, {.failed = {{"gen_l"}}}), "main_l");
    CHECK(says(y, {"tie is at open, which blocks here (it passes at closed): without control it goes to open"}));
    CHECK(says(y, {"main_l is not supplied, and back again: nothing supplies itself."}));
    CHECK(roots(y) == Texts{"gen_l: loss"});
}

TEST_CASE("why tells on what a bus lives that a normally closed relay rescued", "[study][why]") {
    const Network net(samples::coils());
    const Outcome out = ask(net, {.failed = {{"gen_l"}}});
    REQUIRE(out.status("essential") == Status::supplied);
    const Why y = why(out, "essential");
    CHECK(says(y, {"power from main_r through rescue at closed (passes)"}));
    CHECK(says(y, {"behind it main_l", "not live", "main_l is not supplied"}));
    CHECK(y.roots.empty());
    const Why relay = why(out, "rescue");
    CHECK(says(relay, {"rescue is at closed and passes: without control it goes to closed"}));
}

TEST_CASE("contacts that fail open block in both throws, and why names them", "[study][why]") {
    Model m{.name = "Changeover"};
    m.elements["gen"] = {.kind = Kind::generator};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["relay"] = {.kind = Kind::relay, .inputs = {{"control", {{.from = "gen"}}}}, .positions = {"normal", "standby"}, .without = {{"control", "standby"}},
                           .passes_in = {"normal", "standby"}, .failures = {{"contacts", {}}}};
    m.elements["essential"] = bus({{.from = "gen", .via = {{"relay", {"normal"}}}}, {.from = "battery", .via = {{"relay", {"standby"}}}}});
    const Network net(m);
    CHECK(ask(net, {.failed = {{"relay"}}}).status("essential") == Status::supplied);  // the coil
    const Outcome out = ask(net, {.failed = {{"relay", "contacts"}}});
    CHECK(out.status("essential") == Status::unsupplied);
    CHECK(out.position("relay") == "normal");
    CHECK(out.passes("relay") == false);
    CHECK(out.status("relay") == Status::supplied);
    const Why y = why(out, "essential");
    CHECK(says(y, {"relay has failed (contacts): it passes nothing in any position."}));
    CHECK(roots(y) == Texts{"relay: contacts"});
    CHECK(ask(net, {.failed = {{"relay", "contacts"}, {"gen"}}}).status("essential") == Status::unsupplied);
}

TEST_CASE("two dead buses tied together do not explain each other in a circle", "[study][why]") {
    Model m = samples::two_bus();
    m.elements["tie"].goes.clear();
    m.elements["tie"].rest = "closed";
    const Why y = why(ask(Network(m), {.failed = {{"gen_l"}, {"gen_r"}}}), "main_l");
    CHECK(says(y, {"and back again: nothing supplies itself"}));
    CHECK(roots(y) == Texts{"GEN L (gen_l): loss", "GEN R (gen_r): loss"});
}

TEST_CASE("why of a function is judged with its demand and names what bars the better mode", "[study][why]") {
    const Network net(samples::two_bus());
    const Why y = why(ask(net, {.failed = {{"cb_gear"}}}), "gear_extension");
    CHECK(says(y, {"Extend the gear (gear_extension) is degraded (free fall), asked for with GEAR HANDLE at DOWN"}));
    CHECK(says(y, {"In use: free fall, from gear_cable"}));
    CHECK(says(y, {"Not by powered, the normal way"}));
    CHECK(says(y, {"gear_valve is at closed, which blocks here (it passes at open): without power it goes to closed"}));
    CHECK(says(y, {"cb_gear has failed (loss): it passes nothing in any position"}));
    CHECK(roots(y) == Texts{"cb_gear: loss"});
}

TEST_CASE("what follows a handle is explained by where the handle is", "[study][why]") {
    const Why y = why(ask(Network(samples::two_bus()), {}), "gear");
    CHECK(says(y, {"gear_valve is at closed", "it follows GEAR HANDLE (gear_handle)"}));
    CHECK(says(y, {"GEAR HANDLE (gear_handle) is at UP", "selected by hand"}));
    CHECK(roots(y) == Texts{"GEAR HANDLE (gear_handle) at UP"});
}

TEST_CASE("what is dragged down names the fault, what tripped too", "[study][why]") {
    Model m = samples::two_bus();
    m.elements["cb_standby"] = {.kind = Kind::breaker};
    m.elements["standby"] = bus({{.from = "main_l", .via = {{"cb_standby"}}}});
    const Network net(m);
    SECTION("a breaker isolates the short") {
        const Outcome out = ask(net, {.failed = {{"standby", "short"}}});
        REQUIRE(out.tripped("cb_standby") == true);
        const Why y = why(out, "cb_standby");
        CHECK(says(y, {"cb_standby is at pulled and blocks: it has tripped on the short of standby"}));
        CHECK(roots(y) == Texts{"standby: short", "cb_standby tripped"});
    }
    SECTION("one that does not trip lets it through") {
        const Outcome out = ask(net, {.failed = {{"standby", "short"}, {"cb_standby", "no_trip"}}});
        REQUIRE(out.status("main_l") == Status::dragged_down);
        const Why y = why(out, "main_l");
        CHECK(says(y, {"MAIN L (main_l) is dragged down by the short of standby"}));
        CHECK(roots(y) == Texts{"standby: short"});
    }
}

TEST_CASE("why of a source that is off names the given it needs", "[study][why]") {
    const Why y = why(ask(Network(samples::two_bus()), {.given = {{"engines_running", false}}}), "main_r");
    CHECK(says(y, {"eng_r is off"}));
    CHECK(says(y, {"Given: engines_running is false."}));
    CHECK(std::ranges::count(roots(y), "engines_running false") == 1);
}

TEST_CASE("a voter is explained by those that are missing", "[study][why]") {
    Model m{.name = "Voter"};
    for (const std::string id : {"adc_1", "adc_2", "adc_3"}) m.elements[id] = {.kind = Kind::sensor};
    m.elements["computer"] = {.kind = Kind::controller, .inputs = {{"data", {Port::Join::at_least, {{.from = "adc_1"}, {.from = "adc_2"}, {.from = "adc_3"}}, 2}}}};
    const Why y = why(ask(Network(m), {.failed = {{"adc_1"}, {"adc_3"}}}), "computer");
    CHECK(says(y, {"Its data port needs 2 of 3 ways in, of which 1 is live"}));
    CHECK(says(y, {"from adc_2: live."}));
    CHECK(roots(y) == Texts{"adc_1: loss", "adc_3: loss"});
}

TEST_CASE("what hunts is explained as unknown", "[study][why]") {
    const Outcome out = ask(Network(samples::chatter()), {.failed = {{"gen"}}});
    REQUIRE(out.status("radio") == Status::unknown);
    const Why y = why(out, "radio");
    CHECK(y.headline == "Whether radio is supplied is unknown.");
    CHECK(says(y, {"transfer", "unknown"}));
    CHECK(roots(y) == Texts{"gen: loss", "transfer never comes to rest"});
    CHECK(says(why(out, "talk"), {"talk is unknown"}));
}

TEST_CASE("a function that reads an unknown level is explained by it", "[study][why]") {
    Model m = samples::chatter();
    m.functions["report"] = {.modes = {{"voice", {.rank = 1, .when = not_(level("talk", "degraded"))}}}};
    const Why y = why(ask(Network(m), {.failed = {{"gen"}}}), "report");
    CHECK(y.lines.front().text == "report is unknown.");
    CHECK(says(y, {"talk is unknown"}));
    CHECK_FALSE(says(y, {"It would work"}));
    CHECK(roots(y) == Texts{"gen: loss", "transfer never comes to rest"});
}

TEST_CASE("a condition with a negation is not read the wrong way round", "[study][why]") {
    Model m{.name = "Interlock"};
    m.elements["gen"] = {.kind = Kind::generator};
    m.elements["ground"] = {.kind = Kind::contactor, .rest = "open", .goes = {{"closed", not_("gen")}}};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["service"] = bus({{.from = "battery", .via = {{"ground"}}}});
    const Why y = why(ask(Network(m), {}), "service");
    CHECK(says(y, {"ground is at open, which blocks here", "nothing moves it from its rest position"}));
    CHECK(says(y, {"it does not go to closed, because:"}));
    CHECK(says(y, {"gen is supplied."}));
    CHECK(y.roots.empty());
}

TEST_CASE("what was explained once is referred to", "[study][why]") {
    Model m{.name = "Twice"};
    m.elements["gen"] = {.kind = Kind::generator};
    m.elements["bus"] = bus({{.from = "gen"}});
    m.elements["both"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "bus"}}}, {"cooling", {{.from = "bus"}}}}};
    const Why y = why(ask(Network(m), {.failed = {{"gen"}}}), "both");
    CHECK(std::ranges::count(y.lines, WhyLine::Role::reference, &WhyLine::role) == 1);
    CHECK(says(y, {"bus is not supplied, explained above."}));
}

TEST_CASE("why of something unfitted, a switch and an unknown id", "[study][why]") {
    Model m = samples::two_bus();
    m.elements["radio"].fitted = false;
    const Outcome out = ask(Network(m), {.positions = {{"standby_switch", "BATT"}}});
    CHECK(says(why(out, "radio"), {"radio is not fitted in this aircraft"}));
    CHECK(says(why(out, "talk"), {"not fitted"}));
    CHECK(why(out, "standby_switch").headline == "STANDBY SOURCE (standby_switch) is at BATT.");
    CHECK_THROWS_AS(why(out, "standbye"), UnknownId);
    CHECK_THROWS_WITH(why(out, "gear_extensoin"), "There is no element or function `gear_extensoin`. Did you mean `gear_extension`?");
}

TEST_CASE("a chain of 200,000 links is one line", "[study][why]") {
    const Network net(samples::chain(200'000));
    const Why dead = why(ask(net, {.failed = {{"gen"}}}), "radio");
    REQUIRE(dead.lines.size() == 2);
    CHECK(says(dead, {"radio is not supplied: it hangs on bus_1199999", "more in turn", "one behind the other"}));
    CHECK(roots(dead) == Texts{"gen: loss"});
    const Why lives = why(ask(net, {}), "talk");
    CHECK(lives.lines.size() == 4);
    REQUIRE(lives.last);
    CHECK(lives.last->sources.sets == std::vector<std::vector<std::string>>{{"gen"}});
    CHECK_FALSE(lives.last->complete);  // 400,000 failures of 200,000 links
}

TEST_CASE("a ladder far deeper than lines nest goes on under headings", "[study][why]") {
    Model m{.name = "Ladder"};
    m.elements["gen"] = {.kind = Kind::generator};
    std::string a = "gen", b = "gen";
    for (int i = 0; i < 20'000; ++i) {
        const std::string n = std::to_string(100000 + i);
        m.elements["a_" + n] = bus({{.from = a}, {.from = b}});
        m.elements["b_" + n] = bus({{.from = b}, {.from = a}});
        a = "a_" + n, b = "b_" + n;
    }
    const Why y = why(ask(Network(m), {.failed = {{"gen"}}}), a);
    CHECK(std::ranges::all_of(y.lines, [](const WhyLine& line) { return line.depth <= 20; }));
    CHECK(roots(y) == Texts{"gen: loss"});
    CHECK(y.lines.size() > 100'000);
}

TEST_CASE("what stands as it always does is no cause, but could help if changed", "[study][why]") {
    using K = RootCause::Kind;
    const Network net(samples::two_bus());
    const auto kinds = [](const Why& y) {
        std::vector<K> list;
        for (const RootCause& root : y.roots) list.push_back(root.kind);
        return list;
    };
    const Why y = why(ask(net, {.failed = {{"gen_l"}, {"gen_r"}}}), "standby");
    CHECK(kinds(y) == std::vector{K::failure, K::failure, K::rest_position});
    CHECK(text(y).find("  GEN R (gen_r): loss\n\nSmallest sets of causes\n  Enough only together: GEN L (gen_l): loss and GEN R (gen_r): loss.\n\nCould help if changed\n  STANDBY SOURCE (standby_switch) at AUTO\n") != std::string::npos);
    CHECK(table(y).captions.back() == Caption{"Could help if changed", "STANDBY SOURCE (standby_switch) at AUTO"});
    const Why away = why(ask(net, {.positions = {{"standby_switch", "BATT"}}, .steps = {{.fail = {{"battery"}}}}}), "standby");
    CHECK(kinds(away) == std::vector{K::failure, K::position});
    CHECK(text(away).find("Could help") == std::string::npos);

    Model m = samples::two_bus();
    m.given["ground_power"] = false;
    m.elements["cart"] = {.kind = Kind::external_power, .needs = given("ground_power")};
    CHECK(kinds(why(ask(Network(m), {}), "cart")) == std::vector{K::usual_given});
    CHECK(text(why(ask(Network(m), {}), "cart")).find("Root causes") == std::string::npos);
    CHECK(kinds(why(ask(Network(m), {.given = {{"engines_running", false}}}), "eng_l")) == std::vector{K::given});
}

TEST_CASE("the root causes come first, then the explanation", "[study][why]") {
    const std::string sheet = text(why(ask(Network(samples::two_bus()), {.failed = {{"gen_l"}, {"tie", "stuck"}}}), "standby"));
    CHECK(sheet.starts_with("Why: STANDBY (standby) is not supplied.\n\nRoot causes\n"));
    CHECK(sheet.find("Could help if changed") < sheet.find("\nModel: "));
    CHECK(sheet.find("\nModel: ") < sheet.find("\nSTANDBY (standby) is not supplied:"));
}

TEST_CASE("why of a state needs no other header", "[study][why]") {
    State state = running_state(Network(samples::two_bus()));
    state.fail("battery").set("standby_switch", "BATT");
    CHECK(roots(why(state, "standby")) == Texts{"BATTERY (battery): loss", "STANDBY SOURCE (standby_switch) at BATT"});
}

TEST_CASE("what was used up or barred is a cause, and why says by what", "[study][why]") {
    Model m{.name = "Bottle"};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["bottle"] = {.kind = Kind::bottle, .store = Store{.applications = 2}};
    m.functions["fire"] = {.modes = {{"both", {.rank = 1, .when = "battery", .spend = {{"bottle", 2}}}},
                                     {"one", {.rank = 2, .when = "battery", .spend = {{"bottle", 1}}, .bars = {"flare"}}},
                                     {"flare", {.rank = 3, .when = "battery"}}}};
    const Network net(m);
    State state = running_state(net);
    state.use("fire", "one");
    const Why once = why(settle(state), "fire");
    CHECK(says(once, {"It takes 2 from bottle, which holds only 1."}));
    CHECK_FALSE(says(once, {"battery is supplied"}));
    CHECK(roots(once) == Texts{"fire by one used"});
    CHECK(says(once, {"In use: one, from battery and bottle."}));
    CHECK(text(once).find("State: fire by one used") != std::string::npos);
    state.use("fire", "one");
    const Why twice = why(settle(state), "fire");
    CHECK(says(twice, {"bottle is empty"}));
    CHECK(says(twice, {"It is barred by one, which was used."}));
    CHECK(roots(twice) == Texts{"bottle empty", "fire by one used"});
}
