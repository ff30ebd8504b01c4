#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/dispatch_table.hpp>

#include "study_samples.hpp"

using namespace fedfrom;
using namespace std::chrono;

namespace {

const DispatchRow& row(const DispatchTable& t, const std::string& id) { return *std::ranges::find(t.rows, id, &DispatchRow::id); }

/// One item of one unit of one element.
DispatchItem item(const std::string& element, std::vector<Condition> provided = {}) {
    return {.name = element, .category = "C", .installed = 1, .required = 0, .units = {{"unit", {.elements = {element}}}}, .provided = std::move(provided)};
}

/// Two generators on one bus; the auxiliary unit drives a third, and is switched by hand.
Model aircraft() {
    Model m{.name = "Dispatch", .given = {{"apu_running", false}, {"icing", false}}};
    auto& e = m.elements;
    e["gen_l"] = {.kind = Kind::generator, .name = "Left generator"};
    e["gen_r"] = {.kind = Kind::generator, .name = "Right generator"};
    e["apu"] = {.kind = Kind::engine, .name = "Auxiliary unit", .needs = given("apu_running")};
    e["gen_switch"] = {.kind = Kind::switch_, .positions = {"ON", "OFF"}, .reach = Reach::cockpit};
    e["bus"] = samples::bus({{.from = "gen_l", .via = {{"gen_switch", {"ON"}}}}, {.from = "gen_r"}, {.from = "apu"}}, "Bus");
    e["cb_radio"] = {.kind = Kind::breaker, .name = "Radio breaker"};
    e["radio"] = samples::load({{.from = "bus", .via = {{"cb_radio"}}}});
    e["receiver"] = samples::load({{.from = "bus", .via = {{"cb_radio"}}}});
    e["light"] = samples::load({{.from = "bus"}}, Kind::annunciator);
    e["light"].shows = {{"lit", not_("gen_l")}, {"out", "gen_l"}};
    e["light"].unpowered = "out";
    m.functions["power"] = {.name = "Power", .modes = {{"both", {.rank = 1, .when = all_of({"bus", "gen_l", "gen_r"})}}, {"one", {.rank = 2, .when = "bus"}}},
                            .severity = {{Level::degraded, Severity::minor}, {Level::lost, Severity::catastrophic}}};
    m.functions["talk"] = {.name = "Talk", .modes = {{"radio", {.rank = 1, .when = "radio"}}}, .severity = {{Level::lost, Severity::major}}};
    m.functions["navigate"] = {.name = "Navigate", .modes = {{"receiver", {.rank = 1, .when = "receiver"}}}, .severity = {{Level::lost, Severity::minor}}};
    return m;
}

bool has(const DispatchTable& t, Conflict::Why why, const std::string& a, const std::string& b) {
    return std::ranges::any_of(t.conflicts, [&](const Conflict& c) { return c.why == why && c.deferrals[0].item == a && c.deferrals[1].item == b; });
}

}  // namespace

TEST_CASE("repair intervals exclude the day of discovery", "[study][dispatch]") {
    CHECK(last_repair_day("C", 2024y / September / 10) == 2024y / September / 20);  // counted from 11 September
    CHECK(last_repair_day("B", 2024y / September / 10) == 2024y / September / 13);
    CHECK(last_repair_day("D", 2024y / September / 10) == 2025y / January / 8);
    CHECK(last_repair_day("B", 2024y / February / 27) == 2024y / March / 1);  // a leap year
    CHECK(last_repair_day("B", 2023y / February / 27) == 2023y / March / 2);
    CHECK_FALSE(last_repair_day("A", 2024y / September / 10));
    CHECK_THROWS_AS(last_repair_day("E", 2024y / September / 10), NotPossible);
    CHECK_THROWS_AS(last_repair_day("B", 2023y / February / 29), NotPossible);
}

