#include "events_from.hpp"

#include <algorithm>
#include <set>
#include <tuple>

#include <fedfrom/study/sweep_table.hpp>

namespace fedfrom::python {

namespace {

bool has_position(const ElementInfo& e, std::string_view word) { return std::ranges::find(e.positions, word) != e.positions.end(); }

Event position_event(const Network& net, const std::string& id, const std::string& position) {
    const ElementHandle e = net.element(id);
    return Event::set(e, net.position(e, position));
}

/// ("id", "word"): whichever the element has. Never guessed where it has both.
Event worded_event(const Network& net, const std::string& id, const std::string& word) {
    const Compiled& c = net.compiled();
    const ElementInfo& e = c.elements[net.element(id).index];
    const bool mode = failure_of(c, e, word) != none, position = has_position(e, word);
    if (mode && position)
        throw py::value_error("`" + word + "` of `" + id + "` is a failure mode and a position: write {\"fail\": [(\"" + id + "\", \"" + word + "\")]} or {\"set\": {\"" + id + "\": \"" + word + "\"}}.");
    if (position) return position_event(net, id, word);
    if (mode || e.positions.empty()) return failure_event(net, id, word, "");
    std::string modes, positions;
    for (std::uint32_t f = e.failures.first; f < e.failures.last; ++f) modes += (modes.empty() ? "" : ", ") + c.failures[f].mode;
    for (const auto& p : e.positions) positions += (positions.empty() ? "" : ", ") + std::string(p);
    throw NotPossible("`" + id + "` has no failure mode or position `" + word + "`; it has: " + modes + (modes.empty() ? "" : "; ") + positions + ".");
}

void add_step(std::vector<Event>& list, const Network& net, const Step& step) {
    if (!step.repair.empty() || !step.reset.empty() || !step.use.empty()) throw py::value_error(an_event_is);
    for (const FailureRef& f : step.fail) list.push_back(failure_event(net, f.element, f.mode, f.at));
    for (const auto& [id, position] : step.set) list.push_back(position_event(net, id, position));
    for (const auto& [id, value] : step.given) list.push_back(Event::given(net.given(id), value));
}

/// True or False, NumPy's too, and nothing that only counts as one of them.
bool truth(const py::object& value) {
    py::detail::make_caster<bool> caster;
    if (!caster.load(value, false)) throw py::value_error(an_event_is);
    return py::detail::cast_op<bool>(caster);
}

void add(std::vector<Event>& list, const Network& net, const py::handle& value) {
    if (py::isinstance<py::dict>(value)) return add_step(list, net, step_from(py::reinterpret_borrow<py::dict>(value)));
    if (py::isinstance<py::str>(value)) {
        list.push_back(failure_event(net, value.cast<std::string>(), "loss", ""));
        return;
    }
    const auto parts = converted<std::vector<py::object>>(value, an_event_is);
    if (parts.empty() || parts.size() > 3) throw py::value_error(an_event_is);
    const auto word = [&](std::size_t i) { return converted<std::string>(parts[i], an_event_is); };
    if (parts.size() == 1) list.push_back(failure_event(net, word(0), "loss", ""));
    else if (parts.size() == 3) list.push_back(failure_event(net, word(0), word(1), word(2)));
    else if (py::isinstance<py::str>(parts[1])) list.push_back(worded_event(net, word(0), word(1)));
    else list.push_back(Event::given(net.given(word(0)), truth(parts[1])));
}

}  // namespace

std::vector<Event> events_from(const py::handle& values, const Network& net) {
    std::vector<Event> list;
    if (py::isinstance<py::str>(values)) add(list, net, values);
    else
        for (const py::handle value : converted<py::iterable>(values, an_event_is)) add(list, net, value);
    if (list.empty()) throw py::value_error("`events` is empty: leave it out for every failure not present.");
    std::set<std::tuple<Event::Kind, std::uint32_t, std::uint32_t>> seen;
    for (const Event& e : list)
        if (!seen.emplace(e.kind, e.index, e.value).second) throw py::value_error("`" + event_text(e, net) + "` is asked for twice.");
    return list;
}

py::object written(const Event& event, const Network& net) {
    const Compiled& c = net.compiled();
    if (event.kind == Event::Kind::given) return py::make_tuple(*c.givens[event.index].id, event.value != 0);
    const ElementInfo& e = c.elements[event.kind == Event::Kind::set ? event.index : c.failures[event.index].element];
    const std::string word = event.kind == Event::Kind::set ? std::string(e.positions[event.value]) : c.failures[event.index].mode;
    if (event.kind == Event::Kind::fail && event.value != none) return py::make_tuple(*e.id, word, std::string(e.positions[event.value]));
    if (failure_of(c, e, word) == none || !has_position(e, word)) return py::make_tuple(*e.id, word);
    py::dict step;
    if (event.kind == Event::Kind::fail) step["fail"] = std::vector{py::make_tuple(*e.id, word)};
    else step["set"] = std::map<std::string, std::string>{{*e.id, word}};
    return step;
}

}  // namespace fedfrom::python
