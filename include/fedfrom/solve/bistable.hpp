/// Which elements depend on where the aircraft came from: those that differ between the running and the cold aircraft.
///
///     for (const std::string& id : bistable(net)) …    // a self-exciting generator, and all that hangs on it alone
#pragma once

#include <string>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom {

/// Ids, in order, of elements whose status or position is not the same in `running_state` and `cold_state`. Two settles.
inline std::vector<std::string> bistable(const Network& net) {
    State running(net, true), cold(net, false);
    const Outcome a = settle(running), b = settle(cold);
    const Compiled& c = net.compiled();
    std::vector<std::string> ids;
    for (std::uint32_t e = 0; e < c.elements.size(); ++e)
        if (a.status(ElementHandle{e}) != b.status(ElementHandle{e}) || a.position(ElementHandle{e}) != b.position(ElementHandle{e})) ids.push_back(*c.elements[e].id);
    return ids;
}

}  // namespace fedfrom
