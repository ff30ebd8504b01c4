#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/power_balance.hpp>

#include "load_samples.hpp"

using namespace fedfrom;
using samples::drawing;
using samples::flat;

namespace {

Element generator(double amps) { return {.kind = Kind::generator, .rating = {{"amps", amps}, {"volts", 28}}}; }

Element parallel(std::vector<Feed> feeds) { return {.kind = Kind::bus, .inputs = {{"power", {Port::Join::parallel, std::move(feeds)}}}}; }

Element drawing_from(const std::string& bus, double amps) { return drawing(samples::load({{.from = bus}}), "cruise", {.amps = amps}); }

/// One generator of 100 amperes, and a load on its bus.
Model one(double amps) {
    Model m{.name = "One"};
    m.elements["gen"] = generator(100);
    m.elements["bus"] = samples::bus({{.from = "gen"}});
    m.elements["heater"] = drawing_from("bus", amps);
    m.functions["heat"] = {.modes = {{"heater", {.rank = 1, .when = "heater"}}}};
    return m;
}

/// A pump whose relay holds itself in from what it feeds.
void add_held_pump(Model& m, double amps) {
    m.elements["start"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit, .passes_in = {"ON"}};
    m.elements["pump_relay"] = {.kind = Kind::relay, .inputs = {{"control", {{{.from = "bus", .via = {{"start"}}}, {.from = "pump_feeder"}}}}}, .holds_in = true};
    m.elements["pump_relay"].loads = {{"cruise", {.amps = 0}}};
    m.elements["pump_feeder"] = {.kind = Kind::feeder, .inputs = {{"power", {{.from = "bus", .via = {{"pump_relay"}}}}}}};
    m.elements["pump"] = drawing_from("pump_feeder", amps);
}

/// Each generator on its own bus; both on an essential bus through diodes.
Model essential(double left, double right, double both) {
    Model m{.name = "Essential"};
    auto& e = m.elements;
    e["diode_l"] = e["diode_r"] = {.kind = Kind::diode};
    for (const std::string side : {"l", "r"}) {
        e["gen_" + side] = generator(100);
        e["main_" + side] = samples::bus({{.from = "gen_" + side}});
        e["load_" + side] = drawing_from("main_" + side, side == "l" ? left : right);
    }
    e["essential"] = parallel({{.from = "main_l", .via = {{"diode_l"}}}, {.from = "main_r", .via = {{"diode_r"}}}});
    e["display"] = drawing_from("essential", both);
    return m;
}

PowerBalance balance_of(const Model& m, LoadWindow over = LoadWindow::continuous, double times_rating = 1) {
    return power_balance(Network(m), {.condition = "cruise", .over = over, .times_rating = times_rating});
}

using Ids = std::vector<std::string>;

/// The groups of a round.
std::vector<Ids> groups(const BalanceRound& round) {
    std::vector<Ids> list;
    for (const Overloading& o : round.overloaded) list.push_back(o.sources);
    return list;
}

}  // namespace

TEST_CASE("a source filled to its rating carries its load", "[study][balance]") {
    const PowerBalance b = balance_of(one(100));
    CHECK(b.rounds.empty());
    CHECK(b.decided);
    CHECK(b.difference.empty());
    CHECK(b.after.state() == b.before.state());
}

TEST_CASE("where the same load is on again the source stays off line until it is reset", "[study][balance]") {
    const PowerBalance b = balance_of(one(101));
    REQUIRE(b.rounds.size() == 1);
    CHECK(b.rounds[0].stays_off);
    CHECK(groups(b.rounds[0]) == std::vector<Ids>{{"gen"}});
    CHECK(b.rounds[0].overloaded[0].demand == Figure{101.0, 101.0});
    CHECK(b.rounds[0].overloaded[0].capacity == Figure{100.0, 100.0});
    CHECK(b.rounds[0].overloaded[0].unit == "amps");
    CHECK(b.after.status("gen") == Status::overloaded);
    CHECK(b.after.level("heat") == Level::lost);
    REQUIRE(b.difference.worse.size() == 1);
    CHECK(b.difference.worse[0].function == "heat");
    CHECK(b.decided);
    State state = b.after.state();
    CHECK(power_balance(state, {.condition = "cruise"}).rounds.empty());
    state.reset("gen");
    CHECK(settle(state).level("heat") == Level::normal);
}

