#include "catch.hpp"

#include <fedfrom/study/question.hpp>
#include <fedfrom/study/trace.hpp>

#include "study_samples.hpp"

using namespace fedfrom;
using samples::bus;
using samples::load;
using Ids = std::vector<std::string>;

TEST_CASE("a misspelt id is looked for among elements and functions", "[study][trace]") {
    Model m = samples::two_bus();
    m.functions["voice_radio"] = m.functions["talk"];
    const Outcome out = ask(Network(m), {});
    CHECK_THROWS_WITH(live_sources(out, "voice_radoi"), "There is no element or function `voice_radoi`. Did you mean `voice_radio`?");
    CHECK_THROWS_WITH(live_sources(out, "standbye"), "There is no element or function `standbye`. Did you mean `standby`?");
    CHECK_THROWS_WITH(live_sources(out, "quadrangle"), "There is no element or function `quadrangle`.");
}

TEST_CASE("sources are followed through converters to generators and batteries", "[study][trace]") {
    Model m{.name = "Converters"};
    auto& e = m.elements;
    e["engine"] = {.kind = Kind::engine};
    e["gen"] = {.kind = Kind::generator, .inputs = {{"drive", {{.from = "engine"}}}}};
    e["ac"] = bus({{.from = "gen"}});
    e["rectifier"] = {.kind = Kind::transformer_rectifier, .inputs = {{"power", {{.from = "ac"}}}}};
    e["battery"] = {.kind = Kind::battery};
    e["d_1"] = {.kind = Kind::diode};
    e["d_2"] = {.kind = Kind::diode};
    e["dc"] = {.kind = Kind::bus, .inputs = {{"power", {Port::Join::parallel, {{.from = "rectifier", .via = {{"d_1"}}}, {.from = "battery", .via = {{"d_2"}}}}}}}};
    e["dc_2"] = bus({{.from = "rectifier"}, {.from = "battery"}});
    const Network net(m);
    CHECK(live_sources(ask(net, {}), "dc").ids == Ids{"battery", "gen"});   // both, through diodes
    CHECK(live_sources(ask(net, {}), "dc_2").ids == Ids{"gen"});            // the first that is live
    CHECK(live_sources(ask(net, {.failed = {{"gen"}}}), "dc_2").ids == Ids{"battery"});
    CHECK(live_sources(ask(net, {.failed = {{"gen"}, {"battery"}}}), "dc_2").ids.empty());
}

TEST_CASE("supply that runs through the element itself is not its source", "[study][trace]") {
    Model m{.name = "Tied"};
    auto& e = m.elements;
    e["gen_l"] = {.kind = Kind::generator};
    e["gen_r"] = {.kind = Kind::generator};
    e["main_l"] = bus({{.tie = "tie"}, {.from = "gen_l"}});  // the tie comes first
    e["main_r"] = bus({{.from = "gen_r"}, {.tie = "tie"}});
    m.ties["tie"] = {.between = {"main_l", "main_r"}};
    const Network net(m);
    CHECK(live_sources(ask(net, {}), "main_l").ids == Ids{"gen_r"});
    CHECK(live_sources(ask(net, {.failed = {{"gen_r"}}}), "main_l").ids == Ids{"gen_l"});
    CHECK(live_sources(ask(net, {.failed = {{"gen_r"}}}), "main_r").ids == Ids{"gen_l"});
}

TEST_CASE("two buses that each prefer the other share what feeds both", "[study][trace]") {
    Model m{.name = "Tied both ways"};
    m.elements["gen_l"] = {.kind = Kind::generator};
    m.elements["gen_r"] = {.kind = Kind::generator};
    m.elements["main_l"] = bus({{.tie = "tie"}, {.from = "gen_l"}});
    m.elements["main_r"] = bus({{.tie = "tie"}, {.from = "gen_r"}});
    m.ties["tie"] = {.between = {"main_l", "main_r"}};
    const Outcome out = ask(Network(m), {});
    CHECK(live_sources(out, "main_l").ids == Ids{"gen_l", "gen_r"});
    CHECK(live_sources(out, "main_r").ids == Ids{"gen_l", "gen_r"});
}

TEST_CASE("all ports count", "[study][trace]") {
    Model m{.name = "Display"};
    m.elements["bus_1"] = {.kind = Kind::bus};
    m.elements["bus_2"] = {.kind = Kind::bus};
    m.elements["adc"] = load({{.from = "bus_2"}}, Kind::sensor);
    m.elements["display"] = {.kind = Kind::gauge, .inputs = {{"power", {{.from = "bus_1"}}}, {"data", {{.from = "adc"}}}}};
    CHECK(live_sources(ask(Network(m), {}), "display").ids == Ids{"bus_1", "bus_2"});
}

TEST_CASE("a function rests on the first alternative that holds, asked for with its demand", "[study][trace]") {
    Model m = samples::two_bus();
    m.functions["talk"].modes["radio"].when = all_of({any_of({"main_l", "radio"}), not_("gear")});
    const Network net(m);
    const auto s = supports(ask(net, {.failed = {{"main_l"}}, .positions = {{"standby_switch", "BATT"}}}), "talk");
    CHECK(s == std::vector<Support>{{"radio", {{"battery"}}}});
    CHECK(live_sources(ask(net, {}), "gear_extension").ids == Ids{"eng_l"});
    CHECK(live_sources(ask(net, {}), "gear").ids.empty());  // the handle is up
}
