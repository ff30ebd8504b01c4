#include "catch.hpp"

#include <fedfrom/study/truth_table.hpp>

#include "crew_samples.hpp"

using namespace fedfrom;

TEST_CASE("a cell says what the target does, and on what it lives", "[study][truth]") {
    const TruthTable t = truth_table(Network(samples::two_bus()), {"standby", "talk"}, {.positions = {{"standby_switch", {}}}, .failures = {{}, {{"gen_l"}, {"gen_r"}}}});
    CHECK(t.complete);
    REQUIRE(t.rows.size() == 2);
    CHECK(t.rows[0].at == std::vector<std::string>{"AUTO"});
    REQUIRE(t.rows[0].cells.size() == 4);  // two blocks of two targets
    CHECK(t.rows[0].cells[0].status == Status::supplied);
    CHECK(t.rows[0].cells[0].sources.ids == std::vector<std::string>{"gen_l"});
    CHECK(t.rows[0].cells[2].status == Status::unsupplied);
    CHECK(t.rows[0].cells[3].level == Level::lost);
    CHECK(t.rows[1].cells[2].sources.ids == std::vector<std::string>{"battery"});
    const std::string sheet = to_markdown(table(t));  // not wrapped
    CHECK(sheet.find("supplied, from BATTERY") != std::string::npos);
    CHECK(sheet.find("GEN L: loss and GEN R: loss") != std::string::npos);
}

TEST_CASE("by default every control the target hangs on is tried, selections first", "[study][truth]") {
    const Network net(samples::two_bus());
    const TruthTable radio = truth_table(net, {"talk"});
    REQUIRE(radio.controls.size() == 1);
    CHECK(radio.controls[0].id == "standby_switch");
    const TruthTable gear = truth_table(net, {"gear"});
    CHECK(gear.controls.size() == 3);
    CHECK(gear.rows.size() == 8);
    CHECK(gear.complete);
    const TruthTable cut = truth_table(net, {"gear"}, {.most_rows = 4});
    CHECK(cut.left_out == std::vector<std::string>{"cb_gear"});  // a breaker
    CHECK_FALSE(cut.complete);
    CHECK(cut.rows.size() == 4);
    CHECK(to_markdown(table(cut)).find("Incomplete: left out") != std::string::npos);
}

TEST_CASE("a dash is drawn only for what makes no difference", "[study][truth]") {
    const Network net(samples::two_bus());
    const TruthTable t = truth_table(net, {"gear"}, {.join = true});
    CHECK(t.settled == 8);
    // In at the breaker, down, at AUTO; any other way the valve shuts.
    std::size_t all = 0;
    for (const TruthRow& row : t.rows) all += row.stands_for;
    CHECK(all == 8);
    CHECK(t.rows.size() < 8);
    const TruthTable both = truth_table(net, {"talk"}, {.failures = {{{"radio"}}}, .join = true});
    REQUIRE(both.rows.size() == 1);
    CHECK(both.rows[0].at == std::vector<std::string>{""});
    CHECK(both.rows[0].stands_for == 2);
    // Another source is a difference, though the level is the same.
    CHECK(truth_table(net, {"talk"}, {.join = true}).rows.size() == 2);
}

TEST_CASE("of positions that are not all, a joined row names those tried", "[study][truth]") {
    Model m = samples::two_bus();
    m.elements["standby_switch"].positions = {"AUTO", "OFF", "BATT"};
    const TruthTable t = truth_table(Network(m), {"gear_cable"}, {.positions = {{"standby_switch", {"BATT", "OFF"}}}, .join = true});
    REQUIRE(t.rows.size() == 1);
    CHECK_FALSE(t.controls[0].all);
    CHECK(to_markdown(table(t)).find("BATT or OFF") != std::string::npos);
}

TEST_CASE("unknown rows are not drawn together", "[study][truth]") {
    Model m = samples::chatter();
    m.elements["lamp_switch"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    const TruthTable t = truth_table(Network(m), {"talk"}, {.positions = {{"lamp_switch", {}}}, .failures = {{{"gen"}}}, .join = true});
    CHECK(t.rows.size() == 2);
    CHECK(t.rows[0].cells[0].level == Level::unknown);
}

TEST_CASE("a table that does not fit says that it ends early", "[study][truth]") {
    const TruthTable t = truth_table(Network(samples::two_bus()), {"gear"}, {.positions = {{"standby_switch", {}}, {"gear_handle", {}}}, .most_rows = 3});
    CHECK(t.rows.size() == 3);
    CHECK_FALSE(t.complete);
    CHECK(to_markdown(table(t)).find("the table ends after the first 3 rows") != std::string::npos);
}

TEST_CASE("what cannot be tabulated is refused", "[study][truth]") {
    const Network net(samples::two_bus());
    CHECK_THROWS_AS(truth_table(net, {"tlak"}), UnknownId);
    CHECK_THROWS_AS(truth_table(net, {}), NotPossible);
    CHECK_THROWS_AS(truth_table(net, {"talk"}, {.positions = {{"tie", {}}}}), NotPossible);
    CHECK_THROWS_AS(truth_table(net, {"talk"}, {.positions = {{"standby_switch", {"ON"}}}}), NotPossible);
    CHECK_THROWS_AS(truth_table(net, {"talk"}, {.positions = {{"standby_switch", {"AUTO", "AUTO"}}}}), NotPossible);
    CHECK_THROWS_AS(truth_table(net, {"talk"}, {.failures = {{{"radio", "melt"}}}}), NotPossible);
    CHECK_THROWS_AS(truth_table(net, {"talk"}, {.failures = {}}), NotPossible);
    Model m = samples::two_bus();
    m.elements["radio"].fitted = false;
    CHECK_THROWS_AS(truth_table(Network(m), {"radio"}), NotPossible);
}