TEST_CASE("what holds itself in drops out, and the source comes back without it", "[study][balance]") {
    Model m = one(50);
    add_held_pump(m, 60);
    const PowerBalance b = balance_of(m);
    REQUIRE(b.rounds.size() == 1);
    CHECK_FALSE(b.rounds[0].stays_off);
    CHECK(b.after.status("gen") == Status::supplied);
    CHECK(b.after.status("heater") == Status::supplied);
    CHECK(b.after.status("pump") == Status::unsupplied);
    CHECK(b.difference.worse.empty());
    CHECK(b.rounds[0].difference.worse.size() == 1);  // no heat meanwhile
    CHECK(b.decided);  // a relay drops out in hundredths of a second, a generator's protection acts in seconds
    CHECK(std::ranges::find(b.assumptions, "The answer hangs on what dropped out or moved while there was no voltage: pump_relay. Were voltage back before that, or not everywhere at once, other loads may be on.") != b.assumptions.end());
    CHECK(flat(text(balance_of(one(101)))).find("The answer hangs on") == std::string::npos);
}

TEST_CASE("what moved while there was no voltage, and stays so, is named", "[study][balance]") {
    Model m = one(50);
    m.elements["battery"] = {.kind = Kind::battery, .rating = {{"amps", 20}, {"volts", 28}}};
    m.elements["undervoltage_relay"] = {.kind = Kind::relay, .inputs = {{"control", {{{.from = "bus"}}}}}, .loads = {{"cruise", {.amps = 0}}}};
    m.elements["shed_contactor"] = {.kind = Kind::contactor, .inputs = {{"power", {{{.from = "battery", .via = {{"undervoltage_relay", {"open"}}}}}}}},
                                    .rest = "closed", .goes = {{"open", not_("bus")}}, .without = {{"power", "stays"}}, .loads = {{"cruise", {.amps = 1}}}};
    m.elements["galley"] = drawing(samples::load({{.from = "bus", .via = {{"shed_contactor"}}}}), "cruise", {.amps = 60});
    const PowerBalance b = balance_of(m);
    REQUIRE(b.rounds.size() == 1);
    CHECK_FALSE(b.rounds[0].stays_off);
    CHECK(b.after.status("galley") == Status::unsupplied);
    CHECK(std::ranges::any_of(b.assumptions, [](const std::string& text) { return text.starts_with("The answer hangs on what dropped out or moved while there was no voltage: shed_contactor."); }));
}

TEST_CASE("a generator that excites itself does not come back", "[study][balance]") {
    Model m = one(101);
    m.elements["gen"].inputs["field"] = {{{.from = "bus"}}};
    m.elements["gen"].holds_in = true;
    const PowerBalance b = balance_of(m);
    REQUIRE(b.rounds.size() == 1);
    CHECK_FALSE(b.rounds[0].stays_off);
    CHECK(b.after.status("gen") == Status::unsupplied);
}

TEST_CASE("one overloaded source takes the other with it through the tie", "[study][balance]") {
    Model m{.name = "Cascade"};
    auto& e = m.elements;
    e["tie"] = {.kind = Kind::contactor, .rest = "open", .goes = {{"closed", not_(all_of({"gen_l", "gen_r"}))}}};
    for (const std::string side : {"l", "r"}) {
        e["gen_" + side] = generator(100);
        e["main_" + side] = parallel({{.from = "gen_" + side}, {.tie = "main_tie"}});
        e["load_" + side] = drawing_from("main_" + side, side == "l" ? 110 : 50);
    }
    m.ties["main_tie"] = {.between = {"main_l", "main_r"}, .via = {{"tie"}}};
    const PowerBalance b = balance_of(m);
    REQUIRE(b.rounds.size() == 2);
    CHECK(groups(b.rounds[0]) == std::vector<Ids>{{"gen_l"}});
    CHECK(groups(b.rounds[1]) == std::vector<Ids>{{"gen_r"}});
    CHECK(b.rounds[1].overloaded[0].demand == Figure{160.0, 160.0});
    CHECK(b.rounds[0].stays_off);
    CHECK(b.rounds[1].stays_off);
    CHECK(b.after.status("main_l") == Status::unsupplied);
    CHECK(b.after.status("main_r") == Status::unsupplied);
}

