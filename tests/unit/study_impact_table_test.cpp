#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/impact_table.hpp>

#include "study_samples.hpp"

using namespace fedfrom;

namespace {

const Impact* find(const ImpactTable& t, const std::string& id, const std::string& mode = "loss") {
    const auto it = std::ranges::find_if(t.rows, [&](const Impact& row) { return row.id == id && row.mode == mode; });
    return it == t.rows.end() ? nullptr : &*it;
}

}  // namespace

TEST_CASE("every single failure stands against every function, worst first", "[study][impact]") {
    const ImpactTable t = impact_table(Network(samples::two_bus()));
    CHECK(t.examined == t.unchanged + t.rows.size());
    CHECK(t.functions == std::vector<std::string>{"gear_extension", "talk"});
    const Impact* lost = find(t, "standby");
    REQUIRE(lost);
    CHECK(lost->worst == Severity::major);
    CHECK(lost->lost == 1);
    CHECK(lost->degraded == 1);
    CHECK(lost->changes[1] == Change{"talk", Level::normal, Level::lost, "radio", "", "radio", ""});
    CHECK(lost->elements_lost == 3);
    CHECK(find(t, "gen_l") == nullptr);  // the tie takes over
    for (std::size_t i = 1; i < t.rows.size(); ++i) CHECK(t.rows[i - 1].worst >= t.rows[i].worst);
}

TEST_CASE("impact starts from the state: what is failed already is not added again", "[study][impact]") {
    State state = running_state(Network(samples::two_bus()));
    state.fail("gen_r");
    const ImpactTable t = impact_table(state);
    REQUIRE(find(t, "gen_l"));
    CHECK(find(t, "gen_l")->lost == 1);
    CHECK(find(t, "gen_r") == nullptr);
    CHECK(t.examined + 1 == impact_table(Network(samples::two_bus())).examined);
}

TEST_CASE("common causes and zones are rows too", "[study][impact]") {
    Model m = samples::two_bus();
    m.common_causes["burst"] = {.name = "Rotor burst", .fails = {{"gen_l"}, {"gen_r"}}};
    m.elements["standby"].zone = "bay";
    m.elements["gear_cable"].zone = "bay";
    const Network net(m);
    const ImpactTable t = impact_table(net);
    const Impact* bay = find(t, "bay", "");
    REQUIRE(bay);
    CHECK(&t.rows.front() == bay);
    CHECK(bay->cause == Impact::Cause::zone);
    CHECK(bay->worst == Severity::hazardous);
    CHECK(bay->lost == 2);
    REQUIRE(find(t, "burst", ""));
    CHECK(find(impact_table(net, {.causes = false}), "burst", "") == nullptr);
    CHECK(text(t).find("Zone bay lost") != std::string::npos);
    CHECK(table(t).rows.front()[2] == Cell("", Mark::lost));
}

TEST_CASE("goals choose the functions; more than three at once are refused plainly", "[study][impact]") {
    const Network net(samples::two_bus());
    CHECK(impact_table(net, {.goals = {"talk"}}).functions == std::vector<std::string>{"talk"});
    CHECK_THROWS_AS(impact_table(net, {.goals = {"tallk"}}), UnknownId);
    CHECK_THROWS_WITH(impact_table(net, {.order = 4}), "`order` is 1, 2 or 3 failures at once, not 4.");
}

