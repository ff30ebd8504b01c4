#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/plan.hpp>

#include "crew_samples.hpp"

using namespace fedfrom;
using Combine = Quantity::Combine;

namespace {

/// Spoilers on one pump, anti-skid on its own supply, flaps on both; each has a worse mode.
Model brakes(Combine combine, std::string unit, std::map<std::string, double> effects, bool once = false) {
    Model m{.name = "Brakes"};
    for (const std::string id : {"pump", "supply", "cable"}) m.elements[id] = {.kind = id == "pump" ? Kind::pump : Kind::battery};
    m.elements["spoiler_jacks"] = {.kind = Kind::actuator, .inputs = {{"hydraulic", {{.from = "pump"}}}}};
    m.elements["antiskid_unit"] = samples::load({{.from = "supply"}});
    m.quantities["distance"] = {.unit = std::move(unit), .combine = combine, .once_per_root = once};
    const std::map<std::string, Condition> when{{"antiskid", "antiskid_unit"}, {"flaps", all_of({"pump", "supply"})}, {"spoilers", "spoiler_jacks"}};
    for (const auto& [id, effect] : effects)
        m.functions[id] = {.group = "stop", .modes = {{"full", {.rank = 1, .when = when.at(id)}}, {"reduced", {.rank = 2, .when = "cable", .effects = {{"distance", effect}}}}}};
    return m;
}

State both_failed(const Model& m) {
    State state = running_state(Network(m));
    state.fail("pump").fail("supply");
    return state;
}

const PlannedQuantity& distance(const Plan& p) { return p.quantities.at(0); }

}  // namespace

TEST_CASE("factors multiply or are added or the greatest is taken, as the book says", "[study][plan]") {
    // Anti-skid inoperative 1.4 and flaps 1.3: 1.82 multiplied, 1.70 added. Reference collection, file 8, "example" (pprune thread 332579, illustrative).
    const std::map<std::string, double> factors{{"antiskid", 1.4}, {"spoilers", 1.3}}, percents{{"antiskid", 40}, {"spoilers", 30}};
    CHECK(*distance(plan(both_failed(brakes(Combine::multiply, "factor", factors)))).value == Approx(1.82));
    CHECK(*distance(plan(both_failed(brakes(Combine::add, "percent", percents)))).value == Approx(70));
    CHECK(*distance(plan(both_failed(brakes(Combine::max, "factor", factors)))).value == Approx(1.4));
    const auto landing = [](const std::string& q) { return Landing{.quantity = q, .base_m = 1000}; };
    CHECK(*plan(both_failed(brakes(Combine::multiply, "factor", factors)), {.landing = landing("distance")}).landing->actual_m == Approx(1820));
    CHECK(*plan(both_failed(brakes(Combine::add, "percent", percents)), {.landing = landing("distance")}).landing->actual_m == Approx(1700));
    CHECK(*plan(both_failed(brakes(Combine::max, "factor", factors)), {.landing = landing("distance")}).landing->actual_m == Approx(1400));
    CHECK(*plan(both_failed(brakes(Combine::add, "ft", percents)), {.landing = landing("distance")}).landing->actual_m == Approx(1000 + 70 * 0.3048));
    CHECK(*plan(both_failed(brakes(Combine::add, "m", percents)), {.landing = landing("distance")}).landing->actual_m == Approx(1070));
}

