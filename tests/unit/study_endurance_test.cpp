#include "catch.hpp"

#include <algorithm>
#include <cmath>

#include <fedfrom/study/endurance.hpp>

#include "load_samples.hpp"

using namespace fedfrom;
using samples::flat;

namespace {

const EnduranceOptions worked{.condition = "cruise", .before = "before", .landing = "landing", .shed_after_min = 5, .landing_min = 10, .derating = 0.75, .charge = 1, .required_min = 30};

Endurance endurance_of(const Model& m, const EnduranceOptions& options, const std::vector<std::string>& lost = {}) {
    State state = running_state(Network(m));
    for (const std::string& id : lost) state.fail(id);
    return endurance(state, options);
}

const BatteryPhase& phase(const BatteryEndurance& b, BatteryPhase::What what) {
    const auto found = std::ranges::find(b.phases, what, &BatteryPhase::what);
    REQUIRE(found != b.phases.end());
    return *found;
}

}  // namespace

TEST_CASE("the worked example: 25.8 minutes of cruise, 40.8 in all", "[study][endurance]") {
    // Two AML STC installation manuals for part 23 aircraft work it out alike: 190-02246-10 Rev 11 p. 3-38, 190-01007-A3 Rev 4
    // p. 3-45 Fig 3-19. 35 Ah derated to 75 percent; 43.5 A for 5 min, 34.0 A, 48.1 A for 10 min.
    const Endurance e = endurance_of(samples::alternator_lost(), worked);
    REQUIRE(e.batteries.size() == 1);
    const BatteryEndurance& b = e.batteries[0];
    CHECK(b.usable_amp_hours == Approx(26.25));
    CHECK(phase(b, BatteryPhase::What::after_shedding).minutes.low == Approx(25.7794).margin(5e-5));
    CHECK(b.minutes.low == Approx(40.7794).margin(5e-5));
    CHECK(b.minutes.known());
    CHECK(b.passed == true);
    CHECK(b.reserve_kept == true);
    CHECK(flat(text(e)).find("40.8 min; 30 min required: pass") != std::string::npos);
    EnduranceOptions better = worked;
    better.derating = 0.8;  // computed
    CHECK(endurance_of(samples::alternator_lost(), better).batteries[0].minutes.low == Approx(43.868).margin(5e-4));
    better.required_min = 44;
    CHECK(endurance_of(samples::alternator_lost(), better).batteries[0].passed == false);
}

TEST_CASE("without derating or charge no minimum is passed", "[study][endurance]") {
    for (const bool derating : {true, false}) {
        EnduranceOptions o = worked;
        (derating ? o.derating : o.charge).reset();
        const Endurance e = endurance_of(samples::alternator_lost(), o);
        CHECK_FALSE(e.batteries[0].minutes.low);
        CHECK(e.batteries[0].minutes.high);
        CHECK_FALSE(e.batteries[0].passed);
        CHECK(flat(text(e)).find("30 min required: not decided") != std::string::npos);
        CHECK(e.missing.size() == 1);
        o.required_min = 500;
        CHECK(endurance_of(samples::alternator_lost(), o).batteries[0].passed == false);
    }
}

TEST_CASE("a battery that cannot hold the landing reserve says so", "[study][endurance]") {
    EnduranceOptions o = worked;
    o.charge = 0.2;  // 315 ampere-minutes: 217.5 before shedding, then 97.5 of 481
    const BatteryEndurance b = endurance_of(samples::alternator_lost(), o).batteries[0];
    CHECK(b.reserve_kept == false);
    CHECK(b.passed == false);
    CHECK(b.minutes.low == Approx(5 + 97.5 / 48.1));
    o.charge = 0.1;  // 157.5: not even until loads are shed
    CHECK(endurance_of(samples::alternator_lost(), o).batteries[0].minutes.low == Approx(157.5 / 43.5));
}

TEST_CASE("Peukert's law is on the battery's sheet by name", "[study][endurance]") {
    EnduranceOptions o{.condition = "cruise", .derating = 1, .charge = 1, .discharge = {Discharge::Law::peukert_rated_hours, 1.2, 20}};
    Endurance e = endurance_of(samples::alternator_lost(), o);
    CHECK(e.batteries[0].minutes.low == Approx(60 * discharge_hours(35, 34, o.discharge)));
    CHECK(flat(text(e)).find("capacity at the 20-hour rate, k 1.2") != std::string::npos);
    CHECK(std::ranges::any_of(e.assumptions, [](const std::string& text) { return text.ends_with("at a lower current no more ampere-hours than that."); }));
    o.discharge = {Discharge::Law::peukert_one_ampere, 1.2};
    e = endurance_of(samples::alternator_lost(), o);
    CHECK(e.batteries[0].minutes.low == Approx(60 * 35 / std::pow(34, 1.2)));
    CHECK(flat(text(e)).find("capacity at one ampere, k 1.2") != std::string::npos);
}

TEST_CASE("shedding buys what the load takes, the largest first, off by what the crew reaches", "[study][endurance]") {
    Model m = samples::alternator_lost();
    m.elements["light"] = samples::load({{.from = "bus"}}, Kind::light);
    m.elements["light"].loads = {{"other", {.amps = 2}}};
    m.elements["radio"] = samples::load({{.from = "bus", .via = {{"cb_avionics"}}}});
    m.elements["radio"].loads = {{"other", {.amps = 5}}};
    const EnduranceOptions o{.condition = "cruise", .derating = 0.8, .charge = 1};
    const BatteryEndurance b = endurance_of(m, o).batteries[0];
    REQUIRE(b.sheds.size() == 3);
    CHECK(b.sheds[0].id == "avionics");
    CHECK(b.sheds[1].id == "radio");
    CHECK(b.sheds[1].amps.low == Approx(5));
    CHECK(b.sheds[1].off_by == "cb_avionics");
    CHECK(b.sheds[1].also_off == std::vector<std::string>{"avionics"});
    CHECK(b.sheds[2].off_by.empty());
    const double usable = 35 * 0.8 * 60;
    CHECK(b.sheds[1].bought_min.low == Approx(usable / 36 - usable / 41));
    CHECK(b.sheds[1].total_min.low == Approx(usable / 2));
    EnduranceOptions shed = o;
    shed.shed = {"radio"};
    shed.shed_after_min = 0;
    CHECK(endurance_of(m, shed).batteries[0].minutes.low == Approx(usable / 36));
    CHECK(endurance_of(m, shed).batteries[0].sheds.size() == 2);
}

