/// Seeded aircraft in which few events meet in many ways: sections of which each may have a bus tied into a ring, a generator that holds itself in
/// through its own field, a contactor that protects as long as its controller lives, transfers onto whatever is there, valves that stay
/// where they are, relays that hunt; behind them one battery and one reservoir for all.
#pragma once

#include <cstddef>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include <fedfrom/model/model.hpp>

inline fedfrom::Model knot(std::uint64_t seed) {
    using namespace fedfrom;
    std::mt19937_64 random(seed * 7919 + 13);
    const auto chance = [&](unsigned percent) { return random() % 100 < percent; };
    Model m{.name = "Knot", .edition = "1", .groups = {"systems"}, .given = {{"airborne", true}}};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["switch"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    m.elements["reservoir"] = {.kind = Kind::reservoir};
    const std::size_t sections = 3 + random() % 4;
    const auto in = [&](const std::string& what, std::size_t section) { return what + "_" + std::to_string(section % sections); };
    for (std::size_t i = 0; i < sections; ++i) {
        const auto here = [&](const char* what) { return in(what, i); };
        Element generator{.kind = Kind::generator};
        if (chance(30)) generator = {.kind = Kind::generator, .inputs = {{"field", {{.from = here("main")}}}}, .holds_in = true};
        m.elements[here("gen")] = generator;
        Port control{{.from = here("gen")}};
        if (chance(60)) control.feeds.push_back({.from = "battery"});
        m.elements[here("gcu")] = {.kind = Kind::controller, .inputs = {{"power", control}}};
        m.elements[here("line")] = {.kind = Kind::contactor, .inputs = {{"control", {{.from = here("gcu")}}}}, .without = {{"control", chance(30) ? "stays" : "open"}}, .protects = chance(70) ? Protection{.needs = Condition(here("gcu"))} : Protection{}};
        m.elements[here("main")] = {.kind = Kind::bus, .inputs = {{"power", {{.from = here("gen"), .via = {{here("line")}}}}}}};
        m.elements[here("limiter")] = {.kind = chance(60) ? Kind::current_limiter : chance(50) ? Kind::breaker : Kind::fuse};

        m.elements[here("cb_sub")] = {.kind = Kind::breaker};
        Port feeds{{.from = here("main"), .via = {{here("cb_sub")}}}};
        if (chance(50)) feeds.feeds.push_back({.from = "battery", .via = {{"switch", {"ON"}}}});
        if (chance(40)) {
            const bool late = chance(60), own = chance(50);
            m.elements[here("transfer")] = {.kind = Kind::contactor, .inputs = {{"control", {{.from = "battery"}}}}, .rest = "open", .goes = {{"closed", not_(here(late && own ? "sub" : "main"))}}, .without = {{"control", chance(50) ? "stays" : "open"}}, .after_s = late ? 1.0 : 0.0};
            feeds.feeds.push_back({.from = in("main", i + 1), .via = {{here("transfer")}}});
        }
        m.elements[here("sub")] = {.kind = Kind::bus, .inputs = {{"power", feeds}}};
        m.elements[here("cb_load")] = {.kind = Kind::breaker};
        m.elements[here("load")] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = here("sub"), .via = {{here("cb_load")}}}}}}};
        if (chance(40)) m.elements[here("valve")] = {.kind = Kind::valve, .inputs = {{"power", {{.from = here("sub")}}}}, .goes = {{"closed", chance(50) ? not_(in("load", i + 1)) : not_(given("airborne"))}}, .without = {{"power", "stays"}}};
        if (chance(30)) m.elements[here("latch")] = {.kind = Kind::relay, .inputs = {{"control", {{.from = here("sub"), .via = {{"switch", {"ON"}}}}, {.from = here("fan")}}}}, .without = {{"control", "open"}}, .holds_in = true};
        if (m.elements.contains(here("latch"))) m.elements[here("fan")] = {.kind = Kind::feeder, .inputs = {{"power", {{.from = here("sub"), .via = {{here("latch")}}}}}}};
        if (chance(50)) {
            m.elements[here("cb_pump")] = {.kind = Kind::breaker};
            m.elements[here("pump")] = {.kind = Kind::pump, .inputs = {{"power", {{.from = here("sub"), .via = {{here("cb_pump")}}}}}, {"hydraulic", {{.from = "reservoir"}}}}};
            m.elements[here("pipe")] = {.kind = Kind::pipe, .inputs = {{"hydraulic", {{.from = here("pump")}}}}};
            Feed to_jack{.from = here("pipe")};
            if (m.elements.contains(here("valve"))) to_jack.via = {{here("valve")}};
            m.elements[here("jack")] = {.kind = Kind::actuator, .inputs = {{"hydraulic", {to_jack}}}};
        }
    }
    for (std::size_t i = 0; i < sections; ++i)
        if (chance(75)) m.ties[in("tie", i)] = {.between = {in("main", i), in("main", i + 1)}, .via = {{in("limiter", i)}}};
    std::vector<std::string> read;
    for (const auto& [id, element] : m.elements)
        if (!element.inputs.empty() || element.kind == Kind::generator) read.push_back(id);
    for (std::size_t f = 0; f < 2 * sections; ++f) {
        Demand demand;
        if (f % 3 == 1) demand.set = {{"switch", "ON"}};
        if (f % 3 == 2) demand.given = {{"airborne", false}};
        std::vector<std::string> some;
        for (int n = 0; n < 5; ++n) some.push_back(read[random() % read.size()]);
        m.functions["function" + std::to_string(f)] = {.name = "Function", .group = "systems", .demand = demand, .modes = {{"both", {.rank = 1, .when = all_of({some[0], some[1]})}}, {"one", {.rank = 2, .when = any_of({some[2], some[3], some[4]})}}}};
    }
    return m;
}

/// The same where a fault reaches a bus over several ways and nothing trips on some of them: loads and a second tie without a breaker, and buses
/// tied twice through contactors that each hang on another controller.
inline fedfrom::Model woven(std::uint64_t seed) {
    using namespace fedfrom;
    Model m = knot(seed);
    std::mt19937_64 random(seed * 104729 + 7);
    const auto chance = [&](unsigned percent) { return random() % 100 < percent; };
    std::size_t sections = 0;
    while (m.elements.contains("main_" + std::to_string(sections))) ++sections;
    for (std::size_t i = 0; i < sections; ++i) {
        const std::string s = "_" + std::to_string(i), next = "_" + std::to_string((i + 1) % sections);
        for (const std::string way : {"a", "b"}) {
            for (const std::string load : {"bare_", "sheer_"})
                if (chance(60)) m.elements[load + way + s] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = (chance(50) ? "main" : "sub") + s}}}}, .failures = {{"short", {}}}};
            if (chance(40)) continue;
            m.elements["way_" + way + s] = {.kind = Kind::contactor, .inputs = {{"control", {{.from = "gcu" + (way == "a" ? s : next)}}}}, .without = {{"control", chance(50) ? "open" : "stays"}}};
            m.ties["tied_" + way + s] = {.between = {"sub" + s, "sub" + next}, .via = {{"way_" + way + s}}};
        }
    }
    return m;
}
