#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/question.hpp>
#include <fedfrom/study/root_causes.hpp>

#include "crew_samples.hpp"

using namespace fedfrom;

namespace {

const Consequence* find(const RootCauses& r, const std::string& id, Consequence::Of of = Consequence::Of::element) {
    const auto it = std::ranges::find_if(r.consequences, [&](const Consequence& q) { return q.id == id && q.of == of; });
    return it == r.consequences.end() ? nullptr : &*it;
}

using Places = std::vector<std::vector<std::size_t>>;

std::vector<std::vector<std::string>> ids(const std::vector<std::vector<RootCause>>& sets) {
    std::vector<std::vector<std::string>> list;
    for (const auto& set : sets) {
        auto& names = list.emplace_back();
        for (const RootCause& cause : set) names.push_back(cause.id);
    }
    return list;
}

using IdLists = std::vector<std::vector<std::string>>;

/// Whether a sheet says it, wherever its lines break.
bool says(std::string sheet, const std::string& words) {
    std::string flat;
    for (const char letter : sheet)
        if (const char c = letter == '\n' ? ' ' : letter; c != ' ' || flat.empty() || flat.back() != ' ') flat += c;
    return flat.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("a consequence stands under the causes that alone take it, else under the smallest sets", "[study][root_causes]") {
    const Network net(samples::two_bus());
    const RootCauses r = root_causes(ask(net, {.failed = {{"gen_l"}, {"tie", "stuck", "open"}, {"battery"}}, .positions = {{"standby_switch", "BATT"}}}));
    REQUIRE(r.causes.size() == 4);  // battery, gen_l, tie, standby_switch
    CHECK(find(r, "main_l")->roots == Places{{1, 2}});
    CHECK(find(r, "standby")->roots == Places{{0, 3}, {1, 2}});
    CHECK(find(r, "talk", Consequence::Of::function)->roots == Places{{0, 3}, {1, 2}});
    CHECK(find(r, "talk", Consequence::Of::function)->severity == Severity::major);
    CHECK(find(r, "gen_l") == nullptr);  // a root, no consequence
    CHECK(find(r, "main_r") == nullptr);
    CHECK(r.complete);
    CHECK(says(text(r), "2 with 3 GEN L (gen_l): loss and BUS TIE (tie): stuck at open, only together"));
    CHECK(says(text(r), std::string(caution).substr(0, 40)));
    CHECK(table(r).columns.front().name == "Root cause");
}

TEST_CASE("a trip by a short is a consequence of the short, and no cause of its own", "[study][root_causes]") {
    const Network net(samples::heater_and_radio());
    const RootCauses r = root_causes(ask(net, {.failed = {{"heater", "short"}}}));
    REQUIRE(r.causes.size() == 1);
    CHECK(find(r, "cb_sub", Consequence::Of::trip)->roots == Places{{0}});
    CHECK(find(r, "radio")->roots == Places{{0}});
}

TEST_CASE("a trip whose fault is gone is a cause of its own", "[study][root_causes]") {
    const Network net(samples::heater_and_radio());
    const RootCauses r = root_causes(ask(net, {.failed = {{"heater", "short"}}, .steps = {{.repair = {"heater"}}}}));
    REQUIRE(r.causes.size() == 1);
    CHECK(r.causes.front().kind == RootCause::Kind::trip);
    CHECK(r.causes.front().id == "cb_sub");
    CHECK(find(r, "cb_sub", Consequence::Of::trip) == nullptr);
    CHECK(find(r, "radio")->roots == Places{{0}});
}

TEST_CASE("what hangs on the order of events has no roots, and what is remembered is named", "[study][root_causes]") {
    const Network net(samples::fuel_valve());
    // The lever moves while the bus is dead, so that the valve stays open; then the lever comes back.
    const Outcome out = ask(net, {.steps = {{.set = {{"fuel_lever", "CUT OFF"}}}, {.set = {{"fuel_lever", "RUN"}}}}});
    REQUIRE(out.status("engine") == Status::unsupplied);  // the valve closed, and the bus that would open it is dead
    const RootCauses r = root_causes(out);
    CHECK(r.causes.empty());
    CHECK(find(r, "engine")->roots.empty());
    REQUIRE(r.remembered.size() == 1);
    CHECK(r.remembered.front() == "Fuel valve (fuel_valve) stands at closed");
    CHECK(says(text(r), "hangs on the order of what happened"));
    const Why y = why(out, "engine");
    REQUIRE(y.causes);
    CHECK(y.causes->sets.empty());
    CHECK(says(text(y), "it hangs on the order of what happened"));
}

TEST_CASE("nothing is worse in the running aircraft, whatever hands do no harm", "[study][root_causes]") {
    const Network net(samples::two_bus());
    CHECK(root_causes(running_state(net)).consequences.empty());
    const RootCauses r = root_causes(ask(net, {.positions = {{"gear_handle", "DOWN"}}}));
    CHECK(r.consequences.empty());
    CHECK(says(text(r), "Present, and the root of nothing here: GEAR HANDLE (gear_handle) at DOWN."));
}

TEST_CASE("why gives every smallest set of causes, also where a failure can help", "[study][why]") {
    const Network net(samples::two_bus());
    const Why y = why(ask(net, {.failed = {{"gen_l"}, {"tie", "stuck", "open"}, {"battery"}}, .positions = {{"standby_switch", "BATT"}}}), "standby");
    REQUIRE(y.causes);
    // With the switch where it is the left bus no longer matters; where it rests, that bus alone would do.
    CHECK(ids(y.causes->sets) == IdLists{{"battery", "standby_switch"}, {"gen_l", "tie"}});
    CHECK_FALSE(y.last);
}

TEST_CASE("what stands no better in the running aircraft is nobody's fault", "[study][why]") {
    const Why y = why(ask(Network(samples::two_bus()), {.failed = {{"battery"}}}), "gear");
    REQUIRE(y.causes);
    CHECK(y.causes->running);
    CHECK(ids(y.causes->sets) == IdLists{{}});
    CHECK(says(text(y), "nothing that is present is to blame"));
}

TEST_CASE("why of a position names what moved it", "[study][why]") {
    const Network net(samples::two_bus());
    const Why y = why(ask(net, {.failed = {{"gen_l"}, {"battery"}}}), "tie");
    REQUIRE(y.causes);
    CHECK(ids(y.causes->sets) == IdLists{{"gen_l"}});
    CHECK_FALSE(why(running_state(net), "tie").causes);
}

TEST_CASE("more than twelve causes are said to be incomplete", "[study][why]") {
    Model m{.name = "Many"};
    std::vector<Feed> feeds;
    for (int i = 10; i < 24; ++i) {
        m.elements["gen_" + std::to_string(i)] = {.kind = Kind::generator};
        feeds.push_back({.from = "gen_" + std::to_string(i)});
    }
    m.elements["bus"] = samples::bus(feeds);
    m.elements["light"] = samples::load({{.from = "gen_10"}});
    const Network net(m);
    State state = running_state(net);
    for (int i = 10; i < 24; ++i) state.fail("gen_" + std::to_string(i));
    const Outcome out = settle(state);
    const Why bus = why(out, "bus");
    REQUIRE(bus.causes);
    CHECK_FALSE(bus.causes->complete);
    CHECK(bus.causes->complete_to == 5);
    CHECK(bus.causes->sets.empty());
    CHECK(bus.causes->together);
    CHECK(says(text(bus), "Incomplete: of 14 causes present, every set of up to 5 was tried. All of them together leave it so."));
    CHECK(ids(why(out, "light").causes->sets) == IdLists{{"gen_10"}});
}

TEST_CASE("the last line of defence counts independent sources where ports are all needed", "[study][why]") {
    // A display on two buses, but cooled by one fan.
    Model m{.name = "Display"};
    m.elements["gen_l"] = {.kind = Kind::generator};
    m.elements["gen_r"] = {.kind = Kind::generator};
    m.elements["bus"] = samples::bus({{.from = "gen_l"}, {.from = "gen_r"}});
    m.elements["fan"] = {.kind = Kind::motor, .inputs = {{"power", {{.from = "gen_r"}}}}};
    m.elements["display"] = {.kind = Kind::panel, .inputs = {{"power", {{.from = "bus"}}}, {"cooling", {{.from = "fan"}}}}};
    m.functions["see"] = samples::simply("display");
    const Network net(m);
    const Why display = why(running_state(net), "display");
    REQUIRE(display.last);
    CHECK(display.last->sources.count == 1);
    CHECK(display.last->sources.sets == IdLists{{"fan"}, {"gen_r"}});
    CHECK(says(text(display), "Nothing stands behind any of these, and the loss of one takes it: fan and gen_r."));
    const Why bus = why(running_state(net), "bus");
    CHECK(bus.last->sources.sets == IdLists{{"gen_l", "gen_r"}});
    CHECK(says(text(bus), "One more stands behind: it takes two losses, of gen_l and gen_r."));
    CHECK(says(text(bus), "No single failure takes it."));
    CHECK(bus.last->singles.empty());
    CHECK(display.last->singles.size() == 5);  // losses of both, and of the bus; shorts of the bus and of the generator behind the fan
    CHECK(why(running_state(net), "see").last->sources.count == 1);
    CHECK_FALSE(why(running_state(net), "gen_l").last);  // a source
}

TEST_CASE("why of a function that works names the modes that stand behind it", "[study][why]") {
    const Network net(samples::two_bus());
    const Why y = why(running_state(net), "gear_extension");
    CHECK(std::ranges::any_of(y.lines, [](const WhyLine& line) { return line.text == "Behind it: free fall, which would work."; }));
    CHECK(std::ranges::any_of(y.lines, [](const WhyLine& line) { return line.text.starts_with("In use: powered, from "); }));
}
