/// An open dispatch item: which unit of it is out, when that was found, and until when it may stay so.
///
///     Deferral d{.item = "gen_24_30", .unit = "left", .found = 2024y / September / 10};
///     last_repair_day("C", *d.found);                   // 20 September 2024
///
/// A deferral is not a failure: its elements are taken out, and what is secured stands in the position it is
/// secured in, whatever moves it otherwise.
#pragma once

#include <array>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/study/impact_table.hpp>

namespace fedfrom {

struct Deferral {
    std::string item{};
    std::string unit{};  ///< may be left out where the item has one unit, or none
    std::optional<std::chrono::year_month_day> found{};
    bool operator==(const Deferral&) const = default;
};

/// The last day of the repair interval: consecutive calendar days, the day of discovery excluded. B 3, C 10,
/// D 120; no value for A, whose interval is what the remarks say. NotPossible for another word or no day of the calendar.
std::optional<std::chrono::year_month_day> last_repair_day(std::string_view category, std::chrono::year_month_day found);

/// The days of a category; no value for A.
std::optional<int> repair_days(std::string_view category);

/// How a condition of an item stands, with the item deferred.
enum class Met : std::uint8_t {
    met,            ///< as things stand
    if_set,         ///< not as things stand, but with the selections or givens that the conditions name
    not_met,
    not_decidable,  ///< the model does not say; never counted as met
};

inline constexpr std::string_view name_of(Met met) {
    constexpr std::array<std::string_view, 4> names{"met", "if_set", "not_met", "not_decidable"};
    return names[static_cast<std::size_t>(met)];
}

struct Provided {
    std::string text{};    ///< the condition in words
    Met met = Met::not_decidable;
    std::string reason{};  ///< what is in the way, or what to set; empty: nothing to say
    bool operator==(const Provided&) const = default;
};

/// Deferrals that do not go together, or cost more together than each does alone.
struct Conflict {
    enum class Why : std::uint8_t {
        count,          ///< more units of an item out than it allows
        contradiction,  ///< the conditions, or the positions secured in, cannot all be had at once
        condition,      ///< one breaks a condition of the other
        not_decidable,  ///< with the other, the model no longer says whether a condition is met
        together,       ///< a function stands worse than with any of them alone
    };
    Why why = Why::together;
    std::vector<Deferral> deferrals{};  ///< in the order of the items; the one whose condition it is first
    std::string text{};                 ///< why, in a sentence
    std::string condition{};            ///< of `condition` and `not_decidable`: which, as `Provided::text` has it
    std::vector<Change> changes{};      ///< of `together`
    std::optional<Severity> severity{}; ///< the worst of the changes
    bool operator==(const Conflict&) const = default;
};

inline constexpr std::string_view name_of(Conflict::Why why) {
    constexpr std::array<std::string_view, 5> names{"count", "contradiction", "condition", "not_decidable", "together"};
    return names[static_cast<std::size_t>(why)];
}

}  // namespace fedfrom
