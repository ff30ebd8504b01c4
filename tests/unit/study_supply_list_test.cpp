#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/question.hpp>
#include <fedfrom/study/supply_list.hpp>

#include "study_samples.hpp"

using namespace fedfrom;

namespace {

using Ids = std::vector<std::string>;

Ids ids(const std::vector<SupplyLine>& lines) {
    Ids list;
    for (const SupplyLine& line : lines) list.push_back(line.id);
    return list;
}

const SupplyLine& line(const std::vector<SupplyLine>& lines, const std::string& id) { return *std::ranges::find(lines, id, &SupplyLine::id); }

}  // namespace

TEST_CASE("what needs a bus, what uses it now and what could use it are told apart", "[study][supply_list]") {
    const Network net(samples::two_bus());
    const SupplyList left = supply_list(net, "main_l");
    // The standby bus lives on it alone with the switch at AUTO, and the tie would need it too.
    CHECK(ids(left.needs) == Ids{"gear_valve", "radio", "standby", "standby_light"});
    CHECK(left.uses.empty());
    CHECK(ids(left.could) == Ids{"main_r"});
    CHECK(line(left.needs, "standby").direct);
    CHECK_FALSE(line(left.needs, "radio").direct);
    REQUIRE(left.functions.size() == 2);
    CHECK(left.functions.front().function == "gear_extension");
    CHECK(left.functions.front().mode_after == "free_fall");

    const SupplyList gen = supply_list(net, "gen_l");
    CHECK(gen.needs.empty());
    CHECK(ids(gen.uses) == Ids{"gear_valve", "main_l", "radio", "standby", "standby_light"});
    CHECK(line(gen.uses, "radio").sources == Ids{"gen_r"});
    CHECK(ids(gen.could) == Ids{"main_r"});
    CHECK(gen.functions.empty());
}

TEST_CASE("what feeds an element is listed directly and all the way", "[study][supply_list]") {
    const Network net(samples::two_bus());
    const SupplyList s = supply_list(net, "standby");
    REQUIRE(s.ways.size() == 2);
    CHECK(s.ways[0].in_use);
    CHECK(s.ways[0].from == "main_l");
    CHECK(s.ways[1].stands == "not live: STANDBY SOURCE (standby_switch) blocks");
    CHECK(s.path == Ids{"main_l", "gen_l"});
    CHECK(s.sources == Ids{"gen_l"});
    CHECK(s.others == Ids{"battery", "gen_r"});
}

TEST_CASE("a breaker stands in ways, and what it takes away when lost hangs on it", "[study][supply_list]") {
    const Network net(samples::two_bus());
    const SupplyList s = supply_list(net, "cb_gear");
    REQUIRE(s.ways.size() == 1);
    CHECK(s.ways[0].into == "gear_valve");
    CHECK(ids(s.needs) == Ids{"gear_valve"});
    CHECK(s.lost_as == "Lost, cb_gear passes nothing.");
    CHECK(text(s).find("gear_valve, power from STANDBY (standby) through cb_gear at in (passes): in use.") != std::string::npos);
}

TEST_CASE("what is lost already has nothing that hangs on it now, but what could use it", "[study][supply_list]") {
    const SupplyList s = supply_list(ask(Network(samples::two_bus()), {.failed = {{"main_l"}}}), "main_l");
    CHECK(s.lost_already);
    CHECK(s.needs.empty());
    CHECK(s.uses.empty());
    CHECK(ids(s.could) == Ids{"gear_valve", "main_r", "radio", "standby", "standby_light"});
}

TEST_CASE("an element its author took as perfect is lost all the same", "[study][supply_list]") {
    Model m = samples::two_bus();
    m.elements["standby"].fallible = false;
    State state = running_state(Network(m));
    state.fail("gen_l").set("gear_handle", "DOWN").given("airborne", false);
    settle(state);
    const SupplyList s = supply_list(state, "standby");
    CHECK(ids(s.needs) == Ids{"gear", "gear_valve", "radio"});
    CHECK(s.without.position("gear_handle") == "DOWN");
    CHECK(s.without.status("gen_l") == Status::failed);
    m.elements["diode"] = {.kind = Kind::diode, .fallible = false};
    m.elements["lamp"] = samples::load({{.from = "battery", .via = {{"diode"}}}});
    CHECK_THROWS_AS(supply_list(Network(m), "diode"), NotPossible);
}

TEST_CASE("a relay that is lost goes where it goes, and that may pass", "[study][supply_list]") {
    const SupplyList s = supply_list(Network(samples::coils()), "rescue");
    CHECK(s.lost_as == "Lost, rescue stands at closed and passes.");
    CHECK(s.needs.empty());
}

TEST_CASE("an element is found by id, name or alias in any case, and each that is meant is named", "[study][supply_list]") {
    Model m = samples::two_bus();
    m.elements["radio"].aliases = {"VHF 1"};
    m.elements["standby_light"].aliases = {"Warning"};
    m.elements["gear"].aliases = {"WARNING"};
    const Network net(m);
    CHECK(supply_list(net, "vhf 1").id == "radio");
    CHECK(supply_list(net, "main l").id == "main_l");
    CHECK(supply_list(net, "MAIN_L").id == "main_l");
    CHECK_THROWS_WITH(supply_list(net, "warning"), "More than one element is called `warning`: gear and standby_light. Ask by id.");
    CHECK_THROWS_WITH(supply_list(net, "stanby"), "No element has the id, name or alias `stanby`. Did you mean `standby` or `STANDBY`?");
    CHECK_THROWS_WITH(supply_list(net, "main"), "No element has the id, name or alias `main`. Did you mean `main_l`, `MAIN L`, `main_r` or `MAIN R`?");
    CHECK_THROWS_AS(supply_list(net, "zzzzzzzz"), UnknownId);
}
