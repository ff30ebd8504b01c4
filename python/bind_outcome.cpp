// Outcomes: what holds in a settled state.
#include "bindings.hpp"

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::python {

namespace {

py::object truth_or_none(std::optional<bool> truth) { return truth ? py::object(py::bool_(*truth)) : py::object(py::none()); }

/// Ids of elements whose variable is set in the state as it stands.
template <class Member>
std::vector<std::string> where(const Outcome& out, const std::vector<std::uint32_t>& elements, Member member) {
    std::vector<std::string> ids;
    for (const std::uint32_t e : elements) {
        const ElementInfo& info = out.network().compiled().elements[e];
        if (out.worlds().read(0, Literal::of(info.*member))) ids.push_back(*info.id);
    }
    std::ranges::sort(ids);
    return ids;
}

std::vector<std::pair<std::string, std::string>> zone(const Outcome& out) {
    const Compiled& c = out.network().compiled();
    std::vector<std::pair<std::string, std::string>> list;
    for (const ZoneInfo& z : c.zones)
        if (out.worlds().read(0, Literal::of(z.variable))) list.emplace_back(*c.elements[z.element].id, c.media[z.medium]);
    std::ranges::sort(list);
    return list;
}

std::vector<std::string> ids_of(const Outcome& out, const std::vector<std::uint32_t>& elements) {
    std::vector<std::string> ids;
    for (const std::uint32_t e : elements) ids.push_back(*out.network().compiled().elements[e].id);
    return ids;
}

py::dict to_dict(const Outcome& out) {
    const Compiled& c = out.network().compiled();
    py::dict status, position, passes, shows, level, mode, now;
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const ElementInfo& info = c.elements[e];
        const py::str id(*info.id);
        status[id] = std::string(name_of(out.status(ElementHandle{e})));
        if (!info.fitted) continue;
        if (!info.positions.empty()) position[id] = word_or_none(out.position(ElementHandle{e}));
        if (info.passes_in || is_one_way(*info.element)) passes[id] = truth_or_none(out.truth(info.passes));
        if (!info.shows.empty()) shows[id] = word_or_none(out.shown({e}));
    }
    for (const FunctionInfo& f : c.functions) {
        const py::str id(*f.id);
        const Judgement& judged = out.judged(*f.id);
        level[id] = std::string(name_of(judged.level));
        mode[id] = judged.mode == none ? py::object(py::none()) : py::object(py::str(*f.modes[judged.mode].id));
        now[id] = truth_or_none(judged.now);
    }
    py::dict result;
    result["empty"] = where(out, c.storing, &ElementInfo::empty);
    result["holding"] = where(out, c.holders, &ElementInfo::holding);
    result["hunting"] = ids_of(out, out.hunting());
    result["level"] = level;
    result["mode"] = mode;
    result["now"] = now;
    result["passes"] = passes;
    result["position"] = position;
    result["shows"] = shows;
    result["status"] = status;
    result["tripped"] = where(out, c.protecting, &ElementInfo::tripped);
    result["zone"] = zone(out);
    return result;
}

}  // namespace

void bind_outcome(py::module_& m) {
    py::class_<Outcome>(m, "Outcome", "What holds in a settled state, element by element and function by function.")
        .def("status", [](const Outcome& o, std::string_view id) { return std::string(name_of(o.status(id))); }, py::arg("element"),
             "supplied, unsupplied, off, failed, dragged_down, spent, not_fitted or unknown.")
        .def("position", [](const Outcome& o, std::string_view id) { return word_or_none(o.position(id)); }, py::arg("element"),
             "Where it really stands; None where unknown or it has no positions.")
        .def("passes", [](const Outcome& o, std::string_view id) { return truth_or_none(o.passes(id)); }, py::arg("element"),
             "Whether it lets supply through; None where unknown.")
        .def("tripped", [](const Outcome& o, std::string_view id) { return truth_or_none(o.tripped(id)); }, py::arg("element"))
        .def("level", [](const Outcome& o, std::string_view id) { return std::string(name_of(o.level(id))); }, py::arg("function"),
             "normal, degraded, lost, not_fitted or unknown.")
        .def("mode", [](const Outcome& o, std::string_view id) { return o.mode(id).empty() ? py::object(py::none()) : py::object(py::str(std::string(o.mode(id)))); },
             py::arg("function"), "The mode in use; None where lost, not fitted or unknown.")
        .def("now", [](const Outcome& o, std::string_view id) { return truth_or_none(o.now(id)); }, py::arg("function"),
             "Whether it is in operation as things stand.")
        .def_property_readonly("normal", &Outcome::normal, "Functions at level normal, in id order.")
        .def_property_readonly("degraded", &Outcome::degraded)
        .def_property_readonly("lost", &Outcome::lost)
        .def_property_readonly("unknown", &Outcome::unknown)
        .def_property_readonly("hunting", [](const Outcome& o) { return ids_of(o, o.hunting()); }, "Elements that never came to rest.")
        .def_property_readonly("network", [](const Outcome& o) { return o.network(); })
        .def_property_readonly("state", [](const Outcome& o) { return o.state(); }, "The settled state this is the outcome of.")
        .def("to_dict", &to_dict, "Everything as plain Python values, in id order.");

    m.def("settle", &settle, py::arg("state"), "Settle a state in place, so that it remembers, and say what holds in it.",
          py::call_guard<py::gil_scoped_release>());  // settling touches no Python object
}

}  // namespace fedfrom::python
