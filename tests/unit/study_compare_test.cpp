#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/compare.hpp>

#include "crew_samples.hpp"

using namespace fedfrom;

namespace {

/// The gear valve on the right main bus instead of the standby bus.
Model other_bus() {
    Model m = samples::two_bus();
    m.variants["b"] = {.patch = "{}"};
    m.variant = "b";
    m.elements["gear_valve"].inputs["power"].feeds = {{.from = "main_r", .via = {{"cb_gear"}}}};
    return m;
}

std::vector<std::string> words(const Comparison& c) {
    std::vector<std::string> list;
    for (const DifferenceGroup& g : c.groups) list.push_back(scenarios_text(c, g));
    return list;
}

}  // namespace

TEST_CASE("failures that make the same difference are one group, and what is the same is not told", "[study][compare]") {
    const Comparison c = compare(Network(samples::two_bus()), Network(other_bus()));
    CHECK(c.functions.empty());
    CHECK(c.names == std::array<std::string, 2>{"a", "b"});
    const auto gear = std::ranges::find_if(c.groups, [](const DifferenceGroup& g) { return g.functions[0].a.level == Level::degraded; });
    REQUIRE(gear != c.groups.end());
    CHECK(gear->functions.size() == 1);
    CHECK(gear->functions[0].function == "gear_extension");
    CHECK(gear->functions[0].a.mode_name == "free fall");
    CHECK(gear->functions[0].b.level == Level::normal);
    CHECK(gear->worst == Severity::minor);
    // Shorted, either bus is tied onto by the transfer, and takes both sides down in both.
    CHECK(scenarios_text(c, *gear) == "MAIN L: loss; STANDBY: loss; STANDBY SOURCE: loss");
    CHECK(c.only.empty());
    CHECK(text(c).find("Extend the gear - a: degraded (free fall); b: normal.") != std::string::npos);
}

TEST_CASE("what differs as the two stand is said once, and what makes it alike apart", "[study][compare]") {
    const Network net(samples::two_bus());
    State down = running_state(net);
    down.fail("radio");
    const Comparison c = compare(running_state(net), down, {.names = {"before", "after"}});
    REQUIRE(c.functions.size() == 1);
    CHECK(c.functions[0].a.level == Level::normal);
    CHECK(c.functions[0].b.level == Level::lost);
    for (const DifferenceGroup& g : c.groups) {
        CHECK(g.functions.empty());
        REQUIRE(g.alike.size() == 1);
        CHECK(g.alike[0].a.level == Level::lost);
    }
    CHECK(words(c).size() == 1);
    CHECK(c.unchanged > c.groups[0].scenarios.size());
    CHECK(text(c).find("no longer different: Talk to ATC - lost in both.") != std::string::npos);
}

TEST_CASE("a normal mode of another name is a difference, and of the same name none", "[study][compare]") {
    Model b = samples::two_bus();
    CHECK(compare(Network(samples::two_bus()), Network(b)).groups.empty());
    CHECK(compare(Network(samples::two_bus()), Network(b)).functions.empty());
    b.functions["talk"].modes["radio"].name = "the other radio";
    const Comparison c = compare(Network(samples::two_bus()), Network(b));
    REQUIRE(c.functions.size() == 1);
    CHECK(c.functions[0].b.mode_name == "the other radio");
    CHECK(c.functions[0].b.level == Level::normal);
    CHECK(c.names == std::array<std::string, 2>{"first", "second"});
}

TEST_CASE("unknown in both is listed, never taken as the same", "[study][compare]") {
    State state = running_state(Network(samples::chatter()));
    state.fail("gen");
    const Comparison c = compare(state, state);
    REQUIRE(c.functions.size() == 1);
    CHECK(c.functions[0].a.level == Level::unknown);
    CHECK(c.functions[0].b.level == Level::unknown);
    CHECK(text(c).find("talk - unknown in both.") != std::string::npos);
}

