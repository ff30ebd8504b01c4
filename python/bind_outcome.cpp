// Outcomes: what holds in a settled state.
#include "outcome_methods.hpp"

#include <utility>

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

py::dict outcome_dict(const Outcome& out) {
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
    py::class_<Outcome> outcome(m, "Outcome", R"(What holds in a settled state, element by element and function by function. Prints as the sheet.

    >>> out = ff.settle(state.fail("generator"))
    >>> out
    <Outcome of One bus: 1 functions kept>
    >>> out.status("generator"), out.level("talk")
    ('failed', 'normal')
)");
    add_outcome_methods(outcome, [](const Outcome& o) -> const Outcome& { return o; });
    add_sheet_methods(outcome, [](const Outcome& o) { return what_works_sheet(what_works(o)); });
    outcome.def("to_dataframe", [](const Outcome& o, std::string_view of) { return works_frame(what_works(o), of); }, py::arg("of") = "functions", works_frame_doc)
        .def("to_dict", &outcome_dict, R"(to_dict(self)
--

Give everything as plain Python values, in id order.

    >>> ff.settle(state).to_dict()["level"]
    {'talk': 'normal'}
)")
        .def("__eq__", [](const Outcome& a, const Outcome& b) { return a.state() == b.state(); }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Outcome& o) { return text(what_works(o)); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Outcome& o) { return "<Outcome of " + o.network().model().name + ": " + counted(o) + ">"; }, "__repr__(self, /)\n--\n\n");
    outcome.def(py::pickle([](const Outcome& o) { return pickled(o); }, [](const py::tuple& kept) { return outcome_from(kept); }));

    m.def("settle", [](State& state) {
        // In a copy, and without Python's lock: another thread may change the state meanwhile, and is overruled.
        State copy = state;
        Outcome out = [&] {
            const py::gil_scoped_release released;
            return settle(copy);
        }();
        state = std::move(copy);
        return out;
    }, py::arg("state"), R"(settle(state)
--

Settle a state in place, so that it remembers, and say what holds in it.

    >>> out = ff.settle(state.fail("generator").fail("battery"))
    >>> out.lost
    ['talk']
)");
}

}  // namespace fedfrom::python