TEST_CASE("parallel sources give together, and a battery that floats beside them with them, for longer than seconds as far as it can", "[study][balance]") {
    Model m = one(140);
    m.elements["gen_2"] = generator(25);
    m.elements["battery"] = {.kind = Kind::battery, .rating = {{"amps", 20}, {"volts", 28}}};
    m.elements["battery_bus"] = samples::bus({{.from = "battery"}});
    m.elements["bus"] = parallel({{.from = "gen"}, {.from = "gen_2"}, {.from = "battery_bus"}});
    CHECK(balance_of(m).rounds.empty());
    CHECK_FALSE(balance_of(m).decided);
    CHECK(balance_of(m, LoadWindow::five_seconds).decided);
    m.elements["battery"].rating["amps"] = 14;
    const PowerBalance b = balance_of(m);
    REQUIRE(b.rounds.size() == 1);
    CHECK(groups(b.rounds[0]) == std::vector<Ids>{{"battery", "gen", "gen_2"}});
    CHECK(b.rounds[0].overloaded[0].capacity == Figure{125.0, 139.0});
    m.elements["battery"].rating["volts"] = 24;  // then by volt-amperes
    CHECK(balance_of(m).rounds[0].overloaded[0].unit == "volt_amperes");
    CHECK(balance_of(m).rounds[0].overloaded[0].capacity == Figure{125.0 * 28, 125.0 * 28 + 14 * 24});
}

TEST_CASE("on a source rests what can come from no other: through diodes the other takes over", "[study][balance]") {
    CHECK(balance_of(essential(70, 20, 40)).decided);
    // The left one cannot carry its own bus: the right one does not help it, and is not dragged down.
    const PowerBalance left = balance_of(essential(110, 20, 40));
    REQUIRE(left.rounds.size() == 1);
    CHECK(groups(left.rounds[0]) == std::vector<Ids>{{"gen_l"}});
    CHECK(left.after.status("display") == Status::supplied);
    // Each carries its own bus, and both not the essential bus as well.
    const PowerBalance both = balance_of(essential(90, 90, 40));
    REQUIRE(both.rounds.size() == 1);
    CHECK(groups(both.rounds[0]) == std::vector<Ids>{{"gen_l", "gen_r"}});
}

TEST_CASE("a source above its rating as sources share by rating is possibly overloaded, and drops nothing", "[study][balance]") {
    // Each half of the essential bus: the left one carries 110 amperes, and 90 rest on it alone.
    const PowerBalance b = balance_of(essential(90, 20, 40));
    CHECK(b.rounds.empty());
    CHECK_FALSE(b.decided);
    REQUIRE(b.possible.size() == 1);
    CHECK(b.possible[0].sources == Ids{"gen_l"});
    CHECK(b.possible[0].demand == Figure{90.0, 110.0});
    CHECK(b.possible[0].capacity == Figure{100.0, 100.0});
    CHECK(balance_of(essential(90, 20, 40), LoadWindow::continuous, 1.1).decided);
    // What is overloaded together drops together; what its share is does not matter.
    CHECK(balance_of(essential(90, 90, 40)).possible.empty());
}

TEST_CASE("a source that a battery helps out for seconds carries its share of what both give", "[study][balance]") {
    Model m = one(110);
    m.elements["battery"] = {.kind = Kind::battery, .rating = {{"amps", 20}, {"volts", 24}}};
    m.elements["bus"] = parallel({{.from = "gen"}, {.from = "battery"}});
    CHECK(balance_of(m, LoadWindow::five_seconds).decided);
    CHECK(balance_of(m).possible.size() == 1);
}

TEST_CASE("sources that stand together two by two are added up together too", "[study][balance]") {
    Model m{.name = "Chain"};
    for (const char* gen : {"a", "b", "c", "d"}) m.elements[gen] = generator(100);
    for (const std::string pair : {"ab", "bc", "cd"}) {
        m.elements[pair] = parallel({{.from = pair.substr(0, 1)}, {.from = pair.substr(1)}});
        m.elements["load_" + pair] = drawing_from(pair, pair == "cd" ? 10 : 160);
    }
    const PowerBalance b = balance_of(m);
    REQUIRE_FALSE(b.rounds.empty());
    CHECK(groups(b.rounds[0]) == std::vector<Ids>{{"a", "b", "c"}});
    CHECK(b.rounds[0].overloaded[0].demand == Figure{320.0, 320.0});
}

