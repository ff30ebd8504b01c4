/// How long a battery lasts and how much an accumulator or bottle gives: the formulas, apart from any aircraft.
///
///     Discharge constant{};                                   // ampere-hours are ampere-hours, whatever the current
///     discharge_hours(35, 10, constant);                      // 3.5
///     discharge_hours(100, 10, {Discharge::Law::peukert_rated_hours, 1.3, 20});   // 8.1225 hours
///     usable_volume(10, 1000, 3000, 1200, 1);                 // 5.0: isothermal
///     usable_volume(10, 1000, 3000, 1200, 1.4);               // 4.2165: rapid
#pragma once

#include <cstdint>

namespace fedfrom {

/// How a battery's time depends on the current. Peukert's law is written in two ways that differ in what its capacity is. It was
/// measured at the rated current and above; below it would give more than the nameplate, so that there t = C / I.
struct Discharge {
    enum class Law : std::uint8_t {
        constant_current,     ///< t = C / I
        peukert_one_ampere,   ///< t = C / I^k, with C the capacity at one ampere
        peukert_rated_hours,  ///< t = H (C / (I H))^k, with C the capacity at the H-hour rate
    };
    Law law = Law::constant_current;
    double exponent = 1;  ///< k
    double hours = 0;     ///< H
    bool operator==(const Discharge&) const = default;
};

/// Hours a full battery gives a steady current; infinite for none. NotPossible for what is not above 0 or an exponent below 1.
double discharge_hours(double amp_hours, double amps, const Discharge& law = {});

/// The fluid an accumulator gives between two pressures, in the unit of its shell:
/// shell [(precharge / low)^(1/n) - (precharge / high)^(1/n)]. n is 1 where it is slow (isothermal), about 1.4 where it is
/// rapid (adiabatic). Pressures are absolute; with gauge pressures it is the textbook's simplification. Below its precharge
/// an accumulator has no fluid left. 0 where high is not above low.
double usable_volume(double shell, double precharge, double high, double low, double n);

/// The gas a bottle gives between two pressures, at the low one: shell [(high / low)^(1/n) - 1].
double bottle_volume(double shell, double high, double low, double n);

/// A gauge shows pressure above this.
inline constexpr double atmosphere_psi = 14.696;

/// Whole applications in a usable volume.
int applications_in(double usable, double per_application);

}  // namespace fedfrom