TEST_CASE("a deferral takes at once what its elements carry, and exposes what then takes the rest", "[study][dispatch]") {
    Model m = aircraft();
    m.dispatch["generator"] = {.name = "Generator", .ata = "24-30-01", .category = "B", .installed = 2, .required = 1,
                               .units = {{"left", {.elements = {"gen_l"}, .secured = {{"gen_switch", "OFF"}}}}, {"right", {.elements = {"gen_r"}}}}};
    const DispatchTable t = dispatch_table(Network(m));
    const DeferredUnit& left = row(t, "generator").units.front();
    CHECK(left.changes == std::vector<Change>{{"power", Level::normal, Level::degraded, "both", "one", "both", "one"}});
    REQUIRE_FALSE(left.exposed.empty());
    CHECK(left.exposed.front().now.id == "gen_r");
    CHECK(left.exposed_worst() == Severity::catastrophic);
    for (const NextFailure& f : left.exposed) CHECK(f.now.id != "bus");  // takes it anyway
}

TEST_CASE("what is secured stands there, and is not lost for it", "[study][dispatch]") {
    Model m{.name = "Valve"};
    m.elements["pump"] = {.kind = Kind::pump};
    m.elements["handle"] = {.kind = Kind::handle, .positions = {"OPEN", "SHUT"}, .reach = Reach::cockpit};
    m.elements["valve"] = {.kind = Kind::valve, .follows = Follow{"handle", {{"OPEN", "open"}, {"SHUT", "closed"}}}};
    m.elements["line"] = {.kind = Kind::manifold, .inputs = {{"hydraulic", {{.from = "pump", .via = {{"valve"}}}}}}};
    m.functions["flow"] = {.name = "Flow", .demand = {.set = {{"handle", "OPEN"}}}, .modes = {{"line", {.rank = 1, .when = "line"}}}};
    m.functions["stop"] = {.name = "Stop the flow", .demand = {.set = {{"handle", "SHUT"}}}, .modes = {{"shut", {.rank = 1, .when = at("valve", "closed")}}}};
    const auto changed = [&](const std::string& position) {
        m.dispatch["valve_item"] = item("valve");
        if (!position.empty()) m.dispatch["valve_item"].units.begin()->second.secured = {{"valve", position}};
        std::vector<std::string> ids;
        const DispatchTable t = dispatch_table(Network(m));
        for (const Change& c : row(t, "valve_item").units.front().changes) ids.push_back(c.function);
        return ids;
    };
    CHECK(changed("open") == std::vector<std::string>{"stop"});    // it passes all the same
    CHECK(changed("closed") == std::vector<std::string>{"flow"});
    CHECK(changed("") == std::vector<std::string>{"flow"});        // merely lost, it blocks: failed is not deferred
}

TEST_CASE("a condition is met, met only if something is set, not met, or not decidable", "[study][dispatch]") {
    Model m = aircraft();
    m.elements["pack"] = {.kind = Kind::controller, .failures = {{"standby_only", {}}}};
    m.elements["extra"] = {.kind = Kind::battery, .fitted = false};
    m.dispatch["a"] = item("radio", {"bus", given("apu_running"), not_("bus"), "extra", "pack", not_("extra")});
    State state = running_state(Network(m));
    state.fail("pack", "standby_only");
    const DispatchTable t = dispatch_table(state);
    const std::vector<Provided>& p = row(t, "a").units.front().provided;
    CHECK(p[0] == Provided{"Bus supplied", Met::met, ""});
    CHECK(p[1] == Provided{"apu running", Met::if_set, "with apu running true"});
    CHECK(p[2].met == Met::not_met);
    CHECK(p[3] == Provided{"extra supplied", Met::not_decidable, "extra not fitted"});
    CHECK(p[4] == Provided{"pack supplied", Met::not_decidable, "pack supplied, but with the failure standby only"});  // degraded is not normal
    CHECK(p[5].met == Met::not_decidable);  // nor does the opposite of what is not said count
    const std::string sheet = text(t);
    CHECK(sheet.find("? not decidable") != std::string::npos);
}

