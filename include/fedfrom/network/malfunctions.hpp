/// Every malfunction an aircraft can have: what an instructor's station lists.
///
///     for (const Malfunction& m : malfunctions(net)) …    // m.handle, m.element, m.mode, m.name, m.ata
#pragma once

#include <string>
#include <vector>

#include <fedfrom/network/network.hpp>

namespace fedfrom {

struct Malfunction {
    FailureHandle handle{};  ///< the same for the same model in every process
    std::string element{}, mode{};
    std::string name{};      ///< the element's name, or its id
    std::string ata{};       ///< chapter-section; empty where the model says none
    std::string group{};
    bool operator==(const Malfunction&) const = default;
};

/// In the order of handles: by element id, then mode. What is not fitted is not listed.
inline std::vector<Malfunction> malfunctions(const Network& net) {
    const Compiled& c = net.compiled();
    std::vector<Malfunction> list;
    list.reserve(c.failures.size());
    for (std::uint32_t f = 0; f < c.failures.size(); ++f) {
        const ElementInfo& e = c.elements[c.failures[f].element];
        list.push_back({{f}, *e.id, c.failures[f].mode, e.element->name.empty() ? *e.id : e.element->name, e.element->ata, e.element->group});
    }
    return list;
}

}  // namespace fedfrom
