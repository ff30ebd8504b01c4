/// An element: anything that can fail, be set, carry or use supply.
///
/// Five facets, each optional: supply, position, passing, showing, failing.
/// Every member is what the author wrote; `kind` fills the gaps (kind.hpp), and
/// resolve.hpp answers what holds once it has.
///
///     Element bus{.kind = Kind::bus,
///                 .inputs = {{"power", {{.from = "gen_l", .via = {{"line_contactor_l"}}}, {.tie = "main_tie"}}}}};
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/model/condition.hpp>
#include <fedfrom/model/kind.hpp>
#include <fedfrom/model/rare.hpp>

namespace fedfrom {

/// A device a feed or tie runs through. No positions: it passes in its own `passes_in`.
struct Device {
    std::string id{};
    std::vector<std::string> positions{};
    bool operator==(const Device&) const = default;
};

/// One alternative of a port: from an upstream element through devices listed
/// from source to load, or the place of a tie in the order. Exactly one of
/// `from` and `tie` is set.
struct Feed {
    std::string from{};
    std::vector<Device> via{};
    std::string tie{};
    bool operator==(const Feed&) const = default;
};

/// The feeds of one port. Ports of an element are ANDed.
struct Port {
    enum class Join {
        priority,  ///< alternatives in order: the first live one is in use
        at_least,  ///< a voter: `count` or more of them
        parallel,  ///< wired together: all that pass are in use
    };
    std::vector<Feed> feeds{};
    Join join = Join::priority;
    int count = 1;

    Port() = default;
    Port(std::initializer_list<Feed> f) : feeds(f) {}
    Port(Join j, std::vector<Feed> f, int k = 1) : feeds(std::move(f)), join(j), count(k) {}
    bool operator==(const Port&) const = default;
};

/// Moves to `to` while `when` holds.
struct Move {
    std::string to{};
    Condition when{};
    bool operator==(const Move&) const = default;
};

/// Takes its position from another element; `map` empty: the same words.
struct Follow {
    std::string leader{};
    std::map<std::string, std::string> map{};
    bool operator==(const Follow&) const = default;
};

/// What it does when `port` is not supplied: goes to `position`, or "stays".
struct Without {
    std::string port{};
    std::string position{};
    bool operator==(const Without&) const = default;
};
inline constexpr std::string_view stays = "stays";

struct Show {
    std::string text{};
    Condition when{};
    bool operator==(const Show&) const = default;
};

/// One failure mode. `rate` per flight hour, `probability` per flight, `hidden_for` hours.
struct FailureMode {
    std::optional<double> rate{};
    std::optional<double> probability{};
    std::optional<double> hidden_for{};
    std::string at{};     ///< `stuck` only: the position it sticks in; empty: as it stands
    std::string fluid{};  ///< `leak` only: the medium, where the element carries several
    bool operator==(const FailureMode&) const = default;
};

/// What a device needs to trip, how often it may be reset in flight, and who does it.
struct Protection {
    std::optional<Condition> needs{};
    std::optional<int> resets{};        ///< not said: one
    std::optional<Reach> reset_by{};    ///< not said: by kind
    bool operator==(const Protection&) const = default;
};

/// A load in one operating condition. Give amps, or watts, or volt-amperes; with a power factor on AC. Without `duty_s`
/// it is continuous; with it, it draws for so many seconds once in the condition.
struct Load {
    std::optional<double> amps{}, watts{}, volt_amperes{}, power_factor{}, duty_s{}, inrush_amps{};
    bool operator==(const Load&) const = default;
};

/// The operating condition of a load that stands for all its element does not list.
inline constexpr std::string_view other_conditions = "other";

/// What a battery, accumulator or bottle holds. `litres` of an accumulator or gas bottle is the volume of its shell; its
/// pressures are as a gauge shows them.
struct Store {
    std::optional<double> amp_hours{}, litres{};
    std::optional<double> precharge_psi{}, max_psi{}, min_psi{}, litres_per_application{};
    std::optional<int> applications{};
    std::string charger{};  ///< the element that charges a battery
    bool operator==(const Store&) const = default;
};

/// The wire a protecting device protects, or a feeder is: its gauge, "22" to "0000", and its length one way.
struct Wire {
    std::string gauge{};
    std::optional<double> feet{};
    bool operator==(const Wire&) const = default;
};
inline constexpr std::array<std::string_view, 17> wire_gauges{"24", "22", "20", "18", "16", "14", "12", "10", "8", "6", "4", "2", "1", "0", "00", "000", "0000"};

/// What takes the place of a device that is not fitted.
enum class Left : std::uint8_t { unsaid, bridged, cut };

struct Element {
    Kind kind = Kind::consumer;
    std::string name{};
    std::vector<std::string> aliases{};
    std::string group{}, ata{}, zone{};

    // supply
    SmallMap<Port> inputs{};
    Rare<Condition> needs{};

    // position
    std::vector<std::string> positions{};
    std::string rest{};
    std::optional<Reach> reach{};
    Rare<Follow> follows{};
    std::vector<Move> goes{};
    std::vector<Without> without{};

    // passing
    std::vector<std::string> passes_in{};
    Rare<Protection> protects{};

    // showing
    std::vector<Show> shows{};
    std::string unpowered{};  ///< what it shows unsupplied; "stays": the last reading, a frozen pointer

    // failing
    SmallMap<FailureMode> failures{};
    bool fallible = true;

    // the rest
    bool holds_in = false;  ///< may keep itself supplied through a loop once it is
    double after_s = 0, spin_up_s = 0, run_down_s = 0;
    SmallMap<double> runs_without_s{};  ///< by port, cooling as an example: so long it works on once that port is not supplied
    SmallMap<double> rating{};  ///< amps, volts, watts, volt_amperes, efficiency, power_factor (of what it takes), psi, litres_per_minute
    SmallMap<Load> loads{};     ///< by operating condition
    Rare<Store> store{};
    Rare<Wire> wire{};
    bool fitted = true;
    Left left = Left::unsaid;

    bool operator==(const Element&) const = default;
};

/// A two-way connection; `via` listed from `between.first` to `between.second`.
struct Tie {
    std::pair<std::string, std::string> between{};
    std::vector<Device> via{};
    std::string name{};
    bool operator==(const Tie&) const = default;
};

}  // namespace fedfrom
