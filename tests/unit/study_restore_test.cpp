#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/restore.hpp>

#include "crew_samples.hpp"

using namespace fedfrom;

namespace {

std::vector<std::string> texts(const Restore& r) {
    std::vector<std::string> list;
    for (const RestoringSet& s : r.sets) list.push_back(actions_text(s.effect.actions, r.before.network()));
    return list;
}

State shorted() {
    State state = running_state(Network(samples::heater_and_radio()));
    state.fail("heater", "short");
    settle(state);
    return state;
}

}  // namespace

TEST_CASE("a selection that brings back several functions is one set of all of them", "[study][restore]") {
    State state = running_state(Network(samples::two_bus()));
    state.fail("gen_l").fail("gen_r");
    const Restore r = restore(state);
    CHECK(texts(r) == std::vector<std::string>{"with STANDBY SOURCE at BATT"});
    REQUIRE(r.sets.size() == 1);
    CHECK(r.sets[0].goals.size() == 2);
    CHECK(r.sets[0].effect.undone.complete());
    CHECK(std::ranges::any_of(r.sets[0].effect.stored, [](const StoredLine& s) { return s.id == "talk"; }));
    CHECK(text(r).find("Then on stored energy alone: ") != std::string::npos);
    CHECK(r.complete);
    CHECK(r.complete_to == 3);
    REQUIRE(r.best_single);
    CHECK(r.best_single->goals.size() == 1);  // of the lost ones
    CHECK(r.best_single->goals[0].function == "talk");
    CHECK(r.goals[0].function == "gear_extension");
    CHECK(r.goals[0].to == Level::normal);
    CHECK(r.goals[1].to == Level::degraded);
    CHECK(r.goals[1].sets == std::vector<std::size_t>{0});
}

TEST_CASE("an order of single steps that uses the reset up in vain is told", "[study][restore]") {
    const State state = shorted();
    const Restore r = restore(state, {.goals = {"talk"}});
    CHECK(texts(r) == std::vector<std::string>{"with Sub-bus breaker reset and Heater switch at OFF"});
    REQUIRE(r.sets.size() == 1);
    CHECK(r.sets[0].order_matters);
    CHECK(r.sets[0].orders == 2);
    CHECK(r.sets[0].orders_restoring == 1);
    CHECK_FALSE(r.sets[0].effect.fault.any());
    CHECK(text(r).find("1 of 2 orders") != std::string::npos);
}

TEST_CASE("nothing is promised of a short: the shorted heater does not come back", "[study][restore]") {
    const Restore r = restore(shorted(), {.goals = {"heat"}});
    CHECK(r.sets.empty());
    CHECK(r.complete);
    CHECK_FALSE(restore(shorted(), {.goals = {"heat"}}).best_single);
}

TEST_CASE("unknown is not brought back", "[study][restore]") {
    State state = running_state(Network(samples::armed_chatter()));
    state.fail("gen");
    const Restore r = restore(state);
    CHECK(r.goals.size() == 1);
    CHECK(r.sets.empty());
    state.set("arm", "ARM");
    const Restore unknown = restore(state);
    REQUIRE(unknown.goals.size() == 1);
    CHECK(unknown.goals[0].before == Level::unknown);
    CHECK(unknown.sets.empty());
}

TEST_CASE("what the demand sets is no action for its function", "[study][restore]") {
    Model m{.name = "Two switches"};
    m.elements["gen"] = {.kind = Kind::generator};
    for (const std::string id : {"s1", "s2"}) m.elements[id] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    m.elements["pump"] = samples::load({{.from = "gen", .via = {{"s1", {"ON"}}, {"s2", {"ON"}}}}});
    m.functions["pumping"] = samples::simply("pump");
    m.functions["on_demand"] = samples::simply("pump");
    m.functions["on_demand"].demand = {.set = {{"s1", "ON"}}};
    const Restore r = restore(Network(m), {});
    CHECK(texts(r) == std::vector<std::string>{"with s2 at ON", "with s1 at ON and s2 at ON"});
    CHECK(r.sets[0].goals[0].function == "on_demand");
    CHECK(r.sets[1].goals[0].function == "pumping");
    CHECK(restore(Network(m), {.most_actions = 1}).sets.size() == 1);
}

