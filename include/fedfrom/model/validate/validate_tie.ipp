#include <algorithm>

#include "validator.hpp"

namespace fedfrom::model {

void Validator::collect_ties() {
    for (const auto& [id, tie] : m_.ties) {
        ties_at_[tie.between.first].push_back(id);
        if (tie.between.second != tie.between.first) ties_at_[tie.between.second].push_back(id);
        for (const Device& d : tie.via) in_via_.insert(d.id);
    }
    if (!index_.any_unfitted()) return;
    for (const auto& [id, e] : index_.elements())
        for (const auto& [port, p] : e.inputs)
            for (const Feed& f : p.feeds)
                for (const Device& d : f.via) in_via_.insert(d.id);
}

std::vector<std::string> Validator::ports_of_tie(std::string_view tie, std::string_view end) const {
    std::vector<std::string> ports;
    if (const auto placed = placed_.find(tie); placed != placed_.end())
        for (const Placed& p : placed->second)
            if (p.element == end) ports.emplace_back(p.port);
    return ports;
}

void Validator::tie(const At& at, std::string_view id, const Tie& t) {
    const At between{at, "between"};
    via(At{at, "via"}, t.via, true);
    if (!sure(id)) return;
    const Element* first = known_element(At{between, std::size_t{0}}, t.between.first);
    const Element* second = known_element(At{between, 1}, t.between.second);
    if (first && first == second) return report(between, "tie_to_itself", "The tie is between " + in_ticks(t.between.first) + " and itself.");
    if (first) tie_end(At{between, std::size_t{0}}, id, t.between.first);
    if (second) tie_end(At{between, 1}, id, t.between.second);
    if (!first || !second || !sure(t.between.first) || !sure(t.between.second)) return;

    // The port at each end: where it is listed, else the only one, else the one a tie gives.
    const auto port_at = [&](std::string_view end, const Element& e) -> std::optional<std::string> {
        if (const auto ports = ports_of_tie(id, end); !ports.empty()) return ports.front();
        if (e.inputs.size() == 1) return e.inputs.begin()->first;
        if (e.inputs.empty() && !row(e.kind).source) return std::string(tie_port_of(e));
        return std::nullopt;
    };
    const auto one = port_at(t.between.first, *first), other = port_at(t.between.second, *second);
    if (!one || !other) return;
    const std::string_view medium = medium_of_port(m_, *one), other_medium = medium_of_port(m_, *other);
    if (medium == other_medium) return;
    const auto said = [](const std::string& port, std::string_view m) { return "`" + port + "` (" + std::string(m.empty() ? "no medium" : m) + ")"; };
    report(at, "tie_media", "The tie joins the port " + said(*one, medium) + " of " + in_ticks(t.between.first) + " and " + said(*other, other_medium) + " of " + in_ticks(t.between.second) + ".");
}

void Validator::tie_end(const At& at, std::string_view tie, std::string_view end) {
    const Element& e = *index_.element(end);
    if (!sure(end)) return;
    if (only_has_position(e))
        return report(at, "bare_position", in_ticks(end) + (is_one_way(e) ? " only lets supply through" : " only has a position") + " and cannot be the end of a tie.",
                      "Put it in the `via` of the tie.");
    const std::vector<std::string> ports = ports_of_tie(tie, end);
    if (ports.size() > 1)
        report(at, "tie_placed_twice", in_ticks(end) + " lists the tie twice, in " + listed(ports) + ".");
    else if (ports.empty() && e.inputs.size() > 1)
        report(at, "tie_unplaced", in_ticks(end) + " has several ports and lists the tie in none.",
               "Add {\"tie\": \"" + std::string(tie) + "\"} to the port it belongs to.");
}

void Validator::via(const At& at, const std::vector<Device>& devices, bool in_tie) {
    std::set<std::string_view> before;
    for (std::size_t i = 0; i < devices.size(); ++i) {
        const Device& d = devices[i];
        const At item{at, i};
        const At inside{item, d.id};
        const At& here = d.positions.empty() ? item : inside;
        if (devices.size() > 1 && !before.insert(d.id).second) report(item, "duplicate_device", in_ticks(d.id) + " is in this `via` twice.");
        const Index::Entry* entry = known_next(vias_trail_, item, d.id);
        words_list(inside, d.positions);
        if (!entry || !sure(d.id)) continue;
        if (entry->one_way) {
            if (in_tie) report(here, "one_way_in_tie", in_ticks(d.id) + " passes one way and cannot stand in a tie.", "Write a feed instead.");
            if (!d.positions.empty()) report(here, "one_way_misused", in_ticks(d.id) + " passes one way, always; it has no positions.");
        } else if (!entry->has_positions) {
            report(here, "not_a_device", in_ticks(d.id) + " has no positions and is no diode or check valve: it cannot stand in a `via`.",
                   "Give it positions, or write it as an element of its own between the two.");
        } else if (d.positions.empty() && !entry->passes_somewhere) {
            report(here, "passes_nothing", in_ticks(d.id) + " does not say in which positions it passes.",
                   "Say {\"" + d.id + "\": [\"" + rest_of(*entry->element()) + "\"]} here, or `passes_in` on the element.");
        }
        for (std::size_t k = 0; k < d.positions.size(); ++k)
            if (entry->has_positions && !entry->one_way) position_word(At{inside, k}, d.id, *entry->element(), d.positions[k]);
    }
}

}  // namespace fedfrom::model
