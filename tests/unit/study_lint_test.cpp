#include "catch.hpp"

#include <algorithm>
#include <set>

#include <fedfrom/study/lint.hpp>

#include "crew_samples.hpp"

using namespace fedfrom;
using samples::bus;
using samples::load;

namespace {

/// The ids a code is given of.
std::set<std::string> ids_of(const Lint& l, const std::string& code) {
    std::set<std::string> ids;
    for (const Finding& f : l.findings)
        if (f.code == code) ids.insert(f.id);
    return ids;
}

using IdSet = std::set<std::string>;

Model small() {
    Model m{.name = "Small"};
    m.elements["gen"] = {.kind = Kind::generator};
    m.elements["bus"] = bus({{.from = "gen"}});
    m.elements["radio"] = load({{.from = "bus"}});
    m.functions["talk"] = samples::simply("radio");
    return m;
}

}  // namespace

TEST_CASE("a model that leaves nothing open has no findings", "[study][lint]") {
    CHECK(lint(small()).findings.empty());
}

TEST_CASE("a load that no way leads to from a source is found, and what hangs on it", "[study][lint]") {
    Model m = small();
    m.elements["dead_l"] = bus({{.from = "dead_r"}});
    m.elements["dead_r"] = bus({{.from = "dead_l"}});
    m.elements["lamp"] = load({{.from = "dead_l"}});
    m.elements["lamp"].loads = {{"flight", {.amps = 1}}};
    const Lint l = lint(m);
    CHECK(ids_of(l, "no_source") == IdSet{"dead_l", "dead_r", "lamp"});
    CHECK(text(l).find("lamp is never supplied: no way leads from a source to its power port, whatever stands where.") != std::string::npos);
}

TEST_CASE("a generator that excites itself is a source all the same", "[study][lint]") {
    Model m = small();
    m.elements["engine"] = {.kind = Kind::engine};
    m.elements["gen"] = {.kind = Kind::generator, .inputs = {{"drive", {{.from = "engine"}}}, {"field", {{.from = "gcu"}}}}, .holds_in = true};
    m.elements["gcu"] = {.kind = Kind::controller, .inputs = {{"power", {{.from = "gen"}}}}};
    CHECK(ids_of(lint(m), "no_source").empty());
}