TEST_CASE("an inverter is overloaded by what it gives, and takes nothing from its bus then", "[study][balance]") {
    Model m = one(50);
    m.elements["inverter"] = {.kind = Kind::inverter, .inputs = {{"power", {{{.from = "bus"}}}}}, .rating = {{"volts", 115}, {"volt_amperes", 250}, {"efficiency", 0.8}}};
    m.elements["gyro"] = drawing(samples::load({{.from = "inverter"}}), "cruise", {.volt_amperes = 300, .power_factor = 0.6});
    const PowerBalance b = balance_of(m);
    REQUIRE(b.rounds.size() == 1);
    CHECK(groups(b.rounds[0]) == std::vector<Ids>{{"inverter"}});
    CHECK(b.rounds[0].overloaded[0].unit == "volt_amperes");
    CHECK(b.rounds[0].overloaded[0].demand == Figure{300.0, 300.0});
    CHECK(b.after.status("heater") == Status::supplied);
    m.elements["inverter"].rating = {{"volts", 115}, {"watts", 200}, {"efficiency", 0.8}};  // 180 watts
    CHECK(balance_of(m).rounds.empty());
    m.elements["heater"].loads["cruise"].amps = 92.1;  // 180 over 0.8 is 8.04 amperes
    REQUIRE(balance_of(m).rounds.size() == 1);
    CHECK(groups(balance_of(m).rounds[0]) == std::vector<Ids>{{"gen"}});
}

TEST_CASE("what is not known drops nothing, and is said", "[study][balance]") {
    Model m = one(50);
    m.elements["radio"] = samples::load({{.from = "bus"}});  // says no load
    PowerBalance b = balance_of(m);
    CHECK(b.rounds.empty());
    CHECK_FALSE(b.decided);
    REQUIRE(b.possible.size() == 1);
    CHECK(b.possible[0].demand == Figure{50.0, std::nullopt});
    m.elements["heater"].loads["cruise"].amps = 101;  // enough without it
    b = balance_of(m);
    CHECK(b.rounds.size() == 1);
    CHECK(b.decided);
    m = one(50);
    m.elements["gen"].rating = {{"volts", 28}};
    b = balance_of(m);
    CHECK(b.rounds.empty());
    REQUIRE(b.possible.size() == 1);
    CHECK(b.possible[0].capacity == Figure{});
    CHECK(b.missing == std::vector<std::string>{"No rating is given for gen; what they can give is not known."});
}

TEST_CASE("a rating in amperes without volts, beside one in volt-amperes, is said to lack its volts", "[study][balance]") {
    Model m = one(50);
    m.elements["gen"].rating = {{"amps", 100}};
    m.elements["gen_2"] = {.kind = Kind::generator, .rating = {{"volt_amperes", 2800}, {"volts", 28}}};
    m.elements["bus"] = parallel({{.from = "gen"}, {.from = "gen_2"}});
    const std::vector<std::string> missing = balance_of(m).missing;
    const auto said = [&](const std::string& words) { return std::ranges::any_of(missing, [&](const std::string& text) { return text.starts_with(words); }); };
    CHECK_FALSE(said("No rating is given"));
    CHECK(said("No volts are given in the rating of gen; beside ratings that are not in amperes"));
    CHECK(said("No volts are given in the rating of gen; what they can give"));
}

TEST_CASE("a battery without a rating beside the generator leaves it open", "[study][balance]") {
    Model m = one(120);
    m.elements["battery"] = {.kind = Kind::battery, .rating = {{"volts", 28}}};
    m.elements["bus"] = parallel({{.from = "gen"}, {.from = "battery"}});
    const PowerBalance b = balance_of(m);
    CHECK(b.rounds.empty());
    REQUIRE(b.possible.size() == 1);
    CHECK(b.possible[0].capacity == Figure{100.0, std::nullopt});
}