TEST_CASE("every effect is named with its roots, and with a root in common only the greatest counts", "[study][plan]") {
    const std::map<std::string, double> factors{{"antiskid", 1.2}, {"flaps", 1.4}, {"spoilers", 1.3}};
    const PlannedQuantity all = distance(plan(both_failed(brakes(Combine::multiply, "factor", factors))));
    CHECK(*all.value == Approx(1.2 * 1.4 * 1.3));
    REQUIRE(all.effects.size() == 3);
    CHECK(all.effects[0].function == "flaps");  // greatest first
    CHECK(all.effects[0].roots.size() == 2);
    CHECK(all.effects[1].roots.at(0).id == "pump");

    const PlannedQuantity once = distance(plan(both_failed(brakes(Combine::multiply, "factor", factors, true))));
    CHECK(*once.value == Approx(1.4));
    CHECK(once.effects[0].counted);
    CHECK_FALSE(once.effects[1].counted);
    CHECK(once.effects[1].instead == "flaps");
    CHECK_FALSE(once.effects[2].counted);

    // Where the one that shares with both is the least, the two have nothing in common.
    const PlannedQuantity two = distance(plan(both_failed(brakes(Combine::multiply, "factor", {{"antiskid", 1.2}, {"flaps", 1.1}, {"spoilers", 1.3}}, true))));
    CHECK(*two.value == Approx(1.2 * 1.3));
    CHECK(two.effects[2].instead == "spoilers");
}

TEST_CASE("a rule that holds replaces the effects", "[study][plan]") {
    Model m = brakes(Combine::multiply, "factor", {{"antiskid", 1.4}, {"spoilers", 1.3}});
    m.quantities["distance"].rules = {{"neither", {.when = not_(any_of({"pump", "supply"})), .value = 1.5, .name = "No pump, no supply"}}};
    const Plan p = plan(both_failed(m));
    CHECK(distance(p).rules == std::vector<std::string>{"neither"});
    CHECK(*distance(p).value == Approx(1.5));
    CHECK(*distance(p).effects_alone == Approx(1.82));
    CHECK(text(p).find("which alone come to factor 1.82: No pump, no supply (factor 1.5).") != std::string::npos);
    CHECK(*distance(plan(running_state(Network(m)))).value == Approx(1));
}

TEST_CASE("what the model is silent about leaves no value", "[study][plan]") {
    const Landing landing{.quantity = "distance", .base_m = 1000, .available_m = 3000, .rules = {operating_rule("60 percent")}};
    Model m = brakes(Combine::multiply, "factor", {{"antiskid", 1.4}});
    State state = both_failed(m);
    state.fail("cable");
    const Plan lost = plan(state, {.landing = landing});
    CHECK_FALSE(distance(lost).value);
    CHECK(distance(lost).unknown == std::vector<std::string>{"antiskid is lost, and the model has no figure for that."});
    CHECK_FALSE(lost.landing->actual_m);
    CHECK(lost.landing->lines.empty());
    CHECK(text(lost).find("the actual distance is not known") != std::string::npos);

    // A rule for it is what the model then says.
    m.quantities["distance"].rules = {{"none", {.when = not_(level("antiskid", "degraded")), .value = 2}}};
    state = both_failed(m);
    state.fail("cable");
    CHECK(*distance(plan(state)).value == Approx(2));

    // Unknown, and a rule that reads what is unknown.
    Model hunts = samples::chatter();
    hunts.quantities["distance"] = {.unit = "factor", .rules = {{"dead", {.when = not_(level("talk", "degraded")), .value = 2}}}};
    hunts.functions["talk"].modes["radio"].effects = {{"distance", 1.1}};
    State never = running_state(Network(hunts));
    never.fail("gen");
    const Plan unknown = plan(never);
    CHECK_FALSE(distance(unknown).value);
    CHECK(distance(unknown).unknown.size() == 2);
}

