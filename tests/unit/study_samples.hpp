/// Small aircraft the studies are tested on, each one story practitioners tell.
#pragma once

#include <string>

#include <fedfrom/model/model.hpp>

namespace samples {

using namespace fedfrom;

inline Element bus(std::vector<Feed> feeds, std::string name = {}) { return {.kind = Kind::bus, .name = std::move(name), .inputs = {{"power", {Port::Join::priority, std::move(feeds)}}}}; }
inline Element load(std::vector<Feed> feeds, Kind kind = Kind::consumer) { return {.kind = kind, .inputs = {{"power", {Port::Join::priority, std::move(feeds)}}}}; }

/// Whether a sheet, or a sentence of it, has these words.
inline bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// Two generators, two buses, a tie between them, a standby bus with a selector, gear by a motor valve or by hand.
inline Model two_bus() {
    Model m{.name = "Two-bus example", .edition = "1", .base = "a", .groups = {"gear", "radios"}, .given = {{"airborne", true}, {"engines_running", true}}};
    auto& e = m.elements;
    for (const std::string side : {"l", "r"}) {
        e["eng_" + side] = {.kind = Kind::engine, .needs = given("engines_running")};
        e["gen_" + side] = {.kind = Kind::generator, .name = side == "l" ? "GEN L" : "GEN R", .inputs = {{"drive", {{.from = "eng_" + side}}}}};
    }
    e["battery"] = {.kind = Kind::battery, .name = "BATTERY"};
    e["tie"] = {.kind = Kind::contactor, .name = "BUS TIE", .rest = "open", .goes = {{"closed", not_(all_of({"gen_l", "gen_r"}))}}};
    e["main_l"] = bus({{.from = "gen_l"}, {.tie = "main_tie"}}, "MAIN L");
    e["main_r"] = bus({{.from = "gen_r"}, {.tie = "main_tie"}}, "MAIN R");
    m.ties["main_tie"] = {.between = {"main_l", "main_r"}, .via = {{"tie"}}};
    e["standby_switch"] = {.kind = Kind::switch_, .name = "STANDBY SOURCE", .positions = {"AUTO", "BATT"}, .reach = Reach::cockpit};
    e["standby"] = bus({{.from = "main_l", .via = {{"standby_switch", {"AUTO"}}}}, {.from = "battery", .via = {{"standby_switch", {"BATT"}}}}}, "STANDBY");
    e["standby_light"] = load({{.from = "main_l"}}, Kind::annunciator);
    e["standby_light"].shows = {{"lit", not_("standby")}};
    e["standby_light"].unpowered = "out";
    e["cb_gear"] = {.kind = Kind::breaker};
    e["gear_handle"] = {.kind = Kind::handle, .name = "GEAR HANDLE", .positions = {"UP", "DOWN"}, .reach = Reach::cockpit};
    e["gear_valve"] = {.kind = Kind::valve, .inputs = {{"power", {{.from = "standby", .via = {{"cb_gear"}}}}}}, .follows = Follow{"gear_handle", {{"UP", "closed"}, {"DOWN", "open"}}}, .without = {{"power", "closed"}}};
    e["pump"] = {.kind = Kind::pump, .inputs = {{"drive", {{.from = "eng_l"}}}}};
    e["hyd"] = {.kind = Kind::manifold, .inputs = {{"hydraulic", {{.from = "pump"}}}}};
    e["gear"] = {.kind = Kind::actuator, .inputs = {{"hydraulic", {{.from = "hyd", .via = {{"gear_valve"}}}}}}};
    e["gear_cable"] = {.kind = Kind::manual};
    e["radio"] = load({{.from = "standby"}});
    m.functions["gear_extension"] = {.name = "Extend the gear", .group = "gear", .demand = {.set = {{"gear_handle", "DOWN"}}},
        .modes = {{"powered", {.rank = 1, .when = "gear"}}, {"free_fall", {.rank = 2, .when = "gear_cable", .crew = {"cannot be retracted again"}, .effects = {{"landing_distance", 1.1}}}}},
        .severity = {{Level::lost, Severity::hazardous}, {Level::degraded, Severity::minor}}};
    m.functions["talk"] = {.name = "Talk to ATC", .group = "radios", .modes = {{"radio", {.rank = 1, .when = "radio"}}}, .severity = {{Level::lost, Severity::major}}};
    m.quantities["landing_distance"] = {.unit = "factor"};
    return m;
}

/// A transfer contactor that closes when the bus is dead and opens when it lives: it never comes to rest
/// once the generator is lost.
inline Model chatter() {
    Model m{.name = "Chatter"};
    auto& e = m.elements;
    e["gen"] = {.kind = Kind::generator};
    e["battery"] = {.kind = Kind::battery};
    e["transfer"] = {.kind = Kind::contactor, .rest = "open", .goes = {{"closed", not_("bus")}}, .after_s = 1};
    e["bus"] = bus({{.from = "gen"}, {.from = "battery", .via = {{"transfer"}}}});
    e["radio"] = load({{.from = "bus"}});
    m.functions["talk"] = {.modes = {{"radio", {.rank = 1, .when = "radio"}}}};
    return m;
}

/// The tie's coil hangs on the bus the tie would rescue; the essential bus is rescued by a relay that closes
/// when its coil dies.
inline Model coils() {
    Model m{.name = "Coils"};
    auto& e = m.elements;
    e["gen_l"] = {.kind = Kind::generator};
    e["gen_r"] = {.kind = Kind::generator};
    e["tie"] = {.kind = Kind::contactor, .inputs = {{"control", {{.from = "main_l"}}}}, .rest = "closed"};
    e["main_l"] = bus({{.from = "gen_l"}, {.from = "main_r", .via = {{"tie"}}}});
    e["main_r"] = bus({{.from = "gen_r"}});
    e["rescue"] = {.kind = Kind::relay, .inputs = {{"control", {{.from = "gen_l"}}}}, .rest = "open", .without = {{"control", "closed"}}};
    e["essential"] = bus({{.from = "main_l"}, {.from = "main_r", .via = {{"rescue"}}}});
    return m;
}

/// `n` buses one behind the other.
inline Model chain(std::size_t n) {
    Model m{.name = "Chain"};
    m.elements["gen"] = {.kind = Kind::generator};
    std::string before = "gen";
    for (std::size_t i = 0; i < n; ++i) {
        std::string id = "bus_" + std::to_string(1000000 + i);
        m.elements[id] = bus({{.from = before}});
        before = std::move(id);
    }
    m.elements["radio"] = load({{.from = before}});
    m.functions["talk"] = {.modes = {{"radio", {.rank = 1, .when = "radio"}}}};
    return m;
}

}  // namespace samples