TEST_CASE("what may only be on while something hunts is possible", "[study][balance]") {
    Model m = samples::chatter();
    m.elements["battery"].rating = {{"amps", 1}, {"volts", 28}};
    m.elements["gen"].rating = {{"amps", 10}, {"volts", 28}};
    m.elements["radio"].loads["cruise"] = {.amps = 3};
    State state = running_state(Network(m));
    state.fail("gen");
    const PowerBalance b = power_balance(state, {.condition = "cruise"});
    CHECK(b.rounds.empty());
    REQUIRE(b.possible.size() == 1);
    CHECK(b.possible[0].sources == Ids{"battery"});
    CHECK(b.missing[0] == "Something never comes to rest; figures cover all it may be.");
}

TEST_CASE("demand is averaged over the time asked for, and a source may give more for so long", "[study][balance]") {
    Model m = one(50);
    m.elements["gear"] = drawing(samples::load({{.from = "bus"}}, Kind::motor), "cruise", {.amps = 80, .duty_s = 10, .inrush_amps = 200});
    CHECK(balance_of(m).rounds.empty());
    CHECK(balance_of(m, LoadWindow::five_minutes).rounds.empty());
    CHECK(balance_of(m, LoadWindow::five_seconds).rounds[0].overloaded[0].demand == Figure{130.0, 130.0});
    CHECK(balance_of(m, LoadWindow::inrush).rounds[0].overloaded[0].demand == Figure{250.0, 250.0});
    CHECK(balance_of(m, LoadWindow::five_seconds, 1.5).rounds.empty());
    CHECK(balance_of(m, LoadWindow::inrush, 1.5).rounds[0].overloaded[0].capacity == Figure{150.0, 150.0});
}

TEST_CASE("what is off line already stays so", "[study][balance]") {
    Model m = one(101);
    m.elements["standby"] = {.kind = Kind::battery, .rating = {{"amps", 200}}};
    m.elements["bus"].inputs["power"].feeds.push_back({.from = "standby"});
    const PowerBalance first = balance_of(m);
    CHECK(first.after.status("heater") == Status::supplied);
    const PowerBalance again = power_balance(first.after, {.condition = "cruise"});
    CHECK(again.rounds.empty());
    CHECK(again.after.status("gen") == Status::overloaded);
}

TEST_CASE("options of a power balance out of range are refused", "[study][balance]") {
    const Network net(one(1));
    CHECK_THROWS_WITH(power_balance(net, {.condition = "cruize"}), "There is no operating condition `cruize`. Did you mean `cruise`? The model names cruise.");
    CHECK_THROWS_AS(power_balance(Network(samples::two_bus()), {.condition = "cruise"}), NotPossible);
    CHECK_THROWS_WITH(power_balance(net, {.condition = "cruise", .times_rating = 0}), "`times_rating` is above 0: 1 is the rating, 1.5 half as much again.");
}

TEST_CASE("a sheet says where no source is left to carry anything, and where nothing is drawn", "[study][balance]") {
    const auto answer = [](const PowerBalance& b) { return flat(text(b)); };
    State state = running_state(Network(one(101)));
    const PowerBalance first = power_balance(state, {.condition = "cruise"});
    CHECK(answer(first).find("off line until reset: gen. No source is left.") != std::string::npos);
    const std::string again = answer(power_balance(first.after, {.condition = "cruise"}));
    CHECK(again.find("no source gives voltage, so that nothing is carried.") != std::string::npos);
    CHECK(again.find("all sources carry") == std::string::npos);
    state.fail("bus");
    CHECK(answer(power_balance(state, {.condition = "cruise"})).find("nothing is drawn from any source.") != std::string::npos);
}

TEST_CASE("a sheet says what was overloaded, what follows and what was assumed", "[study][balance]") {
    const std::string sheet = flat(text(balance_of(one(101))));
    CHECK(sheet.find("overloaded, and off line until reset: gen.") != std::string::npos);
    CHECK(sheet.find("101 A") != std::string::npos);
    CHECK(sheet.find("Assumed:") != std::string::npos);
    CHECK(sheet.find("For study and training") != std::string::npos);
    CHECK(flat(text(balance_of(one(1)))).find("all sources carry what rests on them.") != std::string::npos);
}