TEST_CASE("a pair is listed for what neither of its failures does alone", "[study][impact]") {
    Model m{.name = "Two radios"};
    for (const char* id : {"radio_1", "radio_2", "radio_3", "lamp"}) m.elements[id] = {.kind = Kind::battery};
    m.functions["talk"] = {.modes = {{"any", {.rank = 1, .when = any_of({"radio_1", "radio_2"})}}}, .severity = {{Level::lost, Severity::major}}};
    m.functions["listen"] = {.modes = {{"three", {.rank = 1, .when = any_of({"radio_1", "radio_2", "radio_3"})}}}};
    m.functions["light"] = {.modes = {{"lamp", {.rank = 1, .when = "lamp"}}}};
    const Network net(m);
    const ImpactTable two = impact_table(net, {.order = 2});
    REQUIRE(two.rows.size() == 2);  // the lamp alone, and the pair; no pair with the lamp in it
    CHECK(two.rows[0].id == "lamp");
    const Impact& pair = two.rows[1];
    CHECK(pair.cause == Impact::Cause::combination);
    CHECK(pair.id == "radio_1 + radio_2");
    CHECK(pair.worst == Severity::major);
    REQUIRE(pair.changes.size() == 1);
    CHECK(pair.changes[0].function == "talk");
    CHECK(two.combinations == 4 + 6);

    const ImpactTable three = impact_table(net, {.order = 3});
    REQUIRE(three.rows.size() == 3);
    CHECK(three.rows[2].id == "radio_1 + radio_2 + radio_3");
    CHECK(three.rows[2].changes[0].function == "listen");
    const std::string sheet = text(three);
    CHECK(sheet.find("Impact of failures, up to 3 at once") != std::string::npos);
    CHECK(sheet.find("radio_1: loss + radio_2: loss + radio_3: loss") != std::string::npos);
    CHECK(sheet.find("14 combinations of failures examined, of one to 3;") != std::string::npos);

    const ImpactTable light = impact_table(net, {.order = 2, .goals = {"light"}});
    CHECK(light.rows.size() == 1);
    CHECK(light.inert == 3);
}

TEST_CASE("a failure that makes a function unknown weighs as its loss", "[study][impact]") {
    Model m = samples::chatter();
    m.functions["talk"].severity[Level::lost] = Severity::major;
    const ImpactTable t = impact_table(Network(m));
    const Impact* gen = find(t, "gen");
    REQUIRE(gen);
    CHECK(gen->unknown == 1);
    CHECK(gen->worst == Severity::major);
}

TEST_CASE("a table of chosen functions says that only those were examined", "[study][impact]") {
    const Network net(samples::two_bus());
    const ImpactTable t = impact_table(net, {.goals = {"talk", "talk"}});
    CHECK(table(t).title == "Impact of single failures on Talk to ATC");
    CHECK(table(t).captions.back() == Caption{"Functions examined", "only Talk to ATC"});
    const std::string sheet = text(t);
    CHECK(sheet.find("change nothing in this function.") != std::string::npos);
    CHECK(sheet.find("Only this function was examined: Worst is of it alone") != std::string::npos);
    CHECK(sheet.find("no function") == std::string::npos);
    for (const Impact& row : t.rows) CHECK(row.changes.size() == 1);
    const std::string both = text(impact_table(net, {.goals = {"talk", "gear_extension"}}));
    CHECK(both.find("Impact of single failures on Extend the gear and Talk to ATC") != std::string::npos);
    CHECK(both.find("change none of these 2 functions.") != std::string::npos);
    CHECK(text(impact_table(net)).find("Only") == std::string::npos);
}

TEST_CASE("one cause that changes nothing is said in the singular", "[study][impact]") {
    Model m{.name = "One lamp"};
    m.elements["lamp"] = {.kind = Kind::light};
    CHECK(text(impact_table(Network(m))).find("1 cause examined, one at a time; 1 changes no function.") != std::string::npos);
}

TEST_CASE("cells and changes name the mode as its author does", "[study][impact]") {
    Model m = samples::two_bus();
    const auto cell = [&] {
        const ImpactTable t = impact_table(Network(m), {.goals = {"gear_extension"}});
        const Impact* valve = find(t, "gear_valve");
        REQUIRE(valve);
        CHECK(valve->changes.front().mode_after == "free_fall");
        CHECK(table(t).rows[static_cast<std::size_t>(valve - t.rows.data())][2] == Cell(valve->changes.front().mode_name_after, Mark::degraded));
        return valve->changes.front().mode_name_after;
    };
    CHECK(cell() == "free fall");
    m.functions["gear_extension"].modes["free_fall"].name = "falls by its weight";
    CHECK(cell() == "falls by its weight");
}
