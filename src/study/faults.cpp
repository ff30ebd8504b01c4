#include "faults.hpp"

#include <algorithm>

namespace fedfrom::detail {

std::string_view fault_word(const Compiled& c, std::uint32_t zone) {
    for (const FailureInfo& f : c.failures)
        if (f.element == c.zones[zone].element && Literal::of(f.variable) == c.zones[zone].seed) return f.mode;
    return "fault";
}

Faults::Faults(const View& view) : view_(view), origin_(view.compiled().zones.size(), none) {
    const auto& zones = view_.compiled().zones;
    bool any_seed = false;
    for (std::uint32_t z = 0; z < zones.size(); ++z)
        if (zones[z].seed != never && seeded(z)) origin_[z] = z, any_seed = true;
    if (any_seed) walk();
}

/// Breadth first, by links from each zone.
void Faults::walk() {
    const Compiled& c = view_.compiled();
    const auto holds = [&](Literal l) { return view_.worlds().read(0, l); };
    std::vector<std::vector<std::uint32_t>> links(c.zones.size());
    for (std::uint32_t l = 0; l < c.links.size(); ++l) links[c.links[l].from_zone].push_back(l);
    std::vector<std::uint32_t> todo;
    for (std::uint32_t z = 0; z < c.zones.size(); ++z)
        if (origin_[z] == z) todo.push_back(z);
    for (std::size_t i = 0; i < todo.size(); ++i) {
        const std::uint32_t x = todo[i];
        for (const std::uint32_t l : links[x]) {
            const Link& link = c.links[l];
            if ((link.seed_only || row(c.elements[c.zones[x].element].element->kind).isolates) && origin_[x] != x) continue;
            std::uint32_t tripped = none;
            for (std::uint32_t d = link.devices.first; d < link.devices.last && tripped == none; ++d)
                if (holds(Literal::of(c.elements[c.link_devices[d]].tripped))) tripped = c.link_devices[d];
            if (tripped != none) {
                tripped_.try_emplace(tripped, origin_[x]);
                continue;
            }
            bool conducts = true;
            for (std::uint32_t n = link.conducts.first; n < link.conducts.last && conducts; ++n) conducts = holds(c.link_literals[n]);
            if (!conducts) continue;
            const ElementInfo& to = c.elements[link.to];
            if (to.empty && holds(Literal::of(to.empty))) emptied_.try_emplace(link.to, origin_[x]);
            if (origin_[link.to_zone] != none || !holds(Literal::of(c.zones[link.to_zone].variable))) continue;
            origin_[link.to_zone] = origin_[x];
            todo.push_back(link.to_zone);
        }
    }
}

std::vector<std::uint32_t> Faults::behind(std::uint32_t element) const {
    const Compiled& c = view_.compiled();
    std::vector<std::uint32_t> found;
    for (std::uint32_t z = c.elements[element].zones.first; z < c.elements[element].zones.last; ++z) {
        if (!view_.worlds().read(0, Literal::of(c.zones[z].variable))) continue;
        if (origin_[z] != none) {
            found.push_back(origin_[z]);
            continue;
        }
        // It came by a way that has opened since: any fault of this medium may have been it.
        for (std::uint32_t s = 0; s < c.zones.size(); ++s)
            if (c.zones[s].medium == c.zones[z].medium && c.zones[s].seed != never && seeded(s)) found.push_back(s);
    }
    std::ranges::sort(found);
    found.erase(std::unique(found.begin(), found.end()), found.end());
    return found;
}

}  // namespace fedfrom::detail
