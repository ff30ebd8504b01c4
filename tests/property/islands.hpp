/// Seeded aircraft in which failures meet in some places and not in others: a few islands of their own, each with
/// buses tied in a ring, a transfer onto whatever is there, hydraulics that leak, a relay that may hunt and one
/// that holds itself in, and functions that read across them, some under a demand.
#pragma once

#include <cstddef>
#include <cstdint>
#include <random>
#include <string>

#include <fedfrom/model/model.hpp>

inline fedfrom::Model islands(std::uint64_t seed, std::size_t count = 3) {
    using namespace fedfrom;
    std::mt19937_64 random(seed);
    const auto chance = [&](unsigned percent) { return random() % 100 < percent; };
    Model m{.name = "Islands", .edition = "1", .groups = {"systems"}, .given = {{"airborne", true}}};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["cross"] = {.kind = Kind::switch_, .positions = {"OFF", "ON"}, .reach = Reach::cockpit};
    for (std::size_t i = 0; i < count; ++i) {
        const std::string s = "_" + std::to_string(i), other = "_" + std::to_string(i == 0 ? 0 : random() % i);
        const std::size_t buses = 2 + random() % 3;
        const auto bus = [&](std::size_t b) { return "bus" + std::to_string(b % buses) + s; };
        for (std::size_t b = 0; b < buses; ++b) {
            const std::string t = std::to_string(b) + s;
            m.elements["gen" + t] = {.kind = Kind::generator};
            m.elements["line" + t] = {.kind = Kind::contactor, .inputs = {{"control", {{.from = "gen" + t}}}}, .without = {{"control", "open"}}, .protects = chance(60) ? Protection{.needs = Condition("gen" + t)} : Protection{}};
            m.elements["limiter" + t] = {.kind = chance(70) ? Kind::current_limiter : Kind::breaker};
            m.elements[bus(b)] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "gen" + t, .via = {{"line" + t}}}}}}};
        }
        for (std::size_t b = 0; b + (buses == 2) < buses; ++b) m.ties["tie" + std::to_string(b) + s] = {.between = {bus(b), bus(b + 1)}, .via = {{"limiter" + std::to_string(b) + s}}};

        // The transfer closes onto the sub-bus when its own feed is dead, fault or not.
        m.elements["cb_sub" + s] = {.kind = Kind::breaker};
        m.elements["transfer" + s] = {.kind = Kind::contactor, .inputs = {{"control", {{.from = "battery"}}}}, .rest = "open", .goes = {{"closed", not_(bus(0))}}, .without = {{"control", chance(50) ? "stays" : "open"}}, .after_s = chance(50) ? 1.0 : 0.0};
        Port feeds{{.from = bus(0), .via = {{"cb_sub" + s}}}};
        feeds.feeds.push_back({.from = bus(1), .via = {{"transfer" + s}}});
        if (chance(60)) feeds.feeds.push_back({.from = "battery", .via = {{"cross", {"ON"}}}});
        m.elements["sub" + s] = {.kind = Kind::bus, .inputs = {{"power", feeds}}};

        // Where its first feed is dead this bus hunts: the relay of the other one opens as soon as the bus is fed.
        m.elements["cb_odd" + s] = {.kind = Kind::breaker};
        m.elements["odd_relay" + s] = {.kind = Kind::relay, .inputs = {{"control", {{.from = "battery"}}}}, .rest = "open", .goes = {{"closed", not_("odd" + s)}}, .without = {{"control", "open"}}, .after_s = 1};
        Port odd{{.from = "sub" + s, .via = {{"cb_odd" + s}}}};
        odd.feeds.push_back({.from = bus(1), .via = {{"odd_relay" + s}}});
        m.elements["odd" + s] = {.kind = Kind::bus, .inputs = {{"power", odd}}};

        m.elements["reservoir" + s] = {.kind = Kind::reservoir};
        m.elements["cb_pump" + s] = {.kind = Kind::breaker};
        m.elements["pump" + s] = {.kind = Kind::pump, .inputs = {{"power", {{.from = "sub" + s, .via = {{"cb_pump" + s}}}}}, {"hydraulic", {{.from = "reservoir" + s}}}}};
        m.elements["pipe" + s] = {.kind = Kind::pipe, .inputs = {{"hydraulic", {{.from = "pump" + s}}}}};
        m.elements["valve" + s] = {.kind = Kind::valve, .inputs = {{"power", {{.from = "odd" + s}}}}, .goes = {{"closed", not_(given("airborne"))}}, .without = {{"power", "stays"}}};
        m.elements["jack" + s] = {.kind = Kind::actuator, .inputs = {{"hydraulic", {{.from = "pipe" + s, .via = {{"valve" + s}}}}}}};
        if (i > 0 && chance(50)) m.ties["joint" + s] = {.between = {"pipe" + other, "pipe" + s}};
        m.elements["cb_unit" + s] = {.kind = Kind::breaker};
        m.elements["unit" + s] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "sub" + s, .via = {{"cb_unit" + s}}}}}}};
        for (int f = 0; f < 3; ++f) {
            Demand demand;
            if (f == 1) demand.given = {{"airborne", false}};
            if (f == 2) demand.set = {{"cross", "ON"}};
            m.functions["function" + std::to_string(f) + s] = {.name = "Function", .group = "systems", .demand = demand,
                .modes = {{"both", {.rank = 1, .when = all_of({(f == 1 ? "jack" : "unit") + s, "sub" + other})}},
                          {"one", {.rank = 2, .when = any_of({"odd" + s, "unit" + other, bus(buses - 1)})}}}};
        }
    }
    return m;
}
