/// How long a battery lasts in a state, what shedding buys, and how often an accumulator or bottle can be used.
///
///     Endurance e = endurance(state, {.condition = "g10_emergency", .shed_after_min = 5, .landing_min = 10,
///                                     .derating = 0.75, .charge = 1, .required_min = 30});
///     e.batteries[0].minutes;                // of the whole time, the reserve for landing with it
///     e.batteries[0].passed;                 // true: long enough; no value: not decided
///     e.batteries[0].sheds;                  // minutes each load shed buys, best first
///
/// A battery gives what the load sheet puts on it in three phases: until what failed is recognised and loads are shed, then
/// for as long as it lasts, then the landing for which a reserve is held back. An intermittent load draws its duty once in
/// each phase. Capacity is nameplate by derating by state of charge; where one of these, or a load, is not said, the time is
/// "at most" so long and no minimum is passed. Nothing is put back by a charger. An accumulator gives its fluid, a bottle its
/// gas, between two pressures: slowly (isothermal) and rapidly (polytropic).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/load_sheet.hpp>
#include <fedfrom/study/storage.hpp>

namespace fedfrom {

struct EnduranceOptions {
    std::string store{};      ///< a battery, accumulator or bottle; empty: every one
    std::string condition{};  ///< the operating condition on the battery; asked for where a battery is
    std::string before{};     ///< until loads are shed; empty: the same condition
    std::string landing{};    ///< in the reserve for landing; empty: the same condition
    std::optional<double> shed_after_min{};  ///< from the failure until it is recognised and loads are shed
    std::optional<double> landing_min{};     ///< held back for the landing
    std::optional<double> derating{};        ///< usable part of the nameplate capacity, above 0 to 1
    std::optional<double> charge{};          ///< state of charge, above 0 to 1
    Discharge discharge{};
    std::vector<std::string> shed{};         ///< loads that are shed
    std::optional<double> required_min{};
    std::optional<int> required_applications{};
    double rapid_exponent = 1.4;             ///< n of a rapid discharge of gas
};

struct BatteryPhase {
    enum class What : std::uint8_t { before_shedding, after_shedding, landing };
    What what = What::after_shedding;
    std::string condition{};
    Figure minutes{}, amps{};  ///< amperes: continuous
    Figure once_amp_minutes{}; ///< intermittent loads, once
    bool operator==(const BatteryPhase&) const = default;
};

std::string_view name_of(BatteryPhase::What what);

/// A load of the battery that could be shed as well.
struct ShedLoad {
    std::string id{}, name{};
    Figure amps{};            ///< at the battery, continuous, after shedding
    Figure bought_min{};      ///< by this one alone
    Figure total_min{};       ///< with it and all before it in this list
    std::string off_by{};     ///< the nearest device the crew reaches that cuts it off; empty: none
    std::vector<std::string> also_off{};  ///< loads of this battery the same device cuts off
    bool operator==(const ShedLoad&) const = default;
};

struct BatteryEndurance {
    std::string id{}, name{};
    Status status = Status::unknown;
    std::optional<double> volts{}, amp_hours{};
    std::optional<double> usable_amp_hours{};  ///< nameplate by derating by charge
    bool in_use = false;      ///< it carries, or may carry, load in this state
    Figure minutes{};         ///< in all; no value at all: not in use, or not known
    std::optional<bool> reserve_kept{};  ///< what is held back for the landing is left; no value: none is, or not known
    std::vector<BatteryPhase> phases{};
    std::optional<bool> passed{};  ///< against `required_min`; no value: none asked for, or not decided
    std::vector<ShedLoad> sheds{}; ///< the one that buys most first: the best order
    std::string charger{};         ///< empty: the model names none
    std::optional<bool> charger_supplied{};
    bool operator==(const BatteryEndurance&) const = default;
};

struct GasEndurance {
    std::string id{}, name{};
    Status status = Status::unknown;
    bool bottle = false;                ///< gives its gas; an accumulator gives fluid
    std::optional<double> slow_litres{}, rapid_litres{};  ///< usable between its pressures; no value: a figure is missing
    std::optional<int> slow_applications{}, rapid_applications{};
    std::optional<int> stated{};        ///< applications its author gives it, less those taken
    std::optional<bool> passed{};       ///< against `required_applications`, by the least of these
    std::string missing{};
    bool operator==(const GasEndurance&) const = default;
};

struct Endurance {
    Outcome outcome;
    EnduranceOptions options{};
    std::vector<BatteryEndurance> batteries{};  ///< in id order
    std::vector<GasEndurance> gas{};            ///< accumulators and bottles that say what they hold, in id order
    std::vector<std::string> missing{}, assumptions{};
};

/// Of a settled state (a copy is settled first). UnknownId for a store, condition or load that is none; NotPossible for
/// options out of range.
Endurance endurance(const State& state, const EnduranceOptions& options);
Endurance endurance(const Outcome& outcome, const EnduranceOptions& options);

/// Batteries, what shedding buys, accumulators and bottles: those that have rows.
std::vector<Table> tables(const Endurance& endurance);
std::string text(const Endurance& endurance);

}  // namespace fedfrom