TEST_CASE("a level that is unknown or not fitted decides nothing", "[study][dispatch]") {
    Model m = samples::chatter();
    m.elements["extra"] = {.kind = Kind::battery, .fitted = false};
    m.functions["option"] = {.modes = {{"extra", {.rank = 1, .when = "extra"}}}};
    m.elements["lamp"] = {.kind = Kind::light};
    m.dispatch["a"] = {.name = "a", .category = "C", .installed = 1, .required = 0, .units = {{"unit", {.elements = {"lamp"}}}},
                       .provided = {Condition(Condition::Op::level, "talk", "normal"), not_(Condition(Condition::Op::level, "talk", "normal")), Condition(Condition::Op::level, "option", "degraded")}};
    State state = running_state(Network(m));
    state.fail("gen");
    const DispatchTable t = dispatch_table(state);
    for (const Provided& p : t.rows.front().units.front().provided) CHECK(p.met == Met::not_decidable);
}

TEST_CASE("one deferral breaks another's condition; degraded is not normal", "[study][dispatch]") {
    Model m = aircraft();
    m.dispatch["generator"] = item("gen_l");
    m.dispatch["radio_item"] = item("radio", {Condition(Condition::Op::level, "power", "normal")});
    m.dispatch["receiver_item"] = item("receiver", {Condition(Condition::Op::level, "power", "degraded")});
    const DispatchTable t = dispatch_table(Network(m));
    CHECK(has(t, Conflict::Why::condition, "radio_item", "generator"));
    CHECK_FALSE(has(t, Conflict::Why::condition, "receiver_item", "generator"));
    const auto it = std::ranges::find(t.conflicts, Conflict::Why::condition, &Conflict::why);
    CHECK(it->text == "Asks for Power normal: Power degraded.");
    CHECK(t.pairs == 3);
    CHECK(t.pairs_examined == 3);
}

TEST_CASE("must run and must not run cannot be had at once", "[study][dispatch]") {
    Model m = aircraft();
    m.dispatch["a"] = item("gen_l", {given("apu_running")});
    m.dispatch["b"] = item("radio", {not_(given("apu_running"))});
    const DispatchTable t = dispatch_table(Network(m));
    CHECK(has(t, Conflict::Why::contradiction, "a", "b"));
    CHECK_FALSE(has(t, Conflict::Why::condition, "a", "b"));
}

TEST_CASE("two positions for one handle are a contradiction", "[study][dispatch]") {
    Model m = aircraft();
    m.dispatch["a"] = item("gen_l");
    m.dispatch["a"].units["unit"].secured = {{"gen_switch", "OFF"}};
    m.dispatch["b"] = item("radio");
    m.dispatch["b"].units["unit"].secured = {{"gen_switch", "ON"}};
    const DispatchTable t = dispatch_table(Network(m));
    REQUIRE(has(t, Conflict::Why::contradiction, "a", "b"));
    CHECK(t.conflicts.front().text == "gen_switch is secured at OFF for the one and at ON for the other.");
}

TEST_CASE("two deferrals that take a function together are named with its severity", "[study][dispatch]") {
    Model m = aircraft();
    m.dispatch["a"] = item("gen_l");
    m.dispatch["b"] = item("gen_r");
    const DispatchTable t = dispatch_table(Network(m));
    REQUIRE(has(t, Conflict::Why::together, "a", "b"));
    const auto it = std::ranges::find(t.conflicts, Conflict::Why::together, &Conflict::why);
    CHECK(it->severity == Severity::catastrophic);
    CHECK(it->text.starts_with("Power lost (catastrophic)"));
}

