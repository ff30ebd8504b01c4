#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/dead_controls.hpp>
#include <fedfrom/study/follow.hpp>

#include "crew_samples.hpp"

using namespace fedfrom;

namespace {

bool has(const std::vector<std::string>& ids, const std::string& id) { return std::ranges::find(ids, id) != ids.end(); }

}  // namespace

TEST_CASE("a checklist is played step by step, each against the one before", "[study][follow]") {
    State state = running_state(Network(samples::two_bus()));
    const Followed f = follow(state, {{.fail = {{"gen_l"}, {"gen_r"}}}, {.set = {{"standby_switch", "BATT"}}}, {.set = {{"standby_switch", "BATT"}}}});
    REQUIRE(f.steps.size() == 3);
    CHECK(f.steps[0].difference.worse.size() == 2);
    CHECK(f.steps[1].difference.gained.size() == 2);
    CHECK_FALSE(f.steps[1].nothing);
    CHECK(f.steps[2].nothing);
    REQUIRE(f.steps[2].idle.size() == 1);
    CHECK(f.steps[2].idle[0].reason == "It is at BATT already.");
    CHECK(f.difference.worse.empty());
    CHECK(f.after.level("talk") == Level::normal);
}

TEST_CASE("a lever whose valve has no power any more does nothing, and why is said", "[study][follow]") {
    State state = running_state(Network(samples::fuel_valve()));
    state.fail("gen");
    const Followed f = follow(state, {{.set = {{"fuel_lever", "CUT OFF"}}}});
    REQUIRE(f.steps.size() == 1);
    CHECK(f.steps[0].nothing);
    CHECK(f.steps[0].idle.at(0).reason == "Fuel valve follows it, is not supplied and stays.");
}

TEST_CASE("a step that is refused is marked, and the rest of it is taken", "[study][follow]") {
    State state = running_state(Network(samples::heater_and_radio()));
    state.fail("heater", "short");
    settle(state);
    const Followed f = follow(state, {{.reset = {"cb_sub"}}, {.reset = {"cb_sub"}, .set = {{"heater_switch", "OFF"}}}});
    CHECK(f.steps[0].fault.trips == std::vector<std::string>{"cb_sub"});
    CHECK(f.steps[0].nothing);
    CHECK(f.steps[0].idle.at(0).reason == "It trips again, and cannot be reset any more.");
    REQUIRE(f.steps[1].refused.size() == 1);
    CHECK(f.steps[1].refused[0].reason.find("as often as it may be") != std::string::npos);
    CHECK(f.steps[1].idle.at(0).action == "Heater switch at OFF");
    CHECK(text(f).find("Sub-bus breaker reset") != std::string::npos);
}

TEST_CASE("a lever jammed or without contacts says so", "[study][follow]") {
    State state = running_state(Network(samples::two_bus()));
    state.fail("standby_switch", "stuck");
    CHECK(follow(state, {{.set = {{"standby_switch", "BATT"}}}}).steps[0].idle.at(0).reason == "It is stuck at AUTO.");
    State lost = running_state(Network(samples::two_bus()));
    lost.fail("standby_switch");
    CHECK(follow(lost, {{.set = {{"standby_switch", "BATT"}}}}).steps[0].idle.at(0).reason == "Its contacts make nothing in any position.");
}

TEST_CASE("where something never comes to rest, nothing is said to do nothing", "[study][follow]") {
    State state = running_state(Network(samples::armed_chatter()));
    state.set("arm", "ARM").fail("gen");
    CHECK_FALSE(follow(state, {Step{}}).steps[0].nothing);
}

TEST_CASE("controls that change nothing any more are told from those that do", "[study][dead_controls]") {
    State state = running_state(Network(samples::two_bus()));
    const DeadControls healthy = dead_controls(state);
    CHECK(has(healthy.alive(), "standby_switch"));
    state.fail("standby_switch");
    const DeadControls failed = dead_controls(state);
    CHECK(has(failed.dead(), "standby_switch"));
    CHECK(has(failed.dead(), "cb_gear"));  // no supply behind it
    CHECK(text(failed).find("standby_switch") != std::string::npos);
}

TEST_CASE("a lever whose valve has no power is a dead control", "[study][dead_controls]") {
    State state = running_state(Network(samples::fuel_valve()));
    const DeadControls alive = dead_controls(state);
    REQUIRE(alive.controls.size() == 1);
    CHECK(alive.controls[0].does == Control::Does::something);
    CHECK(alive.controls[0].positions == std::vector<ControlPosition>{{"CUT OFF", 2, 4, 0}});
    state.fail("gen");
    CHECK(dead_controls(state).dead() == std::vector<std::string>{"fuel_lever"});
}

TEST_CASE("a control beside what never comes to rest is not known to be dead", "[study][dead_controls]") {
    Model m = samples::armed_chatter();
    m.elements["spare"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    State state = running_state(Network(m));
    CHECK(dead_controls(state).dead() == std::vector<std::string>{"arm", "spare"});
    state.set("arm", "ARM").fail("gen");
    const DeadControls d = dead_controls(state);
    CHECK(d.dead().empty());
    CHECK(d.controls[1].does == Control::Does::not_known);
}

TEST_CASE("controls out of reach are left out", "[study][dead_controls]") {
    Model m = samples::two_bus();
    m.elements["standby_switch"].reach = Reach::ground;
    const Network net(m);
    CHECK(dead_controls(net).controls.size() + 1 == dead_controls(net, Reach::ground).controls.size());
}
