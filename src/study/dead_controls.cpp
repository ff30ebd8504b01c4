#include <fedfrom/study/dead_controls.hpp>

#include <algorithm>

#include <fedfrom/model/resolve.hpp>

#include "effect.hpp"
#include "sources.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// The live sources of every element.
std::vector<std::vector<std::uint32_t>> feeds(const Outcome& out) {
    Tracer tracer(out);
    std::vector<std::vector<std::uint32_t>> list;
    for (std::uint32_t e = 0; e < out.network().compiled().elements.size(); ++e) list.push_back(tracer.finder().indices(e));
    return list;
}

Control examined(const Outcome& before, const std::vector<std::vector<std::uint32_t>>& fed, std::uint32_t e) {
    const ElementInfo& info = before.network().compiled().elements[e];
    Control control{.id = *info.id, .name = info.element->name, .does = Control::Does::nothing};
    for (std::uint32_t p = 0; p < info.positions.size(); ++p) {
        if (any(before.state().memory()[info.at_hand + p])) {
            control.at = info.positions[p];
            continue;
        }
        State state = before.state();
        state.set(ElementHandle{e}, p);
        const Outcome after = settle(state);
        const Difference d = difference(before, after);
        ControlPosition is{.position = std::string(info.positions[p])};
        std::vector<std::string> functions;
        for (const auto* list : {&d.gained, &d.worse, &d.other})
            for (const Change& c : *list) functions.push_back(c.function);
        for (const Operation& o : d.operation) functions.push_back(o.function);
        std::ranges::sort(functions);
        is.functions = static_cast<std::size_t>(std::unique(functions.begin(), functions.end()) - functions.begin());
        is.elements = static_cast<std::size_t>(std::ranges::count_if(d.elements, [&](const ElementChange& c) { return c.id != *info.id; }));
        // What is supplied is more than a control: its own status counts.
        const bool itself = std::ranges::any_of(d.elements, [&](const ElementChange& c) { return c.id == *info.id && !only_has_position(*info.element) && c.before != c.after; });
        const auto then = feeds(after);
        for (std::uint32_t other = 0; other < fed.size(); ++other) is.feeds += !fed[other].empty() && !then[other].empty() && fed[other] != then[other];
        if (is.functions > 0 || is.elements > 0 || is.feeds > 0 || itself) control.does = Control::Does::something;
        else if (control.does == Control::Does::nothing && !(before.hunting().empty() && after.hunting().empty())) control.does = Control::Does::not_known;
        control.positions.push_back(std::move(is));
    }
    return control;
}

/// Where the hand left it, and that it has tripped since.
std::string stands(const Outcome& out, const Control& c) { return c.at + (out.tripped(c.id).value_or(false) ? ", tripped" : ""); }

std::vector<std::string> those(const DeadControls& controls, Control::Does does) {
    std::vector<std::string> ids;
    for (const Control& c : controls.controls)
        if (c.does == does) ids.push_back(c.id);
    return ids;
}

}  // namespace

std::vector<std::string> DeadControls::dead() const { return those(*this, Control::Does::nothing); }
std::vector<std::string> DeadControls::alive() const { return those(*this, Control::Does::something); }

DeadControls dead_controls(const State& from, Reach reach) {
    State state = from;
    DeadControls found{.before = settle(state), .reach = reach};
    const Compiled& c = state.network().compiled();
    const auto fed = feeds(found.before);
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const ElementInfo& info = c.elements[e];
        const Reach of = fedfrom::reach_of(*info.element);
        if (info.fitted && info.at_hand && info.positions.size() > 1 && of != Reach::nobody && of <= reach) found.controls.push_back(examined(found.before, fed, e));
    }
    return found;
}

DeadControls dead_controls(const Network& net, Reach reach) { return dead_controls(running_state(net), reach); }

Table table(const DeadControls& controls) {
    Table t{.title = "Controls that do nothing, and those that do", .captions = captions(controls.before),
            .columns = {{"Control"}, {"At"}, {"Does"}, {"Other position"}, {"Functions changed"}, {"Elements changed"}, {"Fed by others"}}, .rows = {}, .footnotes = {}};
    for (const Control::Does does : {Control::Does::nothing, Control::Does::not_known, Control::Does::something})
        for (const Control& c : controls.controls) {
            if (c.does != does) continue;
            const Cell word = does == Control::Does::nothing ? Cell("nothing now") : does == Control::Does::not_known ? Cell(Mark::unknown) : Cell("something");
            const std::string name = c.name.empty() ? c.id : c.name + " (" + c.id + ")";
            for (const ControlPosition& p : c.positions) t.rows.push_back({name, stands(controls.before, c), word, p.position, p.functions, p.elements, p.feeds});
        }
    t.footnotes.push_back("Each position is tried alone, as things stand. Elements are others than the control itself; fed by others are those that other sources then feed. Nothing now is not nothing ever: a control may still decide what stands behind, as a second way of supply or where something goes once it has power again, and two that do nothing alone may do something together.");
    return t;
}

std::string text(const DeadControls& controls) { return to_text(table(controls)); }

}  // namespace fedfrom