TEST_CASE("a load that is not known leaves the time open downwards", "[study][endurance]") {
    Model m = samples::alternator_lost();
    m.elements["radio"] = samples::load({{.from = "bus"}});
    const BatteryEndurance b = endurance_of(m, worked).batteries[0];
    CHECK_FALSE(b.minutes.low);
    CHECK(b.minutes.high == Approx(40.7794).margin(5e-5));
    CHECK_FALSE(b.passed);
}

TEST_CASE("an intermittent load takes its duty once in each phase", "[study][endurance]") {
    Model m = samples::alternator_lost();
    m.elements["gear"] = samples::load({{.from = "bus"}}, Kind::motor);
    m.elements["gear"].loads = {{"landing", {.amps = 60, .duty_s = 30}}, {"other", {.amps = 0}}};
    const BatteryEndurance b = endurance_of(m, worked).batteries[0];
    CHECK(phase(b, BatteryPhase::What::landing).once_amp_minutes.low == Approx(30));
    CHECK(b.minutes.low == Approx(40.7794 - 30 / 34.0).margin(5e-5));
}

TEST_CASE("a battery behind a running generator is not in use, and one whose charger is dead says so", "[study][endurance]") {
    Model m = samples::loaded();
    m.elements["battery"].store->charger = "charger";
    m.elements["charger"] = samples::drawing(samples::load({{.from = "main_l"}}, Kind::charger), "cruise", {.amps = 2});
    const EnduranceOptions o{.condition = "cruise", .derating = 0.8, .charge = 0.9};
    CHECK_FALSE(endurance_of(m, o).batteries[0].in_use);
    const Endurance e = endurance_of(m, o, {"gen_l", "gen_r"});
    CHECK(e.batteries[0].in_use);
    CHECK(e.batteries[0].charger_supplied == false);
    CHECK(e.batteries[0].minutes.low == Approx(20 * 0.8 * 0.9 / 5 * 60));
    CHECK(flat(text(e)).find("charger has no supply, so nothing is put back") != std::string::npos);
}

TEST_CASE("an accumulator's applications are counted, slow and rapid", "[study][endurance]") {
    Model m{.name = "Stores"};
    m.elements["accumulator"] = {.kind = Kind::accumulator, .store = Store{.litres = 1, .precharge_psi = 700, .max_psi = 1500, .min_psi = 800, .litres_per_application = 0.05, .applications = 6}};
    m.elements["bottle"] = {.kind = Kind::bottle, .store = Store{.litres = 2, .max_psi = 3000, .min_psi = 1000}};
    m.elements["brake"] = {.kind = Kind::actuator, .inputs = {{"hydraulic", {{.from = "accumulator"}}}}};
    // 14 CFR 25.735(h): at least six full applications of the brakes.
    const Endurance e = endurance_of(m, {.required_applications = 6});
    REQUIRE(e.gas.size() == 2);
    const double p0 = 714.696, p1 = 814.696, p2 = 1514.696;
    CHECK(e.gas[0].slow_litres == Approx(p0 / p1 - p0 / p2));
    CHECK(e.gas[0].rapid_litres == Approx(std::pow(p0 / p1, 1 / 1.4) - std::pow(p0 / p2, 1 / 1.4)));
    CHECK(e.gas[0].slow_applications == 8);
    CHECK(e.gas[0].rapid_applications == 6);
    CHECK(e.gas[0].stated == 6);
    CHECK(e.gas[0].passed == true);
    CHECK(e.gas[1].slow_litres == Approx(2 * (3014.696 / 1014.696 - 1)));
    CHECK_FALSE(e.gas[1].slow_applications);
    CHECK(e.gas[1].missing == "not given: litres_per_application");
    CHECK_FALSE(e.gas[1].passed);
    State state = running_state(Network(m));
    state.spend(state.network().element("accumulator"));
    CHECK(endurance(state, {.store = "accumulator"}).gas[0].slow_litres == 0.0);
}

TEST_CASE("options out of range are refused", "[study][endurance]") {
    const State state = running_state(Network(samples::alternator_lost()));
    CHECK_THROWS_AS(endurance(state, {}), UnknownId);
    CHECK_THROWS_AS(endurance(state, {.condition = "cruise", .derating = 80}), NotPossible);
    CHECK_THROWS_AS(endurance(state, {.condition = "cruise", .charge = 0}), NotPossible);
    CHECK_THROWS_AS(endurance(state, {.condition = "cruise", .before = "before"}), NotPossible);
    CHECK_THROWS_AS(endurance(state, {.condition = "cruise", .landing = "landing"}), NotPossible);
    CHECK_THROWS_AS(endurance(state, {.store = "bus", .condition = "cruise"}), NotPossible);
    CHECK_THROWS_AS(endurance(state, {.store = "batery", .condition = "cruise"}), UnknownId);
    CHECK_THROWS_AS(endurance(state, {.condition = "cruise", .shed_after_min = 1, .shed = {"bus"}}), NotPossible);
}
