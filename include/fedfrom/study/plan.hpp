/// What a state means for the landing: effects combined as the author's book says, each with its root, and the distance.
///
///     Plan p = plan(out, {.landing = Landing{.quantity = "landing_distance", .base_m = 620, .available_m = 1200,
///                                            .rules = {operating_rule("60 percent"), operating_rule("115 percent at arrival")}}});
///     p.quantities[0].value;                 // 1.6: wheel brakes by accumulator
///     p.landing->lines[1].margin_m;          // available less required: below zero the runway is short
///
/// A quantity's effects are those of the mode each function is in, multiplied, added, or the greatest taken. A quantity
/// that counts once per root leaves out an effect where a greater one shares a root cause with it. A rule that holds
/// replaces them. Where a function with effects is unknown, or is lost and no rule says what then, there is no value, and
/// it is said why: nothing is taken to have no effect because the model is silent (rule M33). No operating factor is
/// applied that is not named. It is a sum over the model's figures, and no performance data.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/study/what_works.hpp>
#include <fedfrom/study/why.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// What a landing distance is multiplied by before it is held against the runway.
struct OperatingRule {
    std::string name{};
    double factor = 1;
    std::string source{};  ///< empty: the asker's own
    bool operator==(const OperatingRule&) const = default;
};

/// Those that are known by name, as published: "60 percent", "70 percent", "80 percent", "60 percent wet", "115 percent at arrival".
std::vector<OperatingRule> operating_rules();
/// UnknownId, naming the nearest, for a name not among them.
OperatingRule operating_rule(std::string_view name);

struct Landing {
    std::string quantity{};               ///< that changes the distance: in factor it multiplies, in percent, m or ft it adds
    double base_m = 0;                    ///< the actual distance with nothing failed, in these conditions, from the book
    std::optional<double> available_m{};
    std::vector<OperatingRule> rules{};   ///< a line each
    bool operator==(const Landing&) const = default;
};

/// A line of the approach and landing card, and whose functions stand in it.
struct CardHeading {
    std::string heading{};           ///< "stop", "steer", "clear the runway", "shut down", "evacuate"
    std::vector<std::string> of{};   ///< groups or functions
    bool operator==(const CardHeading&) const = default;
};

struct PlanOptions {
    std::optional<Landing> landing{};
    std::vector<CardHeading> card{};  ///< empty: each group that has a function with an effect on a quantity, under its own name
};

struct PlannedEffect {
    std::string function{};
    std::string mode{}, mode_name{};
    double value = 0;                  ///< in the quantity's unit
    bool counted = true;
    std::string instead{};             ///< not counted: the function with a root cause in common that is
    std::vector<RootCause> roots{};    ///< why the function is as it is; empty: nothing has failed or been set for it
    bool operator==(const PlannedEffect&) const = default;
};

struct PlannedQuantity {
    std::string quantity{}, name{}, unit{};
    Quantity::Combine combine = Quantity::Combine::multiply;
    bool once_per_root = false;
    std::vector<PlannedEffect> effects{};  ///< greatest first, then by function
    std::optional<double> effects_alone{}; ///< those counted, combined; no value: unknown, or there is none to take the greatest of
    std::vector<std::string> rules{};      ///< of the model that hold, by id; the greatest value of theirs replaces the effects
    std::optional<double> value{};         ///< with the rules; as `effects_alone`
    std::vector<std::string> unknown{};    ///< a sentence for each thing that leaves it without a value
    bool operator==(const PlannedQuantity&) const = default;
};

struct LandingLine {
    OperatingRule rule{};
    double required_m = 0, required_ft = 0;
    std::optional<double> margin_m{}, margin_ft{};  ///< available less required
    bool operator==(const LandingLine&) const = default;
};

struct LandingDistance {
    double base_m = 0, base_ft = 0;
    std::optional<double> actual_m{}, actual_ft{};  ///< no value: the quantity has none
    std::optional<double> available_m{}, available_ft{};
    std::vector<LandingLine> lines{};  ///< the actual distance itself, then one a rule, as asked; none where the actual distance is not known
    bool operator==(const LandingDistance&) const = default;
};

struct CardLine {
    std::string heading{};
    std::vector<FunctionLine> functions{};
    bool operator==(const CardLine&) const = default;
};

struct Plan {
    Outcome outcome;
    PlanOptions options{};
    std::vector<PlannedQuantity> quantities{};  ///< in id order
    std::optional<LandingDistance> landing{};
    std::vector<CardLine> card{};
};

inline constexpr double metres_a_foot = 0.3048;

/// UnknownId for a quantity, group or function there is none of; NotPossible for a distance that is none, a factor
/// below 1, or a quantity whose unit does not change a distance.
Plan plan(const Outcome& outcome, const PlanOptions& options = {});

/// Settles a copy of the state first.
Plan plan(const State& state, const PlanOptions& options = {});

/// The card, the effects, the quantities, and the landing distance where asked for.
std::vector<Table> tables(const Plan& plan);
std::string text(const Plan& plan);

}  // namespace fedfrom
