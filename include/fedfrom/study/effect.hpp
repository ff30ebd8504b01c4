/// What crew actions do to a settled aircraft: what differs, whether a fault is powered again, what cannot be undone.
///
///     Difference d = difference(before, after);
///     for (const Change& c : d.gained) …             // functions that stand better
///
/// Shared by `preview`, `restore`, `follow` and `dead_controls`. An *action* is what a crew can do: a position, a reset
/// of a tripped device, the use of a one-shot mode. Several are taken in one step.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/solve/step.hpp>
#include <fedfrom/study/impact_table.hpp>
#include <fedfrom/study/what_works.hpp>

namespace fedfrom {

/// A function whose operation as things stand differs; no value: unknown.
struct Operation {
    std::string function{};
    std::optional<bool> before{}, after{};
    bool operator==(const Operation&) const = default;
};

struct ElementChange {
    std::string id{}, name{};
    Status before = Status::unknown, after = Status::unknown;
    std::string position_before{}, position_after{};        ///< "unknown" where it is; empty: has none
    std::optional<bool> tripped_before{}, tripped_after{};  ///< no value: unknown
    std::optional<std::string> shown_before{}, shown_after{};
    bool operator==(const ElementChange&) const = default;
};

/// What differs between two outcomes of one aircraft, each list in id order.
struct Difference {
    std::vector<Change> gained{};  ///< functions surely at a better level, or in a mode of a better rank
    std::vector<Change> worse{};   ///< at a worse level, in a mode of a worse rank, or no longer known
    std::vector<Change> other{};   ///< lost before and now unknown, or in another mode of the same rank
    std::vector<Operation> operation{};
    std::vector<ElementChange> elements{};
    bool empty() const { return gained.empty() && worse.empty() && other.empty() && operation.empty() && elements.empty(); }
    bool operator==(const Difference&) const = default;
};
Difference difference(const Outcome& before, const Outcome& after);

/// How a fault gets more (rule M26). What is only perhaps so counts.
struct FaultGrowth {
    std::vector<std::pair<std::string, std::string>> zone{};  ///< (element, medium) dragged down that was not
    std::vector<std::string> trips{};                         ///< devices that tripped, those just reset among them
    std::vector<std::string> emptied{};                       ///< stores a leak has emptied
    bool any() const { return !zone.empty() || !trips.empty() || !emptied.empty(); }
    bool operator==(const FaultGrowth&) const = default;
};

/// Something that stays as the actions made it when they are taken back.
struct Lasting {
    enum class Why {
        position,  ///< it stands elsewhere and does not move back
        tripped,
        spent,     ///< a store holds less
        used,      ///< a one-shot mode is used
        reset,     ///< a device has one reset less
        dropped,   ///< it held itself supplied and no longer does
        holds,     ///< it now holds itself supplied
        reading,   ///< a frozen pointer stands elsewhere
        hunting,   ///< it no longer comes to rest
    };
    Why why = Why::position;
    std::string id{};    ///< an element; of `used` the function
    std::string text{};  ///< "Fuel valve stays at closed"
    bool operator==(const Lasting&) const = default;
};

inline constexpr std::string_view name_of(Lasting::Why why) {
    constexpr std::array<std::string_view, 9> names{"position", "tripped", "spent", "used", "reset", "dropped", "holds", "reading", "hunting"};
    return names[static_cast<std::size_t>(why)];
}

/// What is left once the actions are taken back (rule M27).
struct Undone {
    std::vector<Lasting> lasting{};
    Difference difference{};  ///< against the state before
    bool complete() const { return lasting.empty() && difference.empty(); }
    bool operator==(const Undone&) const = default;
};

/// What some actions do, taken in one step.
struct Effect {
    Step actions{};
    Difference difference{};
    FaultGrowth fault{};
    Undone undone{};
    std::vector<StoredLine> stored{};  ///< what then hangs on stored energy alone, and did not: functions, then elements
    Reach reach = Reach::cockpit;  ///< the furthest somebody has to go for them
    bool operator==(const Effect&) const = default;
};

/// The actions in words, for a sentence that goes on: "with Standby source at BATT and Gear pump breaker reset".
std::string actions_text(const Step& actions, const Network& net);

}  // namespace fedfrom
