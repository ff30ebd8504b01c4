// Questions about what the crew does: a checklist played, and which controls still do something.
#include "effect_dicts.hpp"
#include "events_from.hpp"
#include "sheet_methods.hpp"

#include <fedfrom/study/dead_controls.hpp>
#include <fedfrom/study/follow.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

py::dict to_dict(const FollowedStep& s) {
    py::dict d;
    d["step"] = dict_of(s.step);
    d["text"] = s.text;
    d["refused"] = list_of(s.refused, dict_of);
    add_difference(d, s.difference);
    d["fault"] = dict_of(s.fault);
    d["spent"] = s.spent;
    d["nothing"] = s.nothing;
    d["idle"] = list_of(s.idle, dict_of);
    return d;
}

py::list steps_of(const Followed& f) {
    py::list list;
    for (const FollowedStep& s : f.steps) list.append(to_dict(s));
    return list;
}

py::dict step_record(std::size_t number, const FollowedStep& s) {
    const auto functions = [](const std::vector<Change>& changes) {
        std::vector<std::string> ids;
        for (const Change& c : changes) ids.push_back(c.function);
        return ids;
    };
    std::vector<std::string> reasons;
    for (const auto* list : {&s.refused, &s.idle})
        for (const Refused& r : *list) reasons.push_back(r.action + ": " + r.reason);
    py::dict d;
    d["number"] = number;
    d["text"] = s.text;
    d["gained"] = functions(s.difference.gained);
    d["worse"] = functions(s.difference.worse);
    d["repowers_fault"] = s.fault.any();
    d["refused"] = !s.refused.empty();
    d["nothing"] = s.nothing;
    d["reasons"] = reasons;
    return d;
}

Sheet sheet_of(const Followed& f) { return {"Step by step: " + f.before.network().model().name, tables(f)}; }

