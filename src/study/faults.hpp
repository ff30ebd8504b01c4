/// Which fault dragged a thing down, tripped a device or emptied a store.
///
/// The zone is known; here it is walked again from the failures that began it,
/// along the connections it can have come by. A tripped device stops a fault, and
/// what would have come through it is what it tripped on.
#pragma once

#include <cstdint>
#include <unordered_map>
#include <vector>

#include "view.hpp"

namespace fedfrom::detail {


class Faults {
public:
    explicit Faults(const View& view);

    /// What dragged this element down; several where it cannot be told which. Empty: it is in no zone.
    std::vector<std::uint32_t> behind(std::uint32_t element) const;
    /// The zone (in Compiled::zones) whose failure tripped the device or emptied the store; none: no longer there to be seen.
    std::uint32_t tripped_by(std::uint32_t device) const { return found(tripped_, device); }
    std::uint32_t emptied_by(std::uint32_t store) const { return found(emptied_, store); }

private:
    const View& view_;
    std::vector<std::uint32_t> origin_;  // by zone: the zone the fault began in; none
    std::unordered_map<std::uint32_t, std::uint32_t> tripped_, emptied_;

    static std::uint32_t found(const std::unordered_map<std::uint32_t, std::uint32_t>& map, std::uint32_t key) {
        const auto it = map.find(key);
        return it == map.end() ? none : it->second;
    }
    bool seeded(std::uint32_t zone) const { return view_.worlds().read(0, view_.compiled().zones[zone].seed); }
    void walk();
};

/// "short", "leak" or "jam", of the failure that begins a fault in this zone.
std::string_view fault_word(const Compiled& c, std::uint32_t zone);

}  // namespace fedfrom::detail
