/// What the crew cares about, and what analyses read beside it: functions and
/// quantities, checks, dispatch items, common causes, variants.
///
///     Function gear{.group = "gear",
///                   .demand = {.set = {{"gear_handle", "DOWN"}}},
///                   .modes = {{"powered", {.rank = 1, .when = "gear"}},
///                             {"free_fall", {.rank = 2, .when = "gear_cable"}}}};
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/model/condition.hpp>

namespace fedfrom {

/// How well a function works, best first.
enum class Level : std::uint8_t { normal, degraded, lost, not_fitted, unknown };

inline constexpr std::string_view name_of(Level level) {
    constexpr std::array<std::string_view, 5> names{"normal", "degraded", "lost", "not_fitted", "unknown"};
    return names[static_cast<std::size_t>(level)];
}

enum class Severity : std::uint8_t { no_effect, minor, major, hazardous, catastrophic };

inline constexpr std::string_view name_of(Severity severity) {
    constexpr std::array<std::string_view, 5> names{"no_effect", "minor", "major", "hazardous", "catastrophic"};
    return names[static_cast<std::size_t>(severity)];
}

/// Crew selections and givens, as a demand or a step of a check applies them.
struct Demand {
    std::map<std::string, std::string> set{};
    std::map<std::string, bool> given{};
    bool operator==(const Demand&) const = default;
};

struct Mode {
    int rank = 1;  ///< 1 is best
    Condition when{};
    std::string name{};
    std::vector<std::string> crew{};
    std::map<std::string, double> effects{};  ///< by quantity
    std::map<std::string, int> spend{};       ///< applications taken from a store, one-shot modes
    std::vector<std::string> bars{};          ///< modes of this function no longer possible once used
    bool operator==(const Mode&) const = default;
};

struct Function {
    std::string name{}, group{}, ata{};
    std::vector<std::string> aliases{};
    Demand demand{};
    std::map<std::string, Mode> modes{};
    std::map<Level, Severity> severity{};  ///< of `degraded` and `lost`
    bool operator==(const Function&) const = default;
};

/// Replaces what single effects would add up to, while `when` holds.
struct Rule {
    Condition when{};
    double value = 1;
    std::string name{};
    bool operator==(const Rule&) const = default;
};

struct Quantity {
    enum class Combine { multiply, add, max };
    std::string name{}, unit{};
    Combine combine = Combine::multiply;
    bool once_per_root = false;
    std::map<std::string, Rule> rules{};
    bool operator==(const Quantity&) const = default;
};

struct CheckStep {
    Demand act{};  ///< JSON key `do`
    std::string look_at{}, expect{};
    bool operator==(const CheckStep&) const = default;
};

struct Check {
    std::string name{};
    std::vector<CheckStep> steps{};
    bool operator==(const Check&) const = default;
};

struct DispatchUnit {
    std::string name{};
    std::vector<std::string> elements{};
    std::map<std::string, std::string> secured{};  ///< element to the position it is secured in
    bool operator==(const DispatchUnit&) const = default;
};

struct DispatchItem {
    std::string name{}, ata{}, category{};  ///< repair category A, B, C or D
    int installed = 0, required = 0;
    std::map<std::string, DispatchUnit> units{};
    std::vector<Condition> provided{};
    std::vector<std::string> maintenance{}, operational{}, remarks{};  ///< (M), (O), remarks
    bool operator==(const DispatchItem&) const = default;
};

/// One failure of an element; `mode` empty in JSON's short form means loss.
struct FailureRef {
    std::string element{};
    std::string mode = "loss";
    std::string at{};  ///< `stuck` only
    bool operator==(const FailureRef&) const = default;
};

/// Failures that one thing brings about together. `rate` per flight hour, `probability` per flight; not both.
struct CommonCause {
    std::string name{};
    std::optional<double> rate{}, probability{};
    std::vector<FailureRef> fails{};
    bool operator==(const CommonCause&) const = default;
};

/// A patch on the base or on another variant, kept as JSON text: an object is a
/// merge patch (RFC 7396), an array a list of operations (RFC 6902).
struct Variant {
    std::string name{}, on{};
    std::string patch{};
    bool operator==(const Variant&) const = default;
};

}  // namespace fedfrom
