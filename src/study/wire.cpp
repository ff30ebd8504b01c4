#include <fedfrom/study/wire.hpp>

#include <algorithm>
#include <array>
#include <string>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/model/element.hpp>

namespace fedfrom {
namespace {

// By gauge as in `wire_gauges`: 24, 22, 20 … 0000; 0: the table has no such row.
constexpr std::array<double, 17> breakers{0, 5, 7.5, 10, 15, 20, 30, 40, 50, 80, 100, 125, 0, 0, 0, 0, 0};
constexpr std::array<double, 17> ohms{28.40, 16.20, 9.88, 6.23, 4.81, 3.06, 2.02, 1.26, 0.70, 0.44, 0.28, 0.18, 0.15, 0.12, 0.09, 0.07, 0.06};

std::size_t place_of(std::string_view gauge) {
    const auto found = std::ranges::find(wire_gauges, gauge);
    if (found == wire_gauges.end()) throw NotPossible("`" + std::string(gauge) + "` is no wire gauge; they are 24 to 0000.");
    return static_cast<std::size_t>(found - wire_gauges.begin());
}

}  // namespace

std::optional<double> chart_breaker_amps(std::string_view gauge) {
    const double amps = breakers[place_of(gauge)];
    return amps > 0 ? std::optional(amps) : std::nullopt;
}

double ohms_per_1000_feet(std::string_view gauge) { return ohms[place_of(gauge)]; }

double voltage_drop(std::string_view gauge, double feet, double amps) { return ohms_per_1000_feet(gauge) / 1000 * feet * amps; }

std::optional<double> allowed_drop_volts(double system_volts) {
    constexpr std::array<std::array<double, 2>, 4> rows{{{14, 0.5}, {28, 1}, {115, 4}, {200, 7}}};
    for (const auto& [volts, drop] : rows)
        if (volts == system_volts) return drop;
    return std::nullopt;
}

}  // namespace fedfrom
