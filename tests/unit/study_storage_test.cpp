#include "catch.hpp"

#include <cmath>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/study/storage.hpp>
#include <fedfrom/study/wire.hpp>

using namespace fedfrom;

TEST_CASE("a constant current takes its ampere-hours", "[study][storage]") {
    CHECK(discharge_hours(35, 10) == Approx(3.5));
    CHECK(std::isinf(discharge_hours(35, 0)));
    CHECK_THROWS_AS(discharge_hours(0, 1), NotPossible);
    CHECK_THROWS_AS(discharge_hours(35, -1), NotPossible);
}

TEST_CASE("Peukert's law with the capacity at one ampere", "[study][storage]") {
    // electrotechnik.net, "Peukert law and discharge of lead acid batteries": 100, k 1.2, 5 A: 14.5 h
    CHECK(discharge_hours(100, 5, {Discharge::Law::peukert_one_ampere, 1.2}) == Approx(14.4956).margin(5e-5));
    // easycalculation.com, "Battery capacity discharge time": 250, k 1.3, 20 A
    const double hours = discharge_hours(250, 20, {Discharge::Law::peukert_one_ampere, 1.3});
    CHECK(hours == Approx(5.088631644).margin(1e-9));
    CHECK(hours * 20 == Approx(101.772632884).margin(1e-8));
}

TEST_CASE("Peukert's law with the capacity at a rate", "[study][storage]") {
    // t = H (C / (I H))^k, "In-Depth Analysis of the Maths Behind Peukert's Equation": 100 Ah at 20 h; values computed
    const Discharge flooded{Discharge::Law::peukert_rated_hours, 1.3, 20};
    CHECK(discharge_hours(100, 5, flooded) == Approx(20));
    CHECK(discharge_hours(100, 10, flooded) == Approx(8.12252396).margin(1e-8));
    CHECK(discharge_hours(100, 20, flooded) == Approx(3.29876977).margin(1e-8));
    CHECK(discharge_hours(100, 50, flooded) == Approx(1.00237447).margin(1e-8));
    CHECK(discharge_hours(100, 100, flooded) == Approx(0.40709053).margin(1e-8));
    const Discharge other{Discharge::Law::peukert_rated_hours, 1.2, 20};
    CHECK(discharge_hours(100, 10, other) == Approx(8.70550563).margin(1e-8));
    CHECK(discharge_hours(100, 20, other) == Approx(3.78929142).margin(1e-8));
    CHECK(discharge_hours(100, 50, other) == Approx(1.26191466).margin(1e-8));
    CHECK(discharge_hours(100, 100, other) == Approx(0.54928027).margin(1e-8));
    CHECK_THROWS_AS(discharge_hours(100, 1, {Discharge::Law::peukert_rated_hours, 1.2, 0}), NotPossible);
    CHECK_THROWS_AS(discharge_hours(100, 1, {Discharge::Law::peukert_one_ampere, 0.9}), NotPossible);
}

TEST_CASE("below the rated current Peukert's law gives the nameplate and no more", "[study][storage]") {
    CHECK(discharge_hours(100, 1, {Discharge::Law::peukert_rated_hours, 1.3, 20}) == Approx(100));
    CHECK(discharge_hours(100, 4.9, {Discharge::Law::peukert_rated_hours, 1.3, 20}) == Approx(100 / 4.9));
    CHECK(discharge_hours(100, 0.5, {Discharge::Law::peukert_one_ampere, 1.2}) == Approx(200));
    CHECK(discharge_hours(100, 1, {Discharge::Law::peukert_one_ampere, 1.2}) == Approx(100));
}

