#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/power_balance.hpp>
#include <fedfrom/study/preview.hpp>

#include "crew_samples.hpp"

using namespace fedfrom;

namespace {

std::vector<std::string> functions(const std::vector<Change>& changes) {
    std::vector<std::string> ids;
    for (const Change& c : changes) ids.push_back(c.function);
    return ids;
}

const Lasting* find(const Undone& undone, Lasting::Why why, const std::string& id) {
    const auto it = std::ranges::find_if(undone.lasting, [&](const Lasting& l) { return l.why == why && l.id == id; });
    return it == undone.lasting.end() ? nullptr : &*it;
}

}  // namespace

TEST_CASE("a preview says what a selection gains, and what then hangs on the battery alone", "[study][preview]") {
    const Network net(samples::two_bus());
    State state = running_state(net);
    state.fail("gen_l").fail("gen_r");
    const Preview p = preview(state, {.set = {{"standby_switch", "BATT"}}});
    CHECK(functions(p.effect.difference.gained) == std::vector<std::string>{"gear_extension", "talk"});
    CHECK(p.effect.difference.worse.empty());
    CHECK(p.effect.undone.complete());
    CHECK_FALSE(p.effect.fault.any());
    CHECK(p.sources_taken == std::vector<std::string>{"battery"});
    CHECK(std::ranges::any_of(p.effect.stored, [](const StoredLine& s) { return s.id == "talk" && s.stores == std::vector<std::string>{"battery"}; }));
    CHECK(p.before.level("talk") == Level::lost);
    CHECK(p.after.level("talk") == Level::normal);
    const std::string sheet = text(p);
    CHECK(sheet.find("Actions: with STANDBY SOURCE at BATT") != std::string::npos);
    CHECK(sheet.find("Taken back, what stays: nothing.") != std::string::npos);
}

TEST_CASE("on a healthy aircraft the same selection costs independence, which is said", "[study][preview]") {
    const Preview p = preview(Network(samples::two_bus()), {.set = {{"standby_switch", "BATT"}}});
    CHECK(p.effect.difference.gained.empty());
    CHECK(p.effect.difference.worse.empty());
    CHECK(p.effect.stored.size() > 0);
}

TEST_CASE("a motor valve that then has no power does not come back", "[study][preview]") {
    const Preview p = preview(Network(samples::fuel_valve()), {.set = {{"fuel_lever", "CUT OFF"}}});
    CHECK(functions(p.effect.difference.worse) == std::vector<std::string>{"power", "thrust"});
    REQUIRE(find(p.effect.undone, Lasting::Why::position, "fuel_valve"));
    CHECK(find(p.effect.undone, Lasting::Why::position, "fuel_valve")->text == "Fuel valve stays at closed");
    CHECK(functions(p.effect.undone.difference.worse) == std::vector<std::string>{"power", "thrust"});
}

TEST_CASE("a reset of a source that was overloaded weighs no load, and says so", "[study][preview]") {
    Model m{.name = "One"};
    m.elements["gen"] = {.kind = Kind::generator, .name = "Generator", .rating = {{"amps", 100}, {"volts", 28}}};
    m.elements["bus"] = samples::bus({{.from = "gen"}});
    m.elements["heater"] = samples::load({{.from = "bus"}});
    m.elements["heater"].loads["cruise"] = {.amps = 101};
    const PowerBalance balance = power_balance(Network(m), {.condition = "cruise"});
    const auto sheet = [](const State& from) { return text(preview(from, {.reset = {"gen"}})); };
    CHECK(sheet(balance.after.state()).find("Loads are not weighed: whether Generator can carry what rests on it,") != std::string::npos);
    State back = balance.after.state();
    back.reset("gen");
    CHECK(text(preview(back, {})).find("not weighed") == std::string::npos);
}

TEST_CASE("a reset onto the fault trips again, and is used up", "[study][preview]") {
    State state = running_state(Network(samples::heater_and_radio()));
    state.fail("heater", "short");
    settle(state);
    const Preview p = preview(state, {.reset = {"cb_sub"}});
    CHECK(p.effect.difference.empty());
    CHECK(p.effect.fault.trips == std::vector<std::string>{"cb_sub"});
    REQUIRE(find(p.effect.undone, Lasting::Why::reset, "cb_sub"));
    CHECK(find(p.effect.undone, Lasting::Why::reset, "cb_sub")->text == "Sub-bus breaker: no reset left");
    CHECK_FALSE(p.effect.undone.complete());
}