TEST_CASE("the same symptom may hide a breaker that takes more", "[study][dispatch]") {
    Model m = aircraft();
    m.dispatch["radio_item"] = item("radio");
    m.dispatch["generator"] = item("gen_l");
    const DispatchTable t = dispatch_table(Network(m));
    const std::vector<Hidden>& radio = row(t, "radio_item").units.front().hidden;
    REQUIRE(radio.size() == 3);
    CHECK(radio[0].cause.id == "bus");  // the only light is on the dead bus, and out as it should be
    CHECK(radio[0].cause.worst == Severity::catastrophic);
    CHECK(radio[2].cause.id == "cb_radio");
    CHECK(radio[2].cause.changes == std::vector<Change>{{"navigate", Level::normal, Level::lost, "receiver", "", "receiver", ""}});
    CHECK(radio[2].elements == std::vector<std::string>{"receiver"});
    for (const Hidden& h : row(t, "generator").units.front().hidden) CHECK(h.cause.id != "bus");  // there the light is lit
}

TEST_CASE("what cannot be taken out or held is said", "[study][dispatch]") {
    Model m = aircraft();
    m.elements["radio"].fallible = false;
    m.dispatch["a"] = item("radio");
    m.dispatch["b"] = {.name = "Placards", .category = "D", .installed = 1, .required = 0};
    const DispatchTable t = dispatch_table(Network(m));
    CHECK(row(t, "a").units.front().not_known.front() == "radio cannot be taken out: the model gives it no loss.");
    CHECK(row(t, "b").units.front().not_known.front() == "The model does not say which elements this item is: what it takes away is not known.");
}

TEST_CASE("the list comes in the order of chapters and of its own columns", "[study][dispatch]") {
    Model m = aircraft();
    m.dispatch["a"] = item("radio");
    m.dispatch["a"].ata = "34-10-01";
    m.dispatch["b"] = item("gen_l", {"bus"});
    m.dispatch["b"].ata = "24-30-01";
    m.dispatch["b"].maintenance = {"The switch is collared"};
    m.dispatch["b"].operational = {"(O) By day"};
    m.dispatch["b"].remarks = {"Once"};
    const DispatchTable t = dispatch_table(Network(m));
    CHECK(t.rows[0].id == "b");
    const Table wide = table(t);
    std::vector<std::string> names;
    for (const Column& c : wide.columns) names.push_back(c.name);
    names.resize(5);
    CHECK(names == std::vector<std::string>{"Item", "Category", "Number installed", "Number required for dispatch", "Remarks or exceptions"});
    CHECK(wide.rows[0][0] == Cell("24-30-01 gen_l"));
    CHECK(wide.rows[0][4] == Cell("(M) The switch is collared.\n(O) By day.\nProvided Bus supplied.\nOnce."));
    CHECK(to_html(tables(t), "List").find("approved flight manual") != std::string::npos);
}

TEST_CASE("no sheet says that an aircraft is safe or may go", "[study][dispatch]") {
    Model m = aircraft();
    m.dispatch["a"] = item("radio", {"bus"});
    const std::string sheet = text(dispatch_table(Network(m)));
    for (const char* word : {" legal", " safe", "permitted", "airworthy", "approved for"}) CHECK(sheet.find(word) == std::string::npos);
    CHECK(sheet.find("It does not say that the aircraft may go.") != std::string::npos);
}

TEST_CASE("a budget that runs out leaves things out and says so", "[study][dispatch]") {
    Model m = aircraft();
    m.dispatch["a"] = item("gen_l");
    m.dispatch["b"] = item("gen_r");
    const DispatchTable t = dispatch_table(Network(m), {.most_settles = 3});
    CHECK_FALSE(row(t, "a").units.front().exposed_examined);
    CHECK(t.pairs_examined == 0);
    const std::string sheet = text(t);
    CHECK(sheet.find("Incomplete: of 2 units the next failures were not examined") != std::string::npos);
    CHECK(sheet.find("0 pairs of units examined of 1. Incomplete") != std::string::npos);
}
