// Outcomes: what holds in a settled state.
#include "outcome_methods.hpp"

#include <fedfrom/study/what_works.hpp>

namespace fedfrom::python {

namespace {

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

}  // namespace

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
    result["hunting"] = ids_of(out.network(), out.hunting());
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

void bind_outcome(py::module_& m) {
    py::class_<Outcome> outcome(m, "Outcome", "What holds in a settled state, element by element and function by function. Prints as a sheet.");
    add_outcome_methods(outcome, [](const Outcome& o) -> const Outcome& { return o; });
    outcome.def("to_dict", &to_dict, "Everything as plain Python values, in id order.")
        .def("__str__", [](const Outcome& o) { return text(what_works(o)); });

    m.def("settle", &settle, py::arg("state"), "Settle a state in place, so that it remembers, and say what holds in it.",
          py::call_guard<py::gil_scoped_release>());  // settling touches no Python object
}

}  // namespace fedfrom::python