TEST_CASE("what only one has is listed apart: fitted in one, or only in its model", "[study][compare]") {
    Model b = samples::two_bus();
    b.elements["battery"].fitted = false;
    b.elements["spare"] = {.kind = Kind::generator};
    b.elements["standby_switch"].positions = {"AUTO", "BATT", "OFF"};
    b.elements["gen_l"].failures = {{"loss", {}}, {"overheat", {}}};
    b.functions["spare_power"] = samples::simply("spare");
    b.functions["talk"].modes["phone"] = {.rank = 2, .when = "spare"};
    b.given["night"] = false;
    const Comparison c = compare(Network(samples::two_bus()), Network(b));
    using What = OnlyOne::What;
    std::vector<std::tuple<What, std::string, std::string, bool, bool>> only;
    for (const OnlyOne& o : c.only) only.emplace_back(o.what, o.id, o.word, o.in_a, o.not_fitted);
    const auto has = [&](What what, std::string id, std::string word, bool in_a, bool not_fitted) { return std::ranges::find(only, std::tuple(what, std::move(id), std::move(word), in_a, not_fitted)) != only.end(); };
    CHECK(has(What::element, "battery", "", true, true));
    CHECK(has(What::element, "spare", "", false, false));
    CHECK(has(What::position, "standby_switch", "OFF", false, false));
    CHECK(has(What::failure, "gen_l", "overheat", false, false));
    CHECK(has(What::function, "spare_power", "", false, false));
    CHECK(has(What::mode, "talk", "phone", false, false));
    CHECK(has(What::given, "night", "", false, false));
    CHECK(std::ranges::none_of(c.groups, [](const DifferenceGroup& g) { return std::ranges::any_of(g.scenarios, [](const Step& s) { return s.fail == std::vector<FailureRef>{{.element = "battery"}}; }); }));
    CHECK(text(c).find("[not fitted in the other]") != std::string::npos);
}

TEST_CASE("pairs are told for what no part of them does", "[study][compare]") {
    // The second generator holds up what the first does in one; in the other nothing does.
    Model b = other_bus();
    const Comparison singles = compare(Network(samples::two_bus()), Network(b));
    const Comparison c = compare(Network(samples::two_bus()), Network(b), {.order = 2});
    CHECK(singles.pairs.empty());
    CHECK(c.groups == singles.groups);
    CHECK(c.complete);
    CHECK(c.combinations > 100);
    REQUIRE_FALSE(c.pairs.empty());
    for (const DifferenceGroup& g : c.pairs)
        for (const Step& s : g.scenarios) CHECK(s.fail.size() == 2);
    const Comparison cut = compare(Network(samples::two_bus()), Network(b), {.order = 2, .progress = [](double) { return false; }});
    CHECK_FALSE(cut.complete);
    CHECK(cut.groups == c.groups);
    CHECK(text(cut).find("Incomplete") != std::string::npos);
}

TEST_CASE("only the functions asked for are compared; what neither has is refused", "[study][compare]") {
    const Comparison c = compare(Network(samples::two_bus()), Network(other_bus()), {.goals = {"talk"}});
    CHECK(c.groups.empty());
    CHECK(text(c).find("Only these functions were compared: Talk to ATC.") != std::string::npos);
    CHECK_THROWS_AS(compare(Network(samples::two_bus()), Network(other_bus()), {.goals = {"tlak"}}), UnknownId);
    CHECK_THROWS_AS(compare(Network(samples::two_bus()), Network(other_bus()), {.order = 3}), NotPossible);
}

TEST_CASE("statuses of elements are compared where asked for", "[study][compare]") {
    const Network net(samples::two_bus());
    State batt = running_state(net);
    batt.set("standby_switch", "BATT").fail("battery");
    const Comparison c = compare(running_state(net), batt, {.elements = true});
    const auto radio = std::ranges::find(c.elements, "radio", &ElementPair::element);
    REQUIRE(radio != c.elements.end());
    CHECK(radio->a == Status::supplied);
    CHECK(radio->b == Status::unsupplied);
    CHECK(compare(running_state(net), batt).elements.empty());
}
