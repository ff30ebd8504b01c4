/// Small electrical systems for load sheets and endurance.
#pragma once

#include "study_samples.hpp"

namespace samples {

/// Without line breaks.
inline std::string flat(std::string text) {
    for (std::size_t at; (at = text.find_first_of("\n")) != std::string::npos;) text[at] = ' ';
    return text;
}

inline Element drawing(Element e, const std::string& condition, Load load) {
    e.loads[condition] = load;
    return e;
}

/// Two generators in parallel through a bus tie, an inverter, a standby bus with a battery.
inline Model loaded() {
    Model m{.name = "Loaded"};
    auto& e = m.elements;
    for (const std::string side : {"l", "r"}) {
        e["gen_" + side] = {.kind = Kind::generator, .rating = {{"amps", side == "l" ? 300 : 100}, {"volts", 28}}};
        e["main_" + side] = {.kind = Kind::bus, .inputs = {{"power", {Port::Join::parallel, {{.from = "gen_" + side}, {.tie = "main_tie"}}}}}};
    }
    e["tie_breaker"] = {.kind = Kind::breaker, .rating = {{"amps", 50}}};
    m.ties["main_tie"] = {.between = {"main_l", "main_r"}, .via = {{"tie_breaker"}}};
    e["cb_inverter"] = {.kind = Kind::breaker, .rating = {{"amps", 10}}, .wire = Wire{.gauge = "20", .feet = 20}};
    e["inverter"] = {.kind = Kind::inverter, .inputs = {{"power", {{.from = "main_l", .via = {{"cb_inverter"}}}}}}, .rating = {{"volts", 115}, {"volt_amperes", 250}, {"efficiency", 0.8}}};
    e["gyro"] = drawing(load({{.from = "inverter"}}), "cruise", {.volt_amperes = 100, .power_factor = 0.6});
    e["heater"] = drawing(load({{.from = "main_r"}}, Kind::heater), "cruise", {.amps = 60});
    e["pump"] = drawing(load({{.from = "main_l"}}, Kind::pump), "cruise", {.amps = 30, .duty_s = 30, .inrush_amps = 100});
    e["battery"] = {.kind = Kind::battery, .rating = {{"volts", 24}}, .store = Store{.amp_hours = 20}};
    e["standby"] = bus({{.from = "main_r"}, {.from = "battery"}});
    e["radio"] = drawing(load({{.from = "standby"}}), "cruise", {.amps = 5});
    return m;
}

/// A battery alone, with what three phases of an emergency draw.
inline Model alternator_lost() {
    Model m{.name = "Alternator lost"};
    auto& e = m.elements;
    e["battery"] = {.kind = Kind::battery, .rating = {{"volts", 12}}, .store = Store{.amp_hours = 35}};
    e["bus"] = bus({{.from = "battery"}});
    e["cb_avionics"] = {.kind = Kind::breaker};
    e["avionics"] = load({{.from = "bus", .via = {{"cb_avionics"}}}});
    e["avionics"].loads = {{"before", {.amps = 43.5}}, {"cruise", {.amps = 34.0}}, {"landing", {.amps = 48.1}}};
    return m;
}

}  // namespace samples
