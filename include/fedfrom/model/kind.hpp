/// The kinds of element: the trade's words and the defaults each one sets.
///
/// A kind never carries meaning of its own: everything it does is in its row of
/// this one table, and an author can write the same facts out on any element.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

namespace fedfrom {

enum class Kind : std::uint8_t {
    bus, feeder, pipe, manifold,
    breaker, fuse, current_limiter, contactor, relay,
    switch_, selector, handle, valve, diode, check_valve,
    engine, battery, external_power, ram_air_turbine, reservoir, accumulator, bottle, manual,
    generator, starter_generator, alternator, inverter, transformer_rectifier, charger,
    pump,
    controller, sensor, actuator, motor, consumer, heater, light, gauge, annunciator, panel,
};

/// Who can move or reset a thing directly.
enum class Reach : std::uint8_t { nobody, cockpit, cabin, ground };

/// One row of the kind table. Lists are short and fixed; unused places are empty.
struct KindRow {
    using Words = std::array<std::string_view, 3>;
    Kind kind;
    std::string_view name;
    Words positions{};            ///< the first is the rest position
    Words passes_in{};
    Words failures{"loss"};       ///< default failure modes
    Reach reach = Reach::nobody;  ///< who moves it
    bool source = false;          ///< a source while it has no ports
    bool conductor = false;       ///< bus, feeder, pipe, manifold: a fault comes back out of it
    bool protects = false;        ///< trips
    Reach resets = Reach::ground; ///< who resets it once tripped
    bool one_way = false;         ///< diode, check valve
    bool contacts = false;        ///< lost: its contacts are blank in every position
    bool opens_without_control = false;
    bool isolates = false;        ///< what drags its output down goes no further up
    bool stores_energy = false;   ///< battery, accumulator, bottle
    bool stores_fluid = false;    ///< a leak that reaches it empties it
};

inline constexpr std::array<KindRow, 40> kind_table{{
    {.kind = Kind::bus, .name = "bus", .failures = {"loss", "short"}, .conductor = true},
    {.kind = Kind::feeder, .name = "feeder", .failures = {"loss", "short"}, .conductor = true},
    {.kind = Kind::pipe, .name = "pipe", .failures = {"loss", "leak"}, .conductor = true},
    {.kind = Kind::manifold, .name = "manifold", .failures = {"loss", "leak"}, .conductor = true},
    {.kind = Kind::breaker, .name = "breaker", .positions = {"in", "pulled"}, .passes_in = {"in"}, .failures = {"loss", "no_trip"}, .reach = Reach::cockpit, .protects = true, .resets = Reach::cockpit},
    {.kind = Kind::fuse, .name = "fuse", .positions = {"in"}, .passes_in = {"in"}, .failures = {"loss", "no_trip"}, .protects = true},
    {.kind = Kind::current_limiter, .name = "current_limiter", .positions = {"in"}, .passes_in = {"in"}, .failures = {"loss", "no_trip"}, .protects = true},
    {.kind = Kind::contactor, .name = "contactor", .positions = {"closed", "open"}, .passes_in = {"closed"}, .failures = {"loss", "stuck"}, .opens_without_control = true},
    {.kind = Kind::relay, .name = "relay", .positions = {"closed", "open"}, .passes_in = {"closed"}, .failures = {"loss", "stuck"}, .opens_without_control = true},
    {.kind = Kind::switch_, .name = "switch", .failures = {"loss", "stuck"}, .reach = Reach::cockpit, .contacts = true},
    {.kind = Kind::selector, .name = "selector", .failures = {"loss", "stuck"}, .reach = Reach::cockpit, .contacts = true},
    {.kind = Kind::handle, .name = "handle", .failures = {"loss", "stuck"}, .reach = Reach::cockpit, .contacts = true},
    {.kind = Kind::valve, .name = "valve", .positions = {"open", "closed"}, .passes_in = {"open"}, .failures = {"loss", "stuck"}},
    {.kind = Kind::diode, .name = "diode", .failures = {"loss", "short"}, .one_way = true},
    {.kind = Kind::check_valve, .name = "check_valve", .failures = {"loss", "short"}, .one_way = true},
    {.kind = Kind::engine, .name = "engine", .source = true},
    {.kind = Kind::battery, .name = "battery", .source = true, .stores_energy = true},
    {.kind = Kind::external_power, .name = "external_power", .source = true},
    {.kind = Kind::ram_air_turbine, .name = "ram_air_turbine", .source = true},
    {.kind = Kind::reservoir, .name = "reservoir", .source = true, .stores_fluid = true},
    {.kind = Kind::accumulator, .name = "accumulator", .source = true, .stores_energy = true, .stores_fluid = true},
    {.kind = Kind::bottle, .name = "bottle", .source = true, .stores_energy = true, .stores_fluid = true},
    {.kind = Kind::manual, .name = "manual", .source = true},
    {.kind = Kind::generator, .name = "generator", .failures = {"loss", "short"}, .isolates = true},
    {.kind = Kind::starter_generator, .name = "starter_generator", .failures = {"loss", "short"}, .isolates = true},
    {.kind = Kind::alternator, .name = "alternator", .failures = {"loss", "short"}, .isolates = true},
    {.kind = Kind::inverter, .name = "inverter", .failures = {"loss", "short"}, .isolates = true},
    {.kind = Kind::transformer_rectifier, .name = "transformer_rectifier", .failures = {"loss", "short"}, .isolates = true},
    {.kind = Kind::charger, .name = "charger", .failures = {"loss", "short"}, .isolates = true},
    {.kind = Kind::pump, .name = "pump", .failures = {"loss", "leak"}},
    {.kind = Kind::controller, .name = "controller"},
    {.kind = Kind::sensor, .name = "sensor"},
    {.kind = Kind::actuator, .name = "actuator"},
    {.kind = Kind::motor, .name = "motor"},
    {.kind = Kind::consumer, .name = "consumer"},
    {.kind = Kind::heater, .name = "heater"},
    {.kind = Kind::light, .name = "light"},
    {.kind = Kind::gauge, .name = "gauge"},
    {.kind = Kind::annunciator, .name = "annunciator"},
    {.kind = Kind::panel, .name = "panel"},
}};

inline constexpr const KindRow& row(Kind kind) { return kind_table[static_cast<std::size_t>(kind)]; }

inline constexpr std::optional<Kind> kind_named(std::string_view name) {
    if (name.empty()) return std::nullopt;
    for (const KindRow& r : kind_table)
        if (r.name.front() == name.front() && r.name == name) return r.kind;
    return std::nullopt;
}

/// The words of a fixed list, without its empty places.
inline constexpr std::span<const std::string_view> words(const KindRow::Words& list) {
    std::size_t n = 0;
    while (n < list.size() && !list[n].empty()) ++n;
    return {list.data(), n};
}

inline constexpr std::string_view name_of(Reach reach) {
    constexpr std::array<std::string_view, 4> names{"nobody", "cockpit", "cabin", "ground"};
    return names[static_cast<std::size_t>(reach)];
}

}  // namespace fedfrom
