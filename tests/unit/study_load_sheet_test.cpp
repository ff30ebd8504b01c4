#include "catch.hpp"

#include <algorithm>
#include <cmath>

#include <fedfrom/study/load_sheet.hpp>

#include "load_samples.hpp"

using namespace fedfrom;
using samples::flat;

namespace {

LoadSheet sheet_of(const Model& m, const std::vector<std::string>& lost = {}) {
    State state = running_state(Network(m));
    for (const std::string& id : lost) state.fail(id);
    return load_sheet(state, "cruise");
}

double sure(const Figure& f) {
    REQUIRE(f.low);
    REQUIRE(f.high);
    CHECK(*f.low == Approx(*f.high));
    return *f.low;
}

double amps(const LoadSheet& s, const std::string& id) {
    REQUIRE(s.line(id));
    return sure(s.line(id)->continuous.amps);
}

bool found(const LoadSheet& s, LoadFinding::What what, const std::string& id) {
    return std::ranges::any_of(s.findings, [&](const LoadFinding& f) { return f.what == what && f.id == id; });
}

}  // namespace

TEST_CASE("an inverter takes the watts it gives over its efficiency", "[study][load]") {
    const LoadSheet s = sheet_of(samples::loaded());
    CHECK(amps(s, "inverter") == Approx(100.0 / 115));
    CHECK(sure(s.line("inverter")->continuous.watts) == Approx(60));
    CHECK(sure(s.line("inverter")->continuous.volt_amperes) == Approx(100));
    CHECK(amps(s, "cb_inverter") == Approx(60 / 0.8 / 28));
    CHECK(sure(s.lost_watts) == Approx(15));
}

TEST_CASE("parallel generators share by rating, and the tie carries the difference", "[study][load]") {
    const LoadSheet s = sheet_of(samples::loaded());
    const double left = 75.0 / 28, right = 60 + 5, all = left + right;
    CHECK(amps(s, "gen_l") == Approx(all * 3 / 4));
    CHECK(amps(s, "gen_r") == Approx(all / 4));
    CHECK(amps(s, "tie_breaker") == Approx(all * 3 / 4 - left));
    CHECK(amps(s, "main_r") == Approx(right));
    CHECK(sure(s.delivered_watts) == Approx(sure(s.consumed_watts) + sure(s.lost_watts)));
    CHECK(amps(s, "battery") == 0);
}

TEST_CASE("with one source out the other carries all", "[study][load]") {
    const LoadSheet s = sheet_of(samples::loaded());
    const auto out = std::ranges::find(s.one_out, "gen_l", &SourceOut::id);
    REQUIRE(out != s.one_out.end());
    const auto right = std::ranges::find(out->lines, "gen_r", &LoadLine::id);
    REQUIRE(right != out->lines.end());
    CHECK(sure(right->continuous.amps) == Approx(75.0 / 28 + 65));
    CHECK(sure(right->margin) == Approx(100 - 65 - 75.0 / 28));
    CHECK(right->overload == Overload::no);
    const LoadSheet lost = sheet_of(samples::loaded(), {"gen_l"});
    CHECK(amps(lost, "gen_r") == Approx(sure(right->continuous.amps)));
}

TEST_CASE("with one source out it says which loads are then without supply", "[study][load]") {
    Model m = samples::loaded();
    m.elements["shed_relay"] = {.kind = Kind::contactor, .goes = {{"open", not_(all_of({"gen_l", "gen_r"}))}}};
    m.elements["galley"] = samples::drawing(samples::load({{.from = "main_r", .via = {{"shed_relay"}}}}), "cruise", {.amps = 20});
    const LoadSheet s = sheet_of(m);
    const auto out = [&](const std::string& id) {
        std::vector<std::string> ids;
        for (const WithoutSupply& w : std::ranges::find(s.one_out, id, &SourceOut::id)->without_supply) ids.push_back(w.id);
        return ids;
    };
    CHECK(out("gen_l") == std::vector<std::string>{"galley"});  // the aircraft sheds it
    CHECK(out("inverter") == std::vector<std::string>{"gyro"});
    CHECK(flat(text(s)).find("Without supply") != std::string::npos);
}