void bind_follow(py::module_& m) {
    py::class_<Followed> result(m, "Followed", R"(A checklist played step by step: what each step changed, and which did nothing. Prints as a sheet.

    >>> followed = ff.follow(state, [{"set": {"cb_radio": "pulled"}}, {"set": {"cb_radio": "pulled"}}])
    >>> followed
    <Followed 2 steps, 1 did nothing, 0 refused>
    >>> followed.steps[1]["idle"]
    [{'action': 'cb_radio at pulled', 'reason': 'It is at pulled already.'}]
)");
    add_sheet_methods(result, [](const Followed& f) { return sheet_of(f); });
    result.def_property_readonly("steps", &steps_of, "One dict a step: what it changed against the one before, what was refused, and why nothing came of it.")
        .def_property_readonly("before", [](const Followed& f) { return f.before; }, "The outcome before the first step.")
        .def_property_readonly("after", [](const Followed& f) { return f.after; }, "The outcome after the last step.")
        .def_property_readonly("tables", [](const Followed& f) { return tables(f); }, "One row a step; functions that stand otherwise in the end.")
        .def("to_dict", [](const Followed& f) {
            py::dict d;
            d["steps"] = steps_of(f);
            add_difference(d, f.difference);
            return d;
        }, R"(to_dict(self)
--

Give the steps, and what differs in the end, as plain Python values.

    >>> ff.follow(state, [{"set": {"cb_radio": "pulled"}}]).to_dict()["worse"][0]["function"]
    'talk'
)")
        .def("to_dataframe", [](const Followed& f) {
            py::list records;
            for (std::size_t i = 0; i < f.steps.size(); ++i) records.append(step_record(i + 1, f.steps[i]));
            return frame(step_record(0, {}), records);
        }, R"(to_dataframe(self)
--

Give one row a step as a pandas data frame.

    >>> ff.follow(state, [{"set": {"cb_radio": "pulled"}}]).to_dataframe()[["text", "worse"]].values.tolist()
    [['with cb_radio at pulled', 'talk']]

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__len__", [](const Followed& f) { return f.steps.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const Followed& f) { return py::iter(steps_of(f)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const Followed& a, const Followed& b) { return a.before.state() == b.before.state() && a.steps == b.steps; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Followed& f) { return text(f); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Followed& f) {
            const auto nothing = std::ranges::count_if(f.steps, &FollowedStep::nothing);
            const auto refused = std::ranges::count_if(f.steps, [](const FollowedStep& s) { return !s.refused.empty(); });
            return "<Followed " + std::to_string(f.steps.size()) + " steps, " + std::to_string(nothing) + " did nothing, " + std::to_string(refused) + " refused>";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("follow", [](const py::object& asked, const std::vector<py::dict>& steps) {
        std::vector<Step> list;
        for (const py::dict& step : steps) list.push_back(step_from(step));
        return answered(asked, [&](const Outcome& out) { return follow(out.state(), list); });
    }, py::arg("state"), py::arg("steps"), R"(follow(state, steps)
--

Play a checklist step by step, each settled before the next; mark what does nothing any more or is refused, and why.

    >>> ff.follow(state, [{"reset": ["cb_radio"]}]).steps[0]["idle"][0]["reason"]
    'It is not tripped.'

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    steps: Dicts of fail, repair, reset, set, given and use, as in `what_works`.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: For a position an element does not have.
)");
}

py::dict dict_of(const ControlPosition& p) {
    py::dict d;
    d["position"] = p.position;
    d["functions"] = p.functions;
    d["elements"] = p.elements;
    d["feeds"] = p.feeds;
    return d;
}

py::dict dict_of(const Control& c) {
    py::dict d;
    d["id"] = c.id;
    d["name"] = c.name;
    d["at"] = c.at;
    d["does"] = std::string(name_of(c.does));
    py::list positions;
    for (const ControlPosition& p : c.positions) positions.append(dict_of(p));
    d["positions"] = positions;
    return d;
}

py::list controls_of(const DeadControls& d) {
    py::list list;
    for (const Control& c : d.controls) list.append(dict_of(c));
    return list;
}

py::dict control_record(const Control& c, const ControlPosition& p) {
    py::dict d;
    d["id"] = c.id;
    d["at"] = c.at;
    d["does"] = std::string(name_of(c.does));
    for (const auto& [key, value] : dict_of(p)) d[key] = value;
    return d;
}

void bind_dead_controls(py::module_& m) {
    py::class_<DeadControls> result(m, "DeadControls", R"(Which controls no longer change anything, and which still do. Prints as a table.

    >>> controls = ff.dead_controls(state.fail("bus"))
    >>> controls
    <DeadControls of One bus: 1 of 1 controls do nothing>
    >>> controls.dead, controls.alive
    (['cb_radio'], [])
)");
    add_sheet_methods(result, [](const DeadControls& d) { return Sheet(table(d)); });
    result.def_property_readonly("controls", [](const DeadControls& d) { return controls_of(d); }, "One dict a control, in id order, with what each other position would change.")
        .def_property_readonly("dead", &DeadControls::dead, "Those none of whose positions changes anything, for sure.")
        .def_property_readonly("alive", &DeadControls::alive, "Those that still change something.")
        .def_property_readonly("table", [](const DeadControls& d) { return table(d); }, "The table that is printed.")
        .def("to_dict", [](const DeadControls& d) { return controls_of(d); }, R"(to_dict(self)
--

Give `controls`.
)")
        .def("to_dataframe", [](const DeadControls& d) {
            py::list records;
            for (const Control& c : d.controls)
                for (const ControlPosition& p : c.positions) records.append(control_record(c, p));
            return frame(control_record({}, {}), records);
        }, R"(to_dataframe(self)
--

Give one row a control and position as a pandas data frame.

    >>> ff.dead_controls(state).to_dataframe()[["id", "position", "functions"]].values.tolist()
    [['cb_radio', 'pulled', 1]]

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__len__", [](const DeadControls& d) { return d.controls.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const DeadControls& d) { return py::iter(controls_of(d)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const DeadControls& a, const DeadControls& b) { return a.before.state() == b.before.state() && a.controls == b.controls; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const DeadControls& d) { return text(d); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const DeadControls& d) {
            return "<DeadControls of " + d.before.network().model().name + ": " + std::to_string(d.dead().size()) + " of " + std::to_string(d.controls.size()) + " controls do nothing>";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its table.");

    m.def("dead_controls", [](const py::object& asked, std::string_view reach) {
        const Reach far = reach_from(reach);
        return answered(asked, [&](const Outcome& out) { return dead_controls(out.state(), far); });
    }, py::arg("state"), py::arg("reach") = "cockpit", R"(dead_controls(state, reach='cockpit')
--

Say which controls no longer change anything, and what each position of the others would change, in count.

    >>> ff.dead_controls(state).controls[0]["positions"]
    [{'position': 'pulled', 'functions': 1, 'elements': 1, 'feeds': 0}]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    reach: How far somebody goes: "cockpit", "cabin" too, or "ground" too.
)");
}

}  // namespace

void bind_controls(py::module_& m) {
    bind_follow(m);
    bind_dead_controls(m);
}

}  // namespace fedfrom::python
