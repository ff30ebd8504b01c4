/// Wires and what protects them: the tables of AC 43.13-1B, chapter 11.
///
///     chart_breaker_amps("20");             // 7.5: the breaker Table 11-3 puts before a wire of that gauge
///     voltage_drop("6", 107, 20);           // 0.9416 volts over 107 feet one way at 20 amperes
///     allowed_drop_volts(28);               // 1.0 volt for a continuous load on a 28-volt system
///
/// Copper wire at 20 degrees Celsius. A gauge is a word, "24" to "0000"; what is no gauge throws NotPossible.
#pragma once

#include <optional>
#include <string_view>

namespace fedfrom {

/// Table 11-3: the breaker for a copper wire, amperes; no value where the chart gives none.
std::optional<double> chart_breaker_amps(std::string_view gauge);

/// Table 11-9: ohms of 1000 feet.
double ohms_per_1000_feet(std::string_view gauge);

/// The voltage lost along `feet` of wire at `amps`: ohms per foot times feet times amperes.
double voltage_drop(std::string_view gauge, double feet, double amps);

/// Paragraph 11-66: the drop allowed for a continuous load on a system of 14, 28, 115 or 200 volts; no value for any other.
std::optional<double> allowed_drop_volts(double system_volts);

}  // namespace fedfrom
