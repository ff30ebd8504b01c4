#include "common_events.hpp"

#include <algorithm>
#include <map>

namespace fedfrom::detail {

std::vector<CommonEvent> common_events(const State& state) {
    const Compiled& c = state.network().compiled();
    const auto happens = [&](const FailureRef& f) {
        const ElementInfo& e = c.elements[state.network().element(f.element).index];
        const std::uint32_t failure = failure_of(c, e, f.mode);
        return failure != none && !state.failed({failure});
    };
    std::vector<CommonEvent> list;
    for (const auto& [id, cause] : c.model.common_causes) list.push_back({.id = id, .name = cause.name, .rate = cause.rate, .probability = cause.probability, .fails = cause.fails});
    std::map<std::string, std::vector<FailureRef>> zones;
    for (const ElementInfo& e : c.elements)
        if (e.fitted && !e.element->zone.empty()) zones[e.element->zone].push_back({.element = *e.id});
    for (const auto& [zone, fails] : zones) list.push_back({.zone = true, .id = zone, .fails = fails});
    for (CommonEvent& event : list) std::erase_if(event.fails, [&](const FailureRef& f) { return !happens(f); });
    std::erase_if(list, [](const CommonEvent& event) { return event.fails.empty(); });
    return list;
}

}  // namespace fedfrom::detail
