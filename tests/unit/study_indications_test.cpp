#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/indications.hpp>
#include <fedfrom/study/question.hpp>

#include "study_samples.hpp"

using namespace fedfrom;
using samples::bus;
using samples::has;
using samples::load;

namespace {

Indication one(const Outcome& out, const std::string& id) {
    const Indications all = indications(out);
    const auto it = std::ranges::find(all.shown, id, &Indication::id);
    REQUIRE(it != all.shown.end());
    return *it;
}

}  // namespace

TEST_CASE("a light on the dead bus misleads", "[study][indications]") {
    const Network net(samples::two_bus());
    const Indication light = one(ask(net, {.failed = {{"gen_l"}, {"tie", "stuck"}}}), "standby_light");
    CHECK(light.shows == "out");
    CHECK(light.supplied == "lit");
    CHECK(light.healthy == "");
    CHECK(light.misleads);
    CHECK(has(light.reason, "not supplied itself"));
    CHECK(has(light.reason, "it would show \"lit\""));
    CHECK_FALSE(one(ask(net, {}), "standby_light").misleads);
    CHECK(one(ask(net, {.failed = {{"standby"}}}), "standby_light").reason.empty());
}

TEST_CASE("a frozen pointer looks alive", "[study][indications]") {
    Model m{.name = "Pointer"};
    m.elements["ac"] = {.kind = Kind::bus};
    m.elements["pump"] = {.kind = Kind::manual};
    m.elements["gauge"] = load({{.from = "ac"}}, Kind::gauge);
    m.elements["gauge"].shows = {{"3000", "pump"}, {"0", all_of({})}};
    m.elements["gauge"].unpowered = "stays";
    const Network net(m);
    const Indication frozen = one(ask(net, {.steps = {{.fail = {{"ac"}}}, {.fail = {{"pump"}}}}}), "gauge");
    CHECK(frozen.shows == "3000");
    CHECK(frozen.supplied == "0");
    CHECK(frozen.misleads);
    CHECK(has(frozen.reason, "frozen at its last reading \"3000\""));
    const Indication agrees = one(ask(net, {.failed = {{"ac"}}}), "gauge");
    CHECK_FALSE(agrees.misleads);
    CHECK(has(agrees.reason, "frozen"));
}

TEST_CASE("an annunciation with no loss: the sense is lost", "[study][indications]") {
    Model m{.name = "Sense wire"};
    m.elements["bus"] = {.kind = Kind::bus};
    m.elements["ess"] = {.kind = Kind::bus};
    m.elements["sense"] = {.kind = Kind::sensor, .inputs = {{"sensing", {{.from = "bus"}}}, {"power", {{.from = "ess"}}}}};
    m.elements["light"] = {.kind = Kind::annunciator, .shows = {{"BUS OFF", not_("sense")}}};
    const Network net(m);
    for (const char* lost : {"sense", "ess"}) {
        const Indication light = one(ask(net, {.failed = {{lost}}}), "light");
        CHECK(light.shows == "BUS OFF");
        CHECK(light.sensed == "");
        CHECK(light.misleads);
        CHECK(has(light.reason, "Its sense is lost: sense"));
    }
    CHECK_FALSE(one(ask(net, {.failed = {{"bus"}}}), "light").misleads);
}

TEST_CASE("a stuck contact that follows the gear misleads", "[study][indications]") {
    Model m{.name = "Microswitch"};
    m.elements["gear_leg"] = {.kind = Kind::handle, .positions = {"UP", "DOWN"}, .reach = Reach::cockpit};
    m.elements["microswitch"] = {.kind = Kind::switch_, .positions = {"UP", "DOWN"}, .follows = Follow{"gear_leg", {}}};
    m.elements["light"] = {.kind = Kind::light, .shows = {{"green", contact("microswitch", "DOWN")}}};
    const Network net(m);
    const Indication light = one(ask(net, {.failed = {{"microswitch", "stuck", "UP"}}, .positions = {{"gear_leg", "DOWN"}}}), "light");
    CHECK(light.shows == "");
    CHECK(light.sensed == "green");
    CHECK(light.healthy == "green");
    CHECK(light.misleads);
}

TEST_CASE("what hunts shows as unknown", "[study][indications]") {
    Model m = samples::chatter();
    m.elements["lamp"] = {.kind = Kind::light, .shows = {{"BUS OFF", not_("bus")}}};
    const Indication lamp = one(ask(Network(m), {.failed = {{"gen"}}}), "lamp");
    CHECK_FALSE(lamp.shows.has_value());
    CHECK(has(lamp.reason, "never comes to rest"));
    CHECK(has(text(indications(ask(Network(m), {.failed = {{"gen"}}}))), "unknown"));
}

TEST_CASE("a dark display is dark and misleads nobody", "[study][indications]") {
    Model m{.name = "Display"};
    m.elements["bus"] = {.kind = Kind::bus};
    m.elements["pitot"] = {.kind = Kind::manual};
    m.elements["display"] = load({{.from = "bus"}}, Kind::panel);
    m.elements["display"].shows = {{"speed", "pitot"}, {"flag", not_("pitot")}};
    m.elements["display"].unpowered = "dark";
    const auto without_bus = [&] { return one(ask(Network(m), {.failed = {{"bus"}}}), "display"); };
    CHECK(without_bus().dark);
    CHECK_FALSE(without_bus().misleads);
    CHECK(has(without_bus().reason, "not supplied itself and shows \"dark\" whatever happens; in order, it would show \"speed\""));
    const std::string sheet = text(indications(ask(Network(m), {.failed = {{"bus"}}})));
    CHECK(has(sheet, "dark"));
    CHECK_FALSE(has(sheet, " misleads "));
    m.elements["display"].unpowered = "flag";  // which is a reading
    CHECK(without_bus().misleads);
    CHECK_FALSE(without_bus().dark);
    CHECK_FALSE(one(ask(Network(m), {}), "display").dark);
    CHECK(one(ask(Network(m), {.failed = {{"bus"}, {"pitot"}}}), "display").dark);  // right, but by chance
}

TEST_CASE("a light that is out is taken for one that has nothing to say", "[study][indications]") {
    Model m = samples::two_bus();
    const Question dead{.failed = {{"main_l"}}, .positions = {{"standby_switch", "BATT"}}};
    const Indication right = one(ask(Network(m), dead), "standby_light");  // the standby bus lives
    CHECK_FALSE(right.misleads);
    CHECK(right.dark);
    m.elements["knob"] = {.kind = Kind::selector, .positions = {"OFF", "BRIGHT"}, .rest = "BRIGHT", .reach = Reach::cockpit};
    m.elements["panel_lights"] = load({{.from = "main_l", .via = {{"knob", {"BRIGHT"}}}}}, Kind::light);
    m.elements["panel_lights"].shows = {{"bright", contact("knob", "BRIGHT")}};
    m.elements["panel_lights"].unpowered = "out";
    CHECK(one(ask(Network(m), dead), "panel_lights").dark);  // it tells of nothing but its own switch
    CHECK_FALSE(one(ask(Network(m), dead), "panel_lights").misleads);
    CHECK(one(ask(Network(m), {.positions = {{"knob", "OFF"}}}), "panel_lights").dark);
    m.elements["panel_lights"].shows = {{"bright", "standby"}};
    CHECK(one(ask(Network(m), dead), "panel_lights").misleads);
    m.elements["panel_lights"].shows = {{"bright", "standby"}, {"off", not_("standby")}};  // it never shows nothing in order
    CHECK(one(ask(Network(m), dead), "panel_lights").dark);
}
