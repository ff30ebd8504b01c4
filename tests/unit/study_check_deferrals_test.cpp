#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/check_deferrals.hpp>

#include "study_samples.hpp"

using namespace fedfrom;
using namespace std::chrono;

namespace {

/// Four pumps on one line; the item asks for two of them. A brake needs the line, and a gauge.
Model pumps() {
    Model m{.name = "Pumps"};
    DispatchItem& item = m.dispatch["pump"];
    item = {.name = "Pump", .category = "C", .installed = 4, .required = 2};
    std::vector<Feed> feeds;
    for (const std::string id : {"pump_1", "pump_2", "pump_3", "pump_4"}) {
        m.elements[id] = {.kind = Kind::pump};
        feeds.push_back({.from = id});
    }
    for (const std::string n : {"1", "2", "3", "4"}) item.units["p" + n].elements = {"pump_" + n};
    m.elements["line"] = {.kind = Kind::manifold, .inputs = {{"hydraulic", {Port::Join::priority, feeds}}}};
    m.elements["gauge"] = {.kind = Kind::gauge};
    m.functions["brake"] = {.name = "Brake", .modes = {{"line", {.rank = 1, .when = "line"}}}, .severity = {{Level::lost, Severity::hazardous}}};
    m.dispatch["gauge_item"] = {.name = "Gauge", .category = "B", .installed = 1, .required = 0, .units = {{"gauge", {.elements = {"gauge"}}}},
                                .provided = {at_least(2, {"pump_1", "pump_2", "pump_3"})}};
    return m;
}

std::size_t count(const DeferralCheck& c, Conflict::Why why) { return static_cast<std::size_t>(std::ranges::count(c.conflicts, why, &Conflict::why)); }

}  // namespace

TEST_CASE("as many may be out as are installed and not required, and no more", "[study][deferrals]") {
    const Network net(pumps());
    CHECK(count(check_deferrals(net, {{"pump", "p1"}, {"pump", "p2"}}), Conflict::Why::count) == 0);
    const DeferralCheck three = check_deferrals(net, {{"pump", "p1"}, {"pump", "p2"}, {"pump", "p4"}});
    CHECK(count(three, Conflict::Why::count) == 1);
    CHECK(three.conflicts.front().text == "3 of 4 out; the item asks for 2.");
    CHECK(three.conflicts.front().deferrals.size() == 3);
}

TEST_CASE("open items carry their last day", "[study][deferrals]") {
    const DeferralCheck check = check_deferrals(Network(pumps()), {{"pump", "p1", 2024y / September / 10}, {"gauge_item", "", 2024y / September / 10}});
    CHECK(check.items[0].deferral.item == "gauge_item");
    CHECK(check.items[0].deferral.unit == "gauge");
    CHECK(check.items[0].last_day == 2024y / September / 13);
    CHECK(check.items[1].last_day == 2024y / September / 20);
    CHECK(text(check).find("20 Sep 2024") != std::string::npos);
}

TEST_CASE("a condition that only all of them break is found", "[study][deferrals]") {
    const DeferralCheck check = check_deferrals(Network(pumps()), {{"gauge_item", ""}, {"pump", "p1"}, {"pump", "p2"}});
    CHECK(check.items[0].provided.front().met == Met::not_met);
    REQUIRE(count(check, Conflict::Why::condition) == 1);
    const auto it = std::ranges::find(check.conflicts, Conflict::Why::condition, &Conflict::why);
    CHECK(it->deferrals.size() == 3);
    CHECK(it->deferrals.front().item == "gauge_item");
}

TEST_CASE("what only all of them take is named once", "[study][deferrals]") {
    const DeferralCheck check = check_deferrals(Network(pumps()), {{"pump", "p1"}, {"pump", "p2"}, {"pump", "p3"}, {"pump", "p4"}});
    CHECK(check.outcome.level("brake") == Level::lost);
    CHECK(check.changes.size() == 1);
    REQUIRE(count(check, Conflict::Why::together) == 1);
    CHECK(std::ranges::find(check.conflicts, Conflict::Why::together, &Conflict::why)->severity == Severity::hazardous);
}

TEST_CASE("sources left and next failures are those with all of them out", "[study][deferrals]") {
    const DeferralCheck check = check_deferrals(Network(pumps()), {{"pump", "p1"}, {"pump", "p2"}});
    REQUIRE(check.next.sources.size() == 1);
    CHECK(check.next.sources.front().now.count == 2);
    CHECK(check.next.sources.front().clean.count == 4);
    const DeferralCheck three = check_deferrals(Network(pumps()), {{"pump", "p1"}, {"pump", "p2"}, {"pump", "p3"}});
    CHECK(three.next.newly_exposed(Severity::hazardous) >= 1);
}

TEST_CASE("an item or unit that is not there, not named or named twice is refused plainly", "[study][deferrals]") {
    const Network net(pumps());
    CHECK_THROWS_WITH(check_deferrals(net, {{"pomp", "p1"}}), "There is no dispatch item `pomp`. Did you mean `pump`?");
    CHECK_THROWS_AS(check_deferrals(net, {{"pump", "q1"}}), UnknownId);
    CHECK_THROWS_WITH(check_deferrals(net, {{"pump", ""}}), "Say which unit of `pump` is out: p1, p2, p3 or p4.");
    CHECK_THROWS_WITH(check_deferrals(net, {{"pump", "p1"}, {"pump", "p1"}}), "Pump, p1 is listed twice.");
    CHECK_THROWS_AS(check_deferrals(net, {{"pump", "p1", 2023y / February / 29}}), NotPossible);
}

TEST_CASE("no open item changes nothing", "[study][deferrals]") {
    const DeferralCheck check = check_deferrals(Network(pumps()), {});
    CHECK(check.items.empty());
    CHECK(check.changes.empty());
    CHECK(check.conflicts.empty());
    CHECK(check.before.state() == check.outcome.state());
}
