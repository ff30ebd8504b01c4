#include <fedfrom/study/storage.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include <fedfrom/model/diagnostic.hpp>

namespace fedfrom {

double discharge_hours(double amp_hours, double amps, const Discharge& law) {
    if (!(amp_hours > 0)) throw NotPossible("A battery's capacity is above 0 ampere-hours.");
    if (!(law.exponent >= 1)) throw NotPossible("Peukert's exponent is 1 or more.");
    if (!(amps >= 0)) throw NotPossible("A battery's current is 0 amperes or more.");
    if (amps == 0) return std::numeric_limits<double>::infinity();
    const double nameplate = amp_hours / amps;  // below the rated current Peukert's law would give more, which nobody measured
    switch (law.law) {
        case Discharge::Law::peukert_one_ampere: return std::min(nameplate, amp_hours / std::pow(amps, law.exponent));
        case Discharge::Law::peukert_rated_hours:
            if (!(law.hours > 0)) throw NotPossible("The rate of a capacity is above 0 hours.");
            return std::min(nameplate, law.hours * std::pow(amp_hours / (amps * law.hours), law.exponent));
        default: return nameplate;
    }
}

namespace {

void check(double shell, double pressure, double low, double n) {
    if (!(shell > 0) || !(pressure > 0) || !(low > 0) || !(n >= 1)) throw NotPossible("Volume and pressures are above 0, and n is 1 or more.");
}

}  // namespace

double usable_volume(double shell, double precharge, double high, double low, double n) {
    check(shell, precharge, low, n);
    const auto gas = [&](double pressure) { return shell * std::pow(precharge / std::max(pressure, precharge), 1 / n); };
    return std::max(0.0, gas(low) - gas(high));
}

double bottle_volume(double shell, double high, double low, double n) {
    check(shell, high, low, n);
    return high > low ? shell * (std::pow(high / low, 1 / n) - 1) : 0;
}

int applications_in(double usable, double per_application) {
    if (!(per_application > 0)) throw NotPossible("An application takes more than nothing.");
    constexpr double rounding = 1e-9;  // five litres of one litre are five
    return static_cast<int>(std::min(std::floor(usable / per_application * (1 + rounding)), 1e9));
}

}  // namespace fedfrom
