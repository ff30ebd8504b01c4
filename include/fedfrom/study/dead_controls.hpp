/// Which controls still do something, and which no longer do.
///
///     DeadControls d = dead_controls(state);
///     d.dead();                              // {"flap_lever", …}: no position changes anything any more
///     d.controls[0].positions[0].functions;  // how many functions that position would change
///
/// A control is *dead* where no position of it changes anything beyond itself: no status, position, trip or reading of
/// another element, not what feeds it, and no function. Each position is tried alone, from the settled state.
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// What one position of a control would change.
struct ControlPosition {
    std::string position{};
    std::size_t functions = 0;  ///< in level, mode, or whether they are in operation
    std::size_t elements = 0;   ///< others than the control, in status, position, trip or reading
    std::size_t feeds = 0;      ///< elements then fed by other sources
    bool operator==(const ControlPosition&) const = default;
};

struct Control {
    enum class Does {
        something,
        nothing,
        not_known,  ///< nothing that is known, while something never comes to rest
    };
    std::string id{}, name{};
    std::string at{};  ///< where the hand has it
    Does does = Does::something;
    std::vector<ControlPosition> positions{};  ///< the others it has
    bool operator==(const Control&) const = default;
};

inline constexpr std::string_view name_of(Control::Does does) {
    constexpr std::array<std::string_view, 3> names{"something", "nothing", "not_known"};
    return names[static_cast<std::size_t>(does)];
}

struct DeadControls {
    Outcome before;
    Reach reach = Reach::cockpit;
    std::vector<Control> controls{};  ///< in id order, dead or not

    /// The ids of those that surely do nothing; of those that do something.
    std::vector<std::string> dead() const;
    std::vector<std::string> alive() const;
};

/// Controls the crew reaches, as far as `reach`. From a settled state (a copy is settled first).
DeadControls dead_controls(const State& from, Reach reach = Reach::cockpit);

/// From the running aircraft.
DeadControls dead_controls(const Network& net, Reach reach = Reach::cockpit);

/// Those that do nothing first.
Table table(const DeadControls& controls);
std::string text(const DeadControls& controls);

}  // namespace fedfrom