TEST_CASE("a switch nothing reads is found, and what nothing hangs on", "[study][lint]") {
    Model m = small();
    m.elements["knob"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    m.elements["cb_spare"] = {.kind = Kind::breaker};
    m.elements["galley"] = load({{.from = "bus"}});
    m.elements["galley"].loads = {{"flight", {.amps = 10}}};
    m.elements["forgotten"] = load({{.from = "bus"}});
    const Lint l = lint(m);
    CHECK(ids_of(l, "unread") == IdSet{"cb_spare", "knob"});
    CHECK(ids_of(l, "unused") == IdSet{"forgotten"});
}

TEST_CASE("a valve of which it is not said where it goes without one of its ports is found", "[study][lint]") {
    Model m = small();
    m.elements["knob"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    m.elements["air"] = {.kind = Kind::engine};
    m.elements["valve"] = {.kind = Kind::valve, .inputs = {{"power", {{.from = "bus"}}}, {"pneumatic", {{.from = "air"}}}}, .follows = Follow{"knob", {{"OFF", "closed"}, {"ON", "open"}}}, .without = {{"power", "closed"}}};
    m.elements["cable_valve"] = {.kind = Kind::valve, .follows = Follow{"knob", {{"OFF", "closed"}, {"ON", "open"}}}};
    m.elements["boots"] = {.kind = Kind::actuator, .inputs = {{"pneumatic", {{.from = "air", .via = {{"valve"}, {"cable_valve"}}}}}}};
    m.functions["deice"] = samples::simply("boots");
    const Lint l = lint(m);
    CHECK(ids_of(l, "no_loss_position") == IdSet{"valve"});
    CHECK(ids_of(l, "moves_unsupplied") == IdSet{"cable_valve"});
}

TEST_CASE("a position nothing brings about is found", "[study][lint]") {
    Model m = small();
    m.elements["knob"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    m.elements["relay"] = {.kind = Kind::relay, .inputs = {{"control", {{.from = "bus", .via = {{"knob", {"ON"}}}}}}}, .positions = {"a", "b", "c"}, .rest = "a", .goes = {{"b", Condition("bus")}}, .without = {{"control", "a"}}};
    m.elements["radio"] = load({{.from = "bus", .via = {{"relay", {"a", "b", "c"}}}}});
    CHECK(ids_of(lint(m), "position_never") == IdSet{"relay"});
}

TEST_CASE("a light without supply, and a gauge of which it is not said what it shows unsupplied", "[study][lint]") {
    Model m = small();
    m.elements["light"] = {.kind = Kind::light, .shows = {{"lit", not_("bus")}}};
    m.elements["gauge"] = load({{.from = "bus"}}, Kind::gauge);
    m.elements["gauge"].shows = {{"28", "gen"}};
    const Lint l = lint(m);
    CHECK(ids_of(l, "shows_unsupplied") == IdSet{"light"});
    CHECK(ids_of(l, "no_unpowered") == IdSet{"gauge"});
}

TEST_CASE("a function no failure can touch is found, and a mode that never holds", "[study][lint]") {
    Model m = small();
    m.given["airborne"] = true;
    m.elements["wheel"] = {.kind = Kind::manual, .fallible = false};
    m.functions["trim"] = samples::simply("wheel");
    m.functions["fly"] = {.modes = {{"on", {.rank = 1, .when = given("airborne")}}}};
    m.functions["talk"].modes["none"] = {.rank = 2, .when = any_of({})};
    const Lint l = lint(m);
    CHECK(ids_of(l, "no_failure") == IdSet{"fly", "trim"});
    CHECK(ids_of(l, "mode_never") == IdSet{"talk"});
}

TEST_CASE("a mode that only holds where a better one does is never used", "[study][lint]") {
    Model m = small();
    m.elements["head"] = load({{.from = "radio"}});
    m.functions["talk"].modes["head"] = {.rank = 2, .when = "head"};              // lives on the radio
    m.functions["listen"] = {.modes = {{"both", {.rank = 1, .when = all_of({"radio", "bus"})}}, {"one", {.rank = 2, .when = any_of({"bus"})}}, {"same", {.rank = 3, .when = all_of({"bus", "gen"})}}}};
    m.functions["once"] = {.modes = {{"shot", {.rank = 1, .when = "radio", .bars = {"shot"}}}, {"radio", {.rank = 2, .when = "radio"}}}};
    const Lint l = lint(m);
    CHECK(ids_of(l, "mode_unused") == IdSet{"listen", "talk"});
    const auto unused = std::ranges::find(l.findings, "listen", &Finding::id);
    CHECK(unused->text == "The mode same of listen is never used: whenever it holds, one does, which is better.");
}

TEST_CASE("a way that is live only where one before it is brings nothing", "[study][lint]") {
    Model m = small();
    m.elements["cb_1"] = {.kind = Kind::breaker};
    m.elements["cb_2"] = {.kind = Kind::breaker};
    m.elements["sub"] = bus({{.from = "bus", .via = {{"cb_1"}}}});
    m.elements["twice"] = load({{.from = "bus"}, {.from = "sub"}});                                                  // the sub-bus hangs on the bus
    m.elements["dual"] = load({{.from = "bus", .via = {{"cb_1"}}}, {.from = "bus", .via = {{"cb_2"}}}});           // two breakers: each of use
    m.elements["longer"] = load({{.from = "bus", .via = {{"cb_1"}}}, {.from = "bus", .via = {{"cb_1"}, {"cb_2"}}}});
    for (const char* id : {"twice", "dual", "longer"}) m.functions["use_" + std::string(id)] = samples::simply(id);
    CHECK(ids_of(lint(m), "way_unused") == IdSet{"longer", "twice"});
}

TEST_CASE("a port that the others imply never matters, and one that is always fed", "[study][lint]") {
    Model m = small();
    m.elements["head"] = load({{.from = "bus"}});
    m.elements["set"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "bus"}}}, {"data", {{.from = "head"}}}}};
    m.elements["air"] = {.kind = Kind::manual, .fallible = false};
    m.elements["fan"] = {.kind = Kind::motor, .inputs = {{"power", {{.from = "bus"}}}, {"air", {{.from = "air"}}}}};
    m.elements["voter"] = {.kind = Kind::controller, .inputs = {{"data", Port(Port::Join::at_least, {{.from = "head"}, {.from = "head"}, {.from = "bus"}}, 2)}}};
    m.functions["all"] = {.modes = {{"on", {.rank = 1, .when = all_of({"set", "fan", "voter"})}}}};
    const Lint l = lint(m);
    CHECK(ids_of(l, "idle_port") == IdSet{"set"});
    CHECK(ids_of(l, "always_fed") == IdSet{"fan"});
    CHECK(ids_of(l, "votes_together") == IdSet{"voter"});
}

TEST_CASE("a demand nothing hangs on, and a given nothing reads", "[study][lint]") {
    Model m = small();
    m.given["icing"] = false;
    m.elements["knob"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    m.elements["lamp"] = load({{.from = "bus", .via = {{"knob", {"ON"}}}}});
    m.functions["light"] = {.demand = {.set = {{"knob", "ON"}}}, .modes = {{"on", {.rank = 1, .when = "lamp"}}}};
    m.functions["talk"].demand.set = {{"knob", "ON"}};
    const Lint l = lint(m);
    CHECK(ids_of(l, "demand_without_effect") == IdSet{"talk"});
    CHECK(ids_of(l, "given_unread") == IdSet{"icing"});
}

TEST_CASE("names that collide in any case are found, of elements and of functions apart", "[study][lint]") {
    Model m = small();
    m.elements["radio"].name = "Talk";  // the function `talk`: no collision
    m.elements["bus"].aliases = {"GEN"};
    const Lint l = lint(m);
    CHECK(ids_of(l, "name_collision") == IdSet{"bus"});
}

TEST_CASE("every code that is given is one of those listed", "[study][lint]") {
    CHECK(std::ranges::is_sorted(lint_codes));
    for (const Model& m : {samples::two_bus(), samples::coils(), samples::chatter(), samples::fuel_valve()})
        for (const Finding& f : lint(m).findings) {
            CHECK(std::ranges::find(lint_codes, f.code) != lint_codes.end());
            CHECK_FALSE((f.text.empty() || f.mend.empty() || f.id.empty()));
        }
}