TEST_CASE("operating factors as published", "[study][plan]") {
    // 14 CFR 121.195(b), (c), (d), 135.387(b); SAFO 06012. Reference collection, file 8, "Landing distance".
    CHECK(operating_rule("60 percent").factor == Approx(1.6667).margin(5e-5));
    CHECK(operating_rule("70 percent").factor == Approx(1.4286).margin(5e-5));
    CHECK(operating_rule("80 percent").factor == Approx(1.25));
    CHECK(operating_rule("60 percent wet").factor == Approx(1.9167).margin(5e-5));
    CHECK(operating_rule("115 percent at arrival").factor == Approx(1.15));
    for (const OperatingRule& rule : operating_rules()) CHECK_FALSE(rule.source.empty());
    CHECK_THROWS_AS(operating_rule("60 pecent"), UnknownId);
    // FSF ALAR briefing note 8.3: required runway dry 1.67, wet 1.92 times the actual distance.
    CHECK(operating_rule("60 percent").factor == Approx(1.67).margin(5e-3));
    CHECK(operating_rule("60 percent wet").factor == Approx(1.92).margin(5e-3));
    // Anti-skid inoperative 1.3 at dispatch: 1.3 × 1.67 = 2.171 times; in flight the 1.3 alone (file 8, "example", pprune thread 2086152, illustrative).
    const Plan p = plan(both_failed(brakes(Combine::multiply, "factor", {{"antiskid", 1.3}})),
                        {.landing = Landing{.quantity = "distance", .base_m = 1000, .available_m = 2000, .rules = {operating_rule("60 percent")}}});
    REQUIRE(p.landing->lines.size() == 2);
    CHECK(p.landing->lines[0].required_m == Approx(1300));
    CHECK(p.landing->lines[1].required_m == Approx(2171).margin(5));
    CHECK(*p.landing->lines[0].margin_m == Approx(700));
    CHECK(*p.landing->lines[1].margin_m == Approx(2000 - 1300 / 0.6));
    CHECK(*p.landing->lines[1].margin_ft == Approx((2000 - 1300 / 0.6) / 0.3048));
    CHECK(text(p).find("runway short by 167 m (547 ft)") != std::string::npos);
}

TEST_CASE("no operating factor is applied that is not named", "[study][plan]") {
    const Plan p = plan(running_state(Network(brakes(Combine::multiply, "factor", {{"antiskid", 1.3}}))), {.landing = Landing{.quantity = "distance", .base_m = 1000}});
    REQUIRE(p.landing->lines.size() == 1);
    CHECK(p.landing->lines[0].required_m == Approx(1000));
    CHECK_FALSE(p.landing->lines[0].margin_m);
    CHECK(text(p).find("No operating factor was named, so none is applied.") != std::string::npos);
}

TEST_CASE("the card takes its headings from who asks, or the groups that have effects", "[study][plan]") {
    Model m = brakes(Combine::multiply, "factor", {{"antiskid", 1.4}, {"spoilers", 1.3}});
    m.functions["talk"] = samples::simply("supply");
    m.functions["talk"].group = "radios";
    const Plan p = plan(running_state(Network(m)));
    REQUIRE(p.card.size() == 1);
    CHECK(p.card[0].heading == "stop");
    CHECK(p.card[0].functions.size() == 2);
    const Plan asked = plan(running_state(Network(m)), {.card = {{"evacuate", {"radios", "antiskid"}}}});
    REQUIRE(asked.card.size() == 1);
    CHECK(asked.card[0].functions.size() == 2);
    CHECK_THROWS_AS(plan(running_state(Network(m)), {.card = {{"stop", {"brakes"}}}}), UnknownId);
}

TEST_CASE("what is no distance, and what changes none, is refused", "[study][plan]") {
    const State state = running_state(Network(brakes(Combine::multiply, "factor", {{"antiskid", 1.3}})));
    const auto landing = [&](Landing l) { return plan(state, {.landing = std::move(l)}); };
    CHECK_THROWS_AS(landing({.quantity = "distnace", .base_m = 1000}), UnknownId);
    CHECK_THROWS_AS(landing({.quantity = "distance", .base_m = 0}), NotPossible);
    CHECK_THROWS_AS(landing({.quantity = "distance", .base_m = 1000, .available_m = -1}), NotPossible);
    CHECK_THROWS_AS(landing({.quantity = "distance", .base_m = 1000, .rules = {{"shorter", 0.9}}}), NotPossible);
    const State knots = running_state(Network(brakes(Combine::add, "kt", {{"antiskid", 5}})));
    CHECK_THROWS_AS(plan(knots, {.landing = Landing{.quantity = "distance", .base_m = 1000}}), NotPossible);
    const State odd = running_state(Network(brakes(Combine::add, "factor", {{"antiskid", 0.3}})));
    CHECK_THROWS_AS(plan(odd, {.landing = Landing{.quantity = "distance", .base_m = 1000}}), NotPossible);
}
