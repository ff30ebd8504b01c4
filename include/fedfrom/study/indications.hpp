/// What every light, gauge, flag and warning shows, which of them mislead, and which are dark.
///
///     for (const Indication& i : indications(out).shown)
///         if (i.misleads) std::cout << i.id << ": " << i.reason << '\n';
///     // standby_light: It is not supplied itself and shows "out" whatever happens; in order, it would show "lit".
///
/// It *misleads* when what is shown can be taken for a reading and is wrong: a sense has failed, a pointer
/// is frozen at another reading, or its text without supply is also a reading, as "out" of a warning light
/// is. It is *dark* when it is not supplied and what it shows then is no reading, as a dark display, or happens
/// to be right. A light or annunciator that shows nothing while none of its conditions holds is taken to look
/// the same without supply, whatever the word; but not where its conditions read only the switches on its
/// own supply, or one of them always holds.
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
    bool misleads = false;                  ///< shows a reading, and it is not `sensed`
    bool dark = false;                      ///< not supplied, shows nothing of its own and does not mislead
    std::string reason{};                   ///< why it misleads, is dark or cannot be relied on, one sentence; empty: none of these
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
