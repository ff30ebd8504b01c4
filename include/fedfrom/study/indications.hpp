/// What every light, gauge, flag and warning shows, and which of them mislead.
///
///     for (const Indication& i : indications(out).shown)
///         if (i.misleads) std::cout << i.id << ": " << i.reason << '\n';
///     // standby_light: It is not supplied itself and shows "out" whatever happens; in order, it would show "lit".
///
/// Readings stand side by side: what it shows; what it would show with its own supply in order, and with
/// the sensors it reads in order too, everything else as it stands; what it would show in a healthy aircraft
/// with the same hands and givens. In order, a sensor tells what its ports other than power, control and
/// cooling find, and a contact that follows something stands where that puts it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <fedfrom/solve/outcome.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// A text is empty where nothing is shown, and has no value where unknown.
struct Indication {
    std::string id{}, name{};
    Status status = Status::unknown;
    std::optional<std::string> shows{};     ///< now, with its supply as it is; the last reading of a frozen pointer
    std::optional<std::string> supplied{};  ///< were its own supply in order
    std::optional<std::string> sensed{};    ///< were its supply and the sensors it reads in order: the truth it should tell
    std::optional<std::string> healthy{};   ///< nothing failed or tripped, hands and givens the same
    bool misleads = false;                  ///< shows other than `sensed`
    std::string reason{};                   ///< why it misleads or cannot be relied on, one sentence; empty: neither
    bool operator==(const Indication&) const = default;
};

struct Indications {
    Outcome outcome;
    std::vector<Indication> shown{};  ///< in id order
};

/// Every fitted element with `shows`. Linear, and settles the healthy aircraft once.
Indications indications(const Outcome& outcome);

Table table(const Indications& indications);
std::string text(const Indications& indications);

}  // namespace fedfrom