TEST_CASE("how far somebody has to go is asked and told", "[study][restore]") {
    Model m = samples::two_bus();
    m.elements["standby_switch"].reach = Reach::ground;
    State state = running_state(Network(m));
    state.fail("gen_l").fail("gen_r");
    CHECK(restore(state).sets.empty());
    CHECK(restore(state, {.reach = Reach::cabin}).sets.empty());
    const Restore r = restore(state, {.reach = Reach::ground});
    REQUIRE(r.sets.size() == 1);
    CHECK(r.sets[0].effect.reach == Reach::ground);
    CHECK(text(r).find("(ground)") != std::string::npos);
}

TEST_CASE("sets of as many actions come by what they cost", "[study][restore]") {
    Model m = samples::two_bus();
    // Another way to supply the standby bus, which sheds the pump.
    m.elements["alternate"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    m.elements["standby"].inputs["power"].feeds.push_back({.from = "battery", .via = {{"alternate", {"ON"}}}});
    m.elements["pump"].needs = contact("alternate", "OFF");
    m.functions["hydraulics"] = samples::simply("hyd");
    State state = running_state(Network(m));
    state.fail("gen_l").fail("gen_r");
    const Restore r = restore(state, {.goals = {"talk"}});
    CHECK(texts(r) == std::vector<std::string>{"with STANDBY SOURCE at BATT", "with alternate at ON"});  // by id it would be the other way round
    CHECK(r.sets[1].effect.difference.worse.at(0).function == "hydraulics");
}

TEST_CASE("the next single failures are compared with now", "[study][restore]") {
    State state = running_state(Network(samples::two_bus()));
    state.fail("gen_l").fail("gen_r");
    const Restore r = restore(state, {.goals = {"talk"}, .next = true});
    REQUIRE(r.sets.size() == 1);
    CHECK(r.sets[0].single_failures > 0);  // the battery, the switch, the bus, the radio
    CHECK(text(r).find("single failures take it away again") != std::string::npos);
    CHECK_FALSE(restore(state, {.goals = {"talk"}}).sets[0].single_failures);
}

TEST_CASE("two uses that only together empty a store are a set", "[study][restore]") {
    Model m{.name = "Two shots"};
    m.elements["bottle"] = {.kind = Kind::bottle, .store = Store{.applications = 2}};
    for (const std::string id : {"left", "right"}) m.functions["fire_" + id] = {.modes = {{"shot", {.rank = 1, .when = "bottle", .spend = {{"bottle", 1}}, .bars = {"shot"}}}}};
    m.functions["light"] = {.modes = {{"empty", {.rank = 1, .when = not_("bottle")}}}};
    CHECK(texts(restore(Network(m), {.goals = {"light"}})) == std::vector<std::string>{"with shot used for fire_left and shot used for fire_right"});
}

TEST_CASE("a level that is there already is no goal, and one out of range is refused", "[study][restore]") {
    const Network net(samples::two_bus());
    CHECK(restore(net, {.goals = {"talk"}, .to = Level::normal}).goals.empty());
    CHECK_THROWS_AS(restore(net, {.goals = {"tlak"}}), UnknownId);
    CHECK_THROWS_AS(restore(net, {.to = Level::lost}), NotPossible);
    CHECK_THROWS_AS(restore(net, {.most_actions = 4}), NotPossible);
    CHECK_THROWS_AS(restore(net, {.reach = Reach::nobody}), NotPossible);
}

TEST_CASE("cancelled, the answer says that it is not complete", "[study][restore]") {
    const Restore r = restore(shorted(), {.progress = [](double) { return false; }});
    CHECK_FALSE(r.complete);
    CHECK(r.complete_to < 3);
    CHECK(text(r).find("Incomplete") != std::string::npos);
}

TEST_CASE("nothing is worded as advice", "[study][restore]") {
    State state = shorted();
    const std::string sheet = text(restore(state, {.next = true}));
    for (const char* word : {"recommend", " select ", "Select ", " should ", " must "}) CHECK(sheet.find(word) == std::string::npos);
    CHECK(sheet.find("no procedure") != std::string::npos);
}
