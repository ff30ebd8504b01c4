/// Which sources cannot carry the load that rests on them, and what goes when they drop their bus.
///
///     PowerBalance b = power_balance(state, {.condition = "gear_up", .over = LoadWindow::five_seconds});
///     for (const BalanceRound& round : b.rounds) …   // which sources gave no voltage, and what was lost by it
///     b.possible;                                    // groups of which it is not known: nothing was dropped for them
///     what_works(b.after.state());                   // other questions go on from here
///
/// Sources, and converters, that stand behind one part of the supply in use are a *group*; on it rests what can come from
/// none but its members. A group is overloaded where the least that rests on it is above the most its members are rated at
/// together. How they divide what more than one of them could carry is not known: a source that would be above its rating as
/// the load sheet shares by rating is listed as possible. All overloaded groups give no voltage, at once: what holds itself in drops out, memory moves. Then voltage
/// comes back, for whatever still can run, and loads are added up again. Where that leads to nothing new the load is still
/// on: these sources stay off line until they are reset. This is rule M44.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/study/effect.hpp>
#include <fedfrom/study/load_sheet.hpp>

namespace fedfrom {

/// How long the demand is averaged that a source has to carry.
enum class LoadWindow : std::uint8_t {
    continuous,
    five_minutes,
    five_seconds,
    inrush,  ///< five seconds, with the largest single inrush on top
};

std::string_view name_of(LoadWindow window);

struct PowerBalanceOptions {
    std::string condition{};                   ///< an operating condition of the model
    LoadWindow over = LoadWindow::continuous;
    double times_rating = 1;                   ///< what a source gives for so long, by its rating
};

/// Sources that cannot carry what rests on them, or of which it is not known.
struct Overloading {
    std::vector<std::string> sources{}, names{};  ///< in id order
    Figure demand{}, capacity{};
    std::string unit{};                           ///< amps, volt_amperes or watts, of both
    bool operator==(const Overloading&) const = default;
};

struct BalanceRound {
    std::vector<Overloading> overloaded{};  ///< all that give no voltage at once
    Difference difference{};                ///< while they give none, against just before
    bool stays_off = false;                 ///< the load is on again with the voltage: off line until reset
    bool operator==(const BalanceRound&) const = default;
};

struct PowerBalance {
    Outcome before, after;
    PowerBalanceOptions options{};
    std::vector<BalanceRound> rounds{};
    std::vector<Overloading> possible{};  ///< in any round, as it was last; nothing was dropped for them
    Difference difference{};              ///< of all rounds together
    bool decided = true;                  ///< false: what is possible, or not known, could have dropped more
    std::vector<std::string> missing{};   ///< what is not in the model, so that figures are not sure
    std::vector<std::string> assumptions{};
};

/// Of a settled state (a copy is settled first). What is off line in it stays so. UnknownId for a condition no element names;
/// NotPossible where no element has loads, and for options out of range.
PowerBalance power_balance(const State& state, const PowerBalanceOptions& options);
PowerBalance power_balance(const Outcome& outcome, const PowerBalanceOptions& options);

/// Of the running aircraft.
PowerBalance power_balance(const Network& net, const PowerBalanceOptions& options);

/// Groups that are, or may be, overloaded; functions and elements that stand otherwise in the end, where any do.
std::vector<Table> tables(const PowerBalance& balance);
std::string text(const PowerBalance& balance);

}  // namespace fedfrom
