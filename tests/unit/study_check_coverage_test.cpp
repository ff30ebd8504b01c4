#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/check_coverage.hpp>

#include "crew_samples.hpp"
#include "study/smallest_cover.hpp"

using namespace fedfrom;

namespace {

/// A standby bus with two feeds through diodes, a light on the battery that senses it, and a switch that takes the main feed off.
Model standby() {
    using namespace samples;
    Model m{.name = "Standby"};
    auto& e = m.elements;
    e["gen"] = {.kind = Kind::generator};
    e["batt"] = {.kind = Kind::battery};
    e["main"] = bus({{.from = "gen"}}, "Main bus");
    for (const std::string side : {"main", "batt"}) {
        e["cb_" + side] = {.kind = Kind::breaker, .name = "Breaker, " + side};
        e["diode_" + side] = {.kind = Kind::diode};
    }
    e["off_switch"] = {.kind = Kind::switch_, .name = "Main feed", .positions = {"ON", "OFF"}, .reach = Reach::cockpit};
    e["standby"] = bus({{.from = "main", .via = {{"cb_main"}, {"off_switch", {"ON"}}, {"diode_main"}}}, {.from = "batt", .via = {{"cb_batt"}, {"diode_batt"}}}}, "Standby bus");
    e["standby"].inputs["power"].join = Port::Join::parallel;
    e["light"] = load({{.from = "batt"}}, Kind::annunciator);
    e["light"].shows = {{"lit", not_("standby")}};
    e["light"].unpowered = "out";
    m.checks["battery_side"] = {.name = "Battery side", .steps = {{.act = {.set = {{"off_switch", "OFF"}}}, .look_at = "light", .expect = "out"}, {.act = {.set = {{"off_switch", "ON"}}}}}};
    return m;
}

bool has(const Coverage& c, const std::vector<std::size_t>& failures, const std::string& element) {
    return std::ranges::any_of(failures, [&](std::size_t f) { return c.failures[f].element == element && c.failures[f].mode == "loss"; });
}

const Path& path_from(const Coverage& c, const std::string& upstream) { return *std::ranges::find(c.paths, upstream, &Path::upstream); }

}  // namespace

TEST_CASE("of two feeds side by side, a step proves the one it leaves alone", "[study][check_coverage]") {
    const Coverage c = check_coverage(Network(standby()));
    REQUIRE(c.paths.size() == 2);
    CHECK(path_from(c, "main").proved_by.empty());
    CHECK(path_from(c, "batt").proved_by == std::vector<std::size_t>{0});
    CHECK(path_from(c, "batt").shows.empty());
    CHECK_FALSE(has(c, c.hidden(), "cb_batt"));
    CHECK(has(c, c.hidden(), "cb_main"));
    CHECK(has(c, c.silent(), "diode_main"));
    CHECK(text(c).find("unproved") != std::string::npos);
}

TEST_CASE("what takes the light with it is not revealed by a light that should be out", "[study][check_coverage]") {
    const Coverage c = check_coverage(Network(standby()));
    CHECK(has(c, c.hidden(), "light"));
    CHECK(has(c, c.hidden(), "batt"));  // the standby bus and its light die together
}

TEST_CASE("a step the aircraft does not meet as it stands proves nothing, and is said", "[study][check_coverage]") {
    Model m = standby();
    m.checks["battery_side"].steps[0].expect = "lit";
    const Coverage c = check_coverage(Network(m));
    CHECK_FALSE(c.steps[0].met);
    CHECK(c.steps[0].reads == std::optional<std::string>("out"));
    CHECK(c.hidden().size() == c.failures.size());
    CHECK(c.adds_nothing == std::vector<std::string>{"battery_side"});
    CHECK(c.smallest.empty());
    CHECK(text(c).find("Not as expected: Battery side, step 1") != std::string::npos);
}

TEST_CASE("without any check it still says what shows by itself", "[study][check_coverage]") {
    Model m = standby();
    m.checks.clear();
    const Coverage c = check_coverage(Network(m));
    CHECK(c.steps.empty());
    CHECK(c.hidden().size() == c.failures.size());
    const auto standby_loss = std::ranges::find_if(c.failures, [](const CoverageFailure& f) { return f.element == "standby" && f.mode == "loss"; });
    CHECK(standby_loss->shows == std::vector<std::string>{"light"});
    CHECK(has(c, c.silent(), "cb_main"));
}

TEST_CASE("checks of one's own replace those of the model, and must be possible", "[study][check_coverage]") {
    const Network net(standby());
    const Check own{.steps = {{.look_at = "light", .expect = "out"}}};
    CHECK(check_coverage(net, {.checks = {{{"own", own}}}}).steps.size() == 1);
    CHECK(check_coverage(net, {.checks = {{}}}).steps.empty());
    const auto asked = [&](CheckStep step) { return check_coverage(net, {.checks = {{{"own", {.steps = {step}}}}}}); };
    CHECK_THROWS_AS(asked({.look_at = "lihgt", .expect = "out"}), UnknownId);
    CHECK_THROWS_AS(asked({.look_at = "light", .expect = "on"}), NotPossible);
    CHECK_THROWS_AS(asked({.look_at = "main"}), NotPossible);
    CHECK_THROWS_AS(asked({.act = {.set = {{"off_switch", "AUTO"}}}}), NotPossible);
    CHECK_THROWS_AS(asked({.act = {.set = {{"standby", "ON"}}}}), NotPossible);
}

TEST_CASE("failures that read the same in every step are a group", "[study][check_coverage]") {
    const Coverage c = check_coverage(Network(standby()));
    REQUIRE(c.alike.size() == 1);
    CHECK(has(c, c.alike[0], "cb_batt"));
    CHECK(has(c, c.alike[0], "diode_batt"));
    CHECK(has(c, c.alike[0], "standby"));
}

TEST_CASE("a cover is as small as can be", "[study][check_coverage]") {
    using detail::smallest_cover;
    CHECK(smallest_cover(3, {{0, 1}, {1, 2}, {1}}).chosen == std::vector<std::size_t>{1});
    CHECK(smallest_cover(3, {}).chosen.empty());
    // What meets most wants first would take three.
    const auto cover = smallest_cover(5, {{0, 3}, {0, 3}, {0, 4}, {0, 4}, {1, 3}, {2, 4}});
    CHECK(cover.exact);
    CHECK(cover.chosen == std::vector<std::size_t>{3, 4});
}