TEST_CASE("what is shed by hand draws nothing, and the sheet says so", "[study][load]") {
    const LoadSheet s = load_sheet(Network(samples::loaded()), "cruise", {.shed = {"heater"}});
    CHECK(sure(s.line("gen_l")->continuous.amps) + sure(s.line("gen_r")->continuous.amps) == Approx(5 + 75.0 / 28));
    CHECK(s.shed == std::vector<std::string>{"heater"});
    CHECK(s.assumptions.back() == "Shed by hand, so that its load is off and nothing else changes: heater.");
    for (const SourceOut& out : s.one_out)
        for (const LoadLine& line : out.lines)
            if (line.id == "gen_r" && out.id == "gen_l") CHECK(line.continuous.amps.low == Approx(5 + 75.0 / 28));
    CHECK_THROWS_WITH(load_sheet(Network(samples::loaded()), "cruise", {.shed = {"main_l"}}), "`main_l` has no load that could be shed.");
    CHECK_THROWS_AS(load_sheet(Network(samples::loaded()), "cruise", {.shed = {"heeter"}}), UnknownId);
}

TEST_CASE("an intermittent load counts for its duty, and its inrush on top", "[study][load]") {
    const LoadSheet s = sheet_of(samples::loaded());
    const LoadLine& pump = *s.line("pump");
    CHECK(sure(pump.continuous.amps) == 0);
    CHECK(sure(pump.five_minutes.amps) == Approx(3));
    CHECK(sure(pump.five_seconds.amps) == Approx(30));
    CHECK(sure(pump.inrush_amps) == Approx(100));
    Model m = samples::loaded();
    m.elements["pump"].loads["cruise"].duty_s = 301;  // longer than five minutes
    CHECK(amps(sheet_of(m), "pump") == Approx(30));
}

TEST_CASE("a load without figures makes everything that feeds it at least so much", "[study][load]") {
    Model m = samples::loaded();
    m.elements["radio"].loads = {{"landing", {.amps = 5}}};
    const LoadSheet s = sheet_of(m);
    CHECK_FALSE(s.line("radio")->continuous.amps.low);
    CHECK(text(s.line("radio")->continuous.amps) == "unknown");
    CHECK(s.line("main_r")->continuous.amps.low == Approx(60));
    CHECK_FALSE(s.line("main_r")->continuous.amps.high);
    CHECK(text(s.line("main_r")->continuous.amps) == "at least 60");
    CHECK(s.line("gen_r")->overload == Overload::possible);
    CHECK(found(s, LoadFinding::What::possible_overload, "gen_r"));
    REQUIRE(s.missing.size() == 1);
    CHECK(s.missing[0] == "No load is given in this condition for radio; what they draw comes on top.");
    m.elements["radio"].loads["other"] = {.amps = 1};
    CHECK(sheet_of(m).missing.empty());
    CHECK(amps(sheet_of(m), "radio") == 1);
}

TEST_CASE("an inverter without efficiency takes at least what it gives", "[study][load]") {
    Model m = samples::loaded();
    m.elements["inverter"].rating.erase("efficiency");
    const LoadSheet s = sheet_of(m);
    CHECK(s.line("cb_inverter")->continuous.amps.low == Approx(60.0 / 28));
    CHECK_FALSE(s.line("cb_inverter")->continuous.amps.high);
    CHECK_FALSE(s.lost_watts.high);
}

TEST_CASE("sources without a rating share in a way nobody knows", "[study][load]") {
    Model m = samples::loaded();
    m.elements["gen_l"].rating.erase("amps");
    const LoadSheet s = sheet_of(m);
    CHECK_FALSE(s.line("gen_r")->continuous.amps.low.value_or(0) > 0);
    CHECK(s.line("gen_r")->continuous.amps.high == Approx(65 + 75.0 / 28));
    CHECK(s.line("gen_r")->overload == Overload::no);  // it could carry all of it
    CHECK(flat(text(s)).find("No rating is given for gen_l") != std::string::npos);
}

TEST_CASE("a battery beside a generator carries nothing", "[study][load]") {
    Model m = samples::loaded();
    m.elements["standby"].inputs["power"] = {Port::Join::parallel, {{.from = "main_r"}, {.from = "battery"}}};
    const LoadSheet s = sheet_of(m);
    CHECK(amps(s, "battery") == 0);
    CHECK(flat(text(s)).find("Beside another source a battery carries no load: battery.") != std::string::npos);
    CHECK(amps(sheet_of(m, {"gen_l", "gen_r"}), "battery") > 0);
}

TEST_CASE("amperes without a voltage add up as amperes, and turn to nothing else", "[study][load]") {
    Model m = samples::loaded();
    for (const char* gen : {"gen_l", "gen_r"}) m.elements[gen].rating.erase("volts");
    m.elements.erase("gyro");
    m.elements.erase("inverter");
    const LoadSheet s = sheet_of(m);
    CHECK(amps(s, "gen_l") == Approx(65 * 0.75));
    CHECK_FALSE(s.line("gen_l")->continuous.watts.high);
    m.elements["heater"].loads["cruise"] = {.watts = 500};
    CHECK_FALSE(sheet_of(m).line("main_r")->continuous.amps.high);
    CHECK(flat(text(sheet_of(m))).find("No voltage is known at heater") != std::string::npos);
}