TEST_CASE("a reset that holds is taken back by pulling the breaker", "[study][preview]") {
    State state = running_state(Network(samples::heater_and_radio()));
    state.fail("heater", "short");
    settle(state);
    const Preview p = preview(state, {.reset = {"cb_sub"}, .set = {{"heater_switch", "OFF"}}});
    CHECK(functions(p.effect.difference.gained) == std::vector<std::string>{"talk"});
    CHECK_FALSE(p.effect.fault.any());
    CHECK(p.effect.undone.difference.empty());
    CHECK(p.effect.undone.lasting.size() == 1);  // the reset
}

TEST_CASE("what the aircraft does not allow is said, and the rest is seen", "[study][preview]") {
    Model m = samples::heater_and_radio();
    m.elements["cb_sub"].protects = Protection{.resets = 0};
    State state = running_state(Network(m));
    state.fail("heater", "short");
    settle(state);
    const Preview p = preview(state, {.reset = {"cb_sub"}, .set = {{"heater_switch", "OFF"}}});
    REQUIRE(p.refused.size() == 1);
    CHECK(p.refused[0].action == "Sub-bus breaker reset");
    CHECK(p.refused[0].reason.find("as often as it may be") != std::string::npos);
    CHECK(p.effect.actions == Step{.set = {{"heater_switch", "OFF"}}});
    const Preview valve = preview(Network(samples::fuel_valve()), {.set = {{"fuel_valve", "closed"}}});
    CHECK(valve.refused.at(0).reason.find("follows `fuel_lever`") != std::string::npos);
}

TEST_CASE("only crew actions are previewed, of things there are", "[study][preview]") {
    const Network net(samples::two_bus());
    CHECK_THROWS_AS(preview(net, {.fail = {{"gen_l"}}}), NotPossible);
    CHECK_THROWS_AS(preview(net, {.given = {{"airborne", false}}}), NotPossible);
    CHECK_THROWS_AS(preview(net, {.set = {{"standby_swich", "BATT"}}}), UnknownId);
    CHECK_THROWS_AS(preview(net, {.set = {{"standby_switch", "BAT"}}}), NotPossible);
}

TEST_CASE("what is used is not given back", "[study][preview]") {
    Model m{.name = "Bottle"};
    m.elements["bottle"] = {.kind = Kind::bottle, .name = "Fire bottle", .store = Store{.applications = 1}};
    m.functions["fire"] = {.name = "Put out a fire", .modes = {{"shot", {.rank = 1, .when = "bottle", .spend = {{"bottle", 1}}, .bars = {"shot"}}}}};
    const Preview p = preview(Network(m), {.use = {{"fire", "shot"}}});
    CHECK(functions(p.effect.difference.worse) == std::vector<std::string>{"fire"});
    CHECK(find(p.effect.undone, Lasting::Why::spent, "bottle"));
    CHECK(find(p.effect.undone, Lasting::Why::used, "fire"));
    CHECK_FALSE(p.effect.fault.any());  // emptied by its use, not by a leak
    CHECK(functions(p.effect.undone.difference.worse) == std::vector<std::string>{"fire"});
}

TEST_CASE("a selection that ties a healthy bus to a short drags it down", "[study][preview]") {
    Model m = samples::two_bus();
    m.elements["main_l"].failures = {{"short", {}}};
    m.elements["main_l"].inputs["power"].feeds.erase(m.elements["main_l"].inputs["power"].feeds.begin() + 1);
    m.elements["main_r"].inputs["power"].feeds.erase(m.elements["main_r"].inputs["power"].feeds.begin() + 1);
    m.ties.clear();
    m.elements.erase("tie");
    m.elements["standby"].inputs["power"].join = Port::Join::parallel;
    State state = running_state(Network(m));
    state.set("standby_switch", "BATT").fail("main_l", "short");
    settle(state);
    const Preview p = preview(state, {.set = {{"standby_switch", "AUTO"}}});
    CHECK(p.effect.fault.zone.empty());  // the dead bus feeds nothing: what hangs on it is unsupplied, not dragged down
    CHECK(functions(p.effect.difference.worse).size() > 0);
}

TEST_CASE("what never comes to rest is not gained", "[study][preview]") {
    State state = running_state(Network(samples::armed_chatter()));
    state.fail("gen");
    const Preview p = preview(state, {.set = {{"arm", "ARM"}}});
    CHECK(p.after.level("talk") == Level::unknown);
    CHECK(p.effect.difference.gained.empty());
    CHECK(functions(p.effect.difference.other) == std::vector<std::string>{"talk"});
    CHECK(find(p.effect.undone, Lasting::Why::hunting, "transfer") == nullptr);
}
