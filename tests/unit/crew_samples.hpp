/// Small aircraft for what crews do: resets onto faults, valves that do not come back, what never comes to rest.
#pragma once

#include "study_samples.hpp"

namespace samples {

inline Function simply(const std::string& element) { return {.modes = {{"on", {.rank = 1, .when = Condition(element)}}}}; }

/// One breaker feeds a heater behind a switch, and a radio. The heater may short.
inline Model heater_and_radio() {
    Model m{.name = "Heater and radio"};
    auto& e = m.elements;
    e["gen"] = {.kind = Kind::generator};
    e["main"] = bus({{.from = "gen"}});
    e["cb_sub"] = {.kind = Kind::breaker, .name = "Sub-bus breaker"};
    e["sub"] = bus({{.from = "main", .via = {{"cb_sub"}}}});
    e["heater_switch"] = {.kind = Kind::switch_, .name = "Heater switch", .positions = {"ON", "OFF"}, .reach = Reach::cockpit};
    e["heater"] = load({{.from = "sub", .via = {{"heater_switch", {"ON"}}}}});
    e["heater"].failures = {{"short", {}}};
    e["radio"] = load({{.from = "sub"}});
    m.functions["talk"] = simply("radio");
    m.functions["heat"] = simply("heater");
    return m;
}

/// The fuel valve is moved by a motor, on the bus of the generator that the engine it feeds drives.
inline Model fuel_valve() {
    Model m{.name = "Fuel valve"};
    auto& e = m.elements;
    e["tank"] = {.kind = Kind::reservoir};
    e["fuel_lever"] = {.kind = Kind::handle, .name = "Fuel lever", .positions = {"RUN", "CUT OFF"}, .reach = Reach::cockpit};
    e["fuel_valve"] = {.kind = Kind::valve, .name = "Fuel valve", .inputs = {{"power", {{.from = "main"}}}}, .rest = "open",
                       .follows = Follow{"fuel_lever", {{"RUN", "open"}, {"CUT OFF", "closed"}}}, .without = {{"power", "stays"}}};
    e["engine"] = {.kind = Kind::engine, .inputs = {{"fuel", {{.from = "tank", .via = {{"fuel_valve"}}}}}}};
    e["gen"] = {.kind = Kind::generator, .inputs = {{"drive", {{.from = "engine"}}}}};
    e["main"] = bus({{.from = "gen"}}, "Main bus");
    m.functions["thrust"] = simply("engine");
    m.functions["power"] = simply("main");
    return m;
}

/// Armed, a transfer closes when its bus is dead and opens when it lives, and so never comes to rest.
inline Model armed_chatter() {
    Model m = chatter();
    m.elements["arm"] = {.kind = Kind::switch_, .positions = {"OFF", "ARM"}, .reach = Reach::cockpit};
    m.elements["transfer"].goes = {{"closed", all_of({not_("bus"), contact("arm", "ARM")})}};
    return m;
}

}  // namespace samples