TEST_CASE("an accumulator gives what lies between two pressures, slowly and rapidly", "[study][storage]") {
    // petrolengineering.com, "Calculate accumulator capacity: usable volume per bottle": gauge pressures, isothermal: 5.00 gal
    CHECK(usable_volume(10, 1000, 3000, 1200, 1) == Approx(5));
    // the same, absolute, and rapid; computed
    CHECK(usable_volume(10, 1000 + atmosphere_psi, 3000 + atmosphere_psi, 1200 + atmosphere_psi, 1) == Approx(4.98767).margin(5e-6));
    CHECK(usable_volume(10, 1000, 3000, 1200, 1.4) == Approx(4.21648).margin(5e-6));
    // machinecalcs.com, "Hydraulic accumulator sizing": 1 l between 200 and 100 bar, precharge 90, n 1.4, absolute: shell 2.7744 l
    constexpr double bar = 1.01325;
    const double part = usable_volume(1, 90 + bar, 200 + bar, 100 + bar, 1.4);
    CHECK(part == Approx(0.3604369).margin(5e-8));
    CHECK(1 / part == Approx(2.7744).margin(5e-5));
    CHECK(usable_volume(10, 1000, 3000, 500, 1) == Approx(usable_volume(10, 1000, 3000, 1000, 1)));  // below its precharge it has no fluid
    CHECK(usable_volume(10, 1000, 900, 800, 1) == 0);
    CHECK(usable_volume(10, 1000, 1200, 1300, 1) == 0);
    CHECK_THROWS_AS(usable_volume(10, 1000, 3000, 0, 1), NotPossible);
}

TEST_CASE("a bottle gives gas as Boyle and the polytropic law have it", "[study][storage]") {
    // p V^n is the same before and after (definition)
    CHECK(bottle_volume(2, 3000, 1000, 1) == Approx(4));
    const double after = 2 + bottle_volume(2, 3000, 1000, 1.4);
    CHECK(1000 * std::pow(after, 1.4) == Approx(3000 * std::pow(2, 1.4)));
    CHECK(bottle_volume(2, 900, 1000, 1) == 0);
}

TEST_CASE("whole applications are counted", "[study][storage]") {
    CHECK(applications_in(5, 1) == 5);
    CHECK(applications_in(0.3, 0.1) == 3);  // as written, not as 0.1 is stored
    CHECK(applications_in(0.99, 1) == 0);
    CHECK_THROWS_AS(applications_in(1, 0), NotPossible);
}

TEST_CASE("a wire loses its resistance times the current", "[study][wire]") {
    // AC 43.13-1B, Tables 11-7 and 11-8. Table 11-8 prints .366 V for 19.5 feet of No. 10, a misprint: .00126 x 19.5 x 20 is .4914
    struct Row {
        const char* gauge;
        double feet, amps, volts, printed, within;
    };
    for (const Row& r : {Row{"6", 107, 20, 0.9416, 0.942, 0.0005}, {"4", 90, 20, 0.504, 0.504, 1e-9}, {"12", 88, 20, 3.5552, 3.60, 0.05}, {"14", 100, 20, 6.12, 6.12, 1e-9},
                         {"10", 39, 20, 0.9828, 0.98, 0.005}, {"10", 19.5, 20, 0.4914, 0.4914, 1e-9}, {"10", 156, 20, 3.9312, 3.93, 0.005}, {"10", 273, 20, 6.8796, 6.88, 0.005}}) {
        CHECK(voltage_drop(r.gauge, r.feet, r.amps) == Approx(r.volts));
        CHECK(std::abs(voltage_drop(r.gauge, r.feet, r.amps) - r.printed) <= r.within);
    }
    // AC 43.13-1B, example 1 of 11-69: 50 feet, 20 A, 28 V, continuous: No. 8 is the thinnest that will do
    CHECK(voltage_drop("8", 50, 20) <= allowed_drop_volts(28));
    CHECK(voltage_drop("10", 50, 20) > allowed_drop_volts(28));
    CHECK(allowed_drop_volts(14) == 0.5);
    CHECK(allowed_drop_volts(115) == 4);
    CHECK(allowed_drop_volts(200) == 7);
    CHECK_FALSE(allowed_drop_volts(24));
}

TEST_CASE("the chart puts a breaker before every wire", "[study][wire]") {
    // AC 43.13-1B, Table 11-3
    CHECK(chart_breaker_amps("22") == 5);
    CHECK(chart_breaker_amps("20") == 7.5);
    CHECK(chart_breaker_amps("2") == 125);
    CHECK_FALSE(chart_breaker_amps("0"));
    CHECK_FALSE(chart_breaker_amps("24"));
    CHECK_THROWS_AS(chart_breaker_amps("21"), NotPossible);
}
