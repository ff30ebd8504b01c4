/// A seeded aircraft of any size with a realistic structure, for benchmarks.
///
/// Sections of about 50 elements: an engine, its generator with control unit and
/// line contactor, a main bus tied to its neighbour's in rings (of four, unless said)
/// through a current limiter, two sub-buses, and behind a breaker each: consumers,
/// relays with loads, a motor valve, annunciators; one function in ten elements,
/// judged as things stand, on the ground or with the standby switch set.
#pragma once

#include <cstddef>
#include <cstdint>
#include <random>
#include <string>

#include <fedfrom/model/model.hpp>

namespace fedfrom::bench {

inline Model aircraft(std::size_t elements, std::uint64_t seed = 1, std::size_t in_ring = 4) {
    std::mt19937_64 random(seed);
    const auto pick = [&](std::size_t n) { return static_cast<std::size_t>(random() % n); };
    Model m{.name = "Benchmark aircraft", .edition = "1", .groups = {"systems"}, .given = {{"airborne", true}, {"engines_running", true}}};
    m.elements["standby_switch"] = {.kind = Kind::switch_, .positions = {"AUTO", "BATT"}, .reach = Reach::cockpit};
    m.elements["battery"] = {.kind = Kind::battery, .store = Store{.amp_hours = 44}};
    for (std::size_t section = 0; m.elements.size() < elements; ++section) {
        const std::string s = "_" + std::to_string(section);
        m.elements["engine" + s] = {.kind = Kind::engine, .needs = given("engines_running")};
        m.elements["gen" + s] = {.kind = Kind::generator, .inputs = {{"drive", {{.from = "engine" + s}}}}, .failures = {{"loss", {.rate = 1e-4}}}};
        m.elements["gcu" + s] = {.kind = Kind::controller, .inputs = {{"power", {{.from = "gen" + s}, {.from = "battery"}}}}};
        m.elements["line" + s] = {.kind = Kind::contactor, .inputs = {{"control", {{.from = "gcu" + s}}}}, .protects = Protection{.needs = Condition("gcu" + s)}};
        m.elements["main" + s] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "gen" + s, .via = {{"line" + s}}}}}}, .failures = {{"loss", {.rate = 1e-6}}, {"short", {.rate = 1e-7}}}};
        m.elements["limiter" + s] = {.kind = Kind::current_limiter};
        const std::size_t ring = section / in_ring * in_ring;
        if (section % in_ring != 0) m.ties["tie" + s] = {.between = {"main_" + std::to_string(section - 1), "main" + s}, .via = {{"limiter" + s}}};
        if (section % in_ring == in_ring - 1) m.ties["close" + s] = {.between = {"main" + s, "main_" + std::to_string(ring)}, .via = {{"limiter_" + std::to_string(ring)}}};
        for (const char* side : {"a", "b"}) {
            const std::string bus = std::string("sub_") + side + s;
            m.elements["cb_" + bus] = {.kind = Kind::breaker, .rating = {{"amps", 50}}};
            Port feeds{{.from = "main" + s, .via = {{"cb_" + bus}}}};
            if (*side == 'b') feeds.feeds.push_back({.from = "battery", .via = {{"standby_switch", {"BATT"}}}});
            m.elements[bus] = {.kind = Kind::bus, .inputs = {{"power", feeds}}};
            for (int i = 0; i < 5; ++i) {
                const std::string load = std::string(side) + std::to_string(i) + s;
                m.elements["cb_" + load] = {.kind = Kind::breaker, .rating = {{"amps", 5}}};
                const Feed behind_breaker{.from = bus, .via = {{"cb_" + load}}};
                if (i == 0) {
                    m.elements["relay_" + load] = {.kind = Kind::relay, .inputs = {{"control", {behind_breaker}}}};
                    m.elements["motor_" + load] = {.kind = Kind::motor, .inputs = {{"power", {{.from = "main" + s, .via = {{"relay_" + load}}}}}}};
                } else if (i == 1) {
                    m.elements["valve_" + load] = {.kind = Kind::valve, .inputs = {{"power", {behind_breaker}}}, .goes = {{"closed", not_(given(section % 8 == 0 ? "airborne" : "engines_running"))}}, .without = {{"power", "stays"}}};
                } else if (i == 2) {
                    m.elements["light_" + load] = {.kind = Kind::annunciator, .inputs = {{"power", {behind_breaker}}}, .shows = {{"lit", not_("main" + s)}}, .unpowered = "out"};
                } else {
                    m.elements["unit_" + load] = {.kind = Kind::consumer, .name = "Unit " + load, .ata = "34-20", .inputs = {{"power", {behind_breaker}}}};
                }
            }
        }
        for (int f = 0; f < 4; ++f) {
            const std::string other = "_" + std::to_string(pick(section + 1));
            Demand demand;
            if (f == 1) demand.given = {{"airborne", false}};
            if (f == 2) demand.set = {{"standby_switch", "BATT"}};
            m.functions["function_" + std::to_string(f) + s] = {.name = "Function " + std::to_string(f), .group = "systems", .demand = demand,
                .modes = {{"both", {.rank = 1, .when = all_of({"unit_a3" + s, "unit_b4" + other})}},
                          {"one", {.rank = 2, .when = any_of({"unit_a4" + s, "unit_b3" + other})}}}};
        }
    }
    return m;
}

}  // namespace fedfrom::bench