TEST_CASE("what never comes to rest gives a range", "[study][load]") {
    Model m = samples::chatter();
    m.elements["transfer"].loads = {{"cruise", {.amps = 0}}};
    m.elements["gen"].rating = {{"volts", 28}, {"amps", 10}};
    m.elements["battery"].rating = {{"volts", 24}};
    m.elements["radio"].loads = {{"cruise", {.amps = 3}}};
    const LoadSheet s = sheet_of(m, {"gen"});
    CHECK(s.line("battery")->continuous.amps.low == 0.0);
    CHECK(s.line("battery")->continuous.amps.high == Approx(3));
    CHECK(text(s.line("battery")->continuous.amps) == "0 to 3");
    CHECK(s.missing[0] == "Something never comes to rest; figures cover all it may be.");
}

TEST_CASE("overload, the 80 percent rule of thumb and the wire chart are findings", "[study][load]") {
    Model m = samples::loaded();
    m.elements["heater"].loads["cruise"].amps = 300;
    LoadSheet s = sheet_of(m);
    CHECK(found(s, LoadFinding::What::overload, "tie_breaker"));
    CHECK_FALSE(found(s, LoadFinding::What::overload, "gen_l"));
    const auto finding = std::ranges::find(s.findings, LoadFinding::What::wire, &LoadFinding::what);
    REQUIRE(finding != s.findings.end());
    CHECK(finding->text == "cb_inverter: rated 10 A; AC 43.13-1B Table 11-3 has 7.5 A before a wire of gauge 20.");
    m.elements["heater"].loads["cruise"].amps = 330;  // 82 percent of both
    s = sheet_of(m);
    CHECK(found(s, LoadFinding::What::eighty_percent, "gen_l"));
    CHECK(found(s, LoadFinding::What::eighty_percent, "gen_r"));
    m.elements["cb_inverter"].wire->feet = 400;  // .00988 x 400 x 2.7 is more than a volt
    CHECK(found(sheet_of(m), LoadFinding::What::voltage_drop, "cb_inverter"));
}

TEST_CASE("buses tied in a closed ring divide the load in a way nobody knows", "[study][load]") {
    Model m = samples::loaded();
    m.ties["second"] = {.between = {"main_l", "main_r"}, .via = {{"spare"}}};
    m.elements["spare"] = {.kind = Kind::breaker};
    for (const char* side : {"main_l", "main_r"}) m.elements[side].inputs["power"].feeds.push_back({.tie = "second"});
    const LoadSheet s = sheet_of(m);
    CHECK(s.line("tie_breaker")->continuous.amps.low == 0.0);
    CHECK(s.line("tie_breaker")->continuous.amps.high == Approx(65 + 75.0 / 28));
    CHECK(amps(s, "gen_l") == Approx((65 + 75.0 / 28) * 0.75));
    CHECK(s.line("main_r")->continuous.amps.low == Approx(65));
}

TEST_CASE("a generator that excites itself is the end of its line", "[study][load]") {
    Model m{.name = "Self"};
    m.elements["gen"] = {.kind = Kind::generator, .inputs = {{"field", {{.from = "bus"}}}}, .holds_in = true, .rating = {{"volts", 28}, {"amps", 50}}};
    m.elements["bus"] = samples::bus({{.from = "gen"}});
    m.elements["radio"] = samples::drawing(samples::load({{.from = "bus"}}), "cruise", {.amps = 3});
    const LoadSheet s = sheet_of(m);
    CHECK(amps(s, "gen") == Approx(3));
    CHECK(s.line("gen")->role == LoadRole::source);
}

TEST_CASE("conditions are named, and a wrong one is answered with the nearest", "[study][load]") {
    const Network net(samples::loaded());
    CHECK(load_conditions(net) == std::vector<std::string>{"cruise"});
    CHECK_THROWS_WITH(load_sheet(net, "cruize"), "There is no operating condition `cruize`. Did you mean `cruise`? The model names cruise.");
    CHECK_THROWS_AS(load_sheet(Network(samples::two_bus()), "cruise"), NotPossible);
}

TEST_CASE("figures are rounded for a sheet", "[study][load]") {
    CHECK(text(Figure{}) == "unknown");
    CHECK(text(Figure{1.23456, 1.23456}) == "1.23");
    CHECK(text(Figure{12.3456, 30}) == "12.3 to 30");
    CHECK(text(Figure{1234.56, std::nullopt}) == "at least 1235");
    CHECK(text(Figure{std::nullopt, 40.7794}) == "at most 40.8");
}
