// The questions, as functions of the module, and their results.
#include "answers.hpp"
#include "events_from.hpp"
#include "outcome_methods.hpp"

#include <array>
#include <utility>
#include <variant>

#include <fedfrom/study/impact_table.hpp>
#include <fedfrom/study/indications.hpp>
#include <fedfrom/study/what_works.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;  // those of answers.hpp, beside the ones below

py::dict dict_of(const ElementLine& e) {
    py::dict d;
    d["id"] = e.id;
    d["name"] = e.name;
    d["status"] = std::string(name_of(e.status));
    d["position"] = e.position;
    d["passing"] = e.passing;
    d["tripped"] = e.tripped;
    d["sources"] = e.sources.ids;
    return d;
}

py::dict dict_of(const WhatWorks& w) {
    py::dict d = outcome_dict(w.outcome);
    d["stored"] = list_of(w.stored, dict_of);
    d["functions"] = list_of(w.functions, dict_of);
    d["elements"] = list_of(w.elements, dict_of);
    d["roots"] = list_of(w.roots, dict_of);
    d["consequences"] = w.consequences;
    d["assumptions"] = w.assumptions;
    d["order_matters"] = truth_or_none(w.order_matters);
    return d;
}

py::dict dict_of(const Indication& i) {
    py::dict d;
    d["id"] = i.id;
    d["name"] = i.name;
    d["status"] = std::string(name_of(i.status));
    d["shows"] = word_or_none(i.shows);
    d["supplied"] = word_or_none(i.supplied);
    d["sensed"] = word_or_none(i.sensed);
    d["healthy"] = word_or_none(i.healthy);
    d["misleads"] = i.misleads;
    d["dark"] = i.dark;
    d["reason"] = i.reason;
    return d;
}

/// A changed function with its cause.
py::dict impact_record(const Impact& i, const Change& c) {
    py::dict d = cause_of(i);
    d["worst"] = severity_or_none(i.worst);
    for (const auto& [key, value] : dict_of(c)) d[key] = value;
    return d;
}

void bind_what_works(py::module_& m) {
    py::class_<WhatWorks> works(m, "WhatWorks", R"(What still works, what falls back and what is lost. Prints as the sheet.

    >>> works = ff.what_works(net, failed=["generator"])
    >>> works
    <WhatWorks of One bus: 1 functions kept>
    >>> works.stored[0]["id"], works.stored[0]["stores"]
    ('talk', ['battery'])
)");
    add_outcome_methods(works, [](const WhatWorks& w) -> const Outcome& { return w.outcome; });
    add_sheet_methods(works, &what_works_sheet);
    works.def_property_readonly("outcome", [](const WhatWorks& w) { return w.outcome; }, "The outcome behind it.")
        .def_property_readonly("order_matters", [](const WhatWorks& w) { return truth_or_none(w.order_matters); },
            "Whether the same events in another order end elsewhere; None where not examined.")
        .def_property_readonly("stored", [](const WhatWorks& w) { return list_of(w.stored, dict_of); }, "What hangs on stored energy alone.")
        .def_property_readonly("functions", [](const WhatWorks& w) { return list_of(w.functions, dict_of); }, "One dict a function, in the order of groups.")
        .def_property_readonly("elements", [](const WhatWorks& w) { return list_of(w.elements, dict_of); }, "One dict an element, in id order.")
        .def_property_readonly("tables", [](const WhatWorks& w) { return tables(w); }, "Stored energy where there is any in use, functions, elements.")
        .def("to_dataframe", &works_frame, py::arg("of") = "functions", works_frame_doc)
        .def("to_dict", [](const WhatWorks& w) { return dict_of(w); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.what_works(net, failed=["bus"]).to_dict()["roots"]
    [{'element': 'bus', 'mode': 'loss'}]
)")
        .def("__eq__", [](const WhatWorks& a, const WhatWorks& b) { return a.outcome.state() == b.outcome.state() && a.events == b.events; },
             py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const WhatWorks& w) { return text(w); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const WhatWorks& w) { return "<WhatWorks of " + w.outcome.network().model().name + ": " + counted(w.outcome) + ">"; }, "__repr__(self, /)\n--\n\n");
    works.def(py::pickle(
        [](const WhatWorks& w) {
            const bool of_network = !w.events.empty() || w.order_matters;  // else of a state, whatever led to it
            py::list steps;
            for (const Step& step : w.events) steps.append(written(step));
            return py::make_tuple(pickled(w.outcome), of_network ? py::object(steps) : py::object(py::none()));
        },
        [](const py::tuple& kept) {
            const Outcome outcome = outcome_from(kept[0].cast<py::tuple>());
            if (kept[1].is_none()) return what_works(outcome);
            Question asked;
            for (const py::handle step : kept[1]) asked.steps.push_back(step_from(step.cast<py::dict>()));
            return what_works(outcome.network(), asked);
        }));

    m.def("what_works", [](const py::object& asked, const py::object& failed, std::map<std::string, std::string> positions, std::map<std::string, bool> given, const std::vector<py::dict>& steps) {
        Question question{.failed = failures_from(failed), .positions = std::move(positions), .given = std::move(given)};
        for (const py::dict& step : steps) question.steps.push_back(step_from(step));
        if (py::isinstance<Network>(asked)) {
            const auto net = asked.cast<Network>();
            const py::gil_scoped_release released;  // from here on no Python object is touched
            return what_works(net, question);
        }
        if (question != Question{}) throw py::type_error("Events are asked of a Network; on a State, use fail, set and given first.");
        return answered(asked, [](const Outcome& out) { return what_works(out); });
    }, py::arg("state"), py::arg("failed") = py::tuple(), py::arg("positions") = std::map<std::string, std::string>(),
       py::arg("given") = std::map<std::string, bool>(), py::arg("steps") = std::vector<py::dict>(), R"(what_works(state, failed=(), positions={}, given={}, steps=[])
--

Say what still works, what falls back and what is lost, group by group.

Of a network: from the running aircraft, with these failed and these switches set in one step, then step by step.
Of a state (settled first, in a copy) or an outcome: as it is.

    >>> print(ff.what_works(net, failed=["generator", "battery"]).lost)
    ['talk']
    >>> ff.what_works(net, steps=[{"fail": ["generator"]}, {"set": {"cb_radio": "pulled"}}]).lost
    ['talk']

Args:
    state: A Network, a State or an outcome.
    failed: Failures: "id", ("id", "mode") or ("id", "stuck", "position").
    positions: Where the crew puts switches and handles.
    given: Which givens hold.
    steps: Dicts of fail, repair, reset, set, given, use and clear_all, settled one after the other.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: Where the aircraft does not allow it.
)");
}

void bind_indications(py::module_& m) {
    const auto those = [](bool Indication::*is) {
        return [is](const Indications& i) {
            std::vector<std::string> ids;
            for (const Indication& one : i.shown)
                if (one.*is) ids.push_back(one.id);
            return ids;
        };
    };
    py::class_<Indications> result(m, "Indications", R"(What every light, gauge and flag shows, which mislead and which are dark. Prints as a table.

    >>> shown = ff.indications(state.fail("battery").fail("generator"))
    >>> shown.misleading
    ['bus_light']
    >>> len(shown), [row["shows"] for row in shown]
    (1, ['out'])
)");
    add_sheet_methods(result, [](const Indications& i) { return Sheet(table(i)); });
    result.def_property_readonly("shown", [](const Indications& i) { return list_of(i.shown, dict_of); }, "One dict an element that shows something, in id order.")
        .def_property_readonly("misleading", those(&Indication::misleads), "Those whose reading is wrong.")
        .def_property_readonly("dark", those(&Indication::dark), "Those that are not supplied and show nothing of their own; they do not mislead.")
        .def_property_readonly("table", [](const Indications& i) { return table(i); }, "The table that is printed.")
        .def("to_dataframe", [](const Indications& i) { return frame(dict_of(Indication{}), list_of(i.shown, dict_of)); }, R"(to_dataframe(self)
--

Give one row an indication as a pandas data frame.

    >>> ff.indications(state).to_dataframe()["misleads"].tolist()
    [False]

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const Indications& i) { return list_of(i.shown, dict_of); }, R"(to_dict(self)
--

Give `shown`.
)")
        .def("__len__", [](const Indications& i) { return i.shown.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const Indications& i) { return py::iter(list_of(i.shown, dict_of)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const Indications& a, const Indications& b) { return a.outcome.state() == b.outcome.state(); }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Indications& i) { return text(i); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Indications& i) {
            const auto of = [&](bool Indication::*is) { return std::to_string(std::ranges::count_if(i.shown, is)); };
            return "<Indications of " + i.outcome.network().model().name + ": " + std::to_string(i.shown.size()) + " shown, " +
                   of(&Indication::misleads) + " misleading, " + of(&Indication::dark) + " dark>";
        }, "__repr__(self, /)\n--\n\n");
    result.def(py::pickle([](const Indications& i) { return pickled(i.outcome); }, [](const py::tuple& kept) { return indications(outcome_from(kept)); }));

    m.def("indications", [](const py::object& asked) { return answered(asked, [](const Outcome& out) { return indications(out); }); },
          py::arg("state"), R"(indications(state)
--

Say what every light, gauge and flag shows now, what a healthy aircraft would show, which mislead and which are dark.

    >>> ff.indications(state.fail("generator")).shown[0]["shows"]
    'lit'

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
)");
}

/// One record a changed function of a cause.
py::list changes_of(const ImpactTable& t) {
    py::list records;
    for (const Impact& row : t.rows)
        for (const Change& change : row.changes) records.append(impact_record(row, change));
    return records;
}

void bind_impact(py::module_& m) {
    py::class_<ImpactTable> result(m, "ImpactTable", R"(Every failure and common cause, and combinations of failures, against every function. Prints as a table.

    >>> impact = ff.impact_table(net)
    >>> impact
    <ImpactTable of One bus: 4 of 9 causes change a function>
    >>> [(row["id"], row["mode"]) for row in impact]
    [('bus', 'loss'), ('bus', 'short'), ('cb_radio', 'loss'), ('radio', 'loss')]
)");
    add_sheet_methods(result, [](const ImpactTable& t) { return Sheet(table(t)); });
    result.def_property_readonly("rows", [](const ImpactTable& t) { return list_of(t.rows, dict_of); }, "One dict a cause that changes something, worst first.")
        .def_readonly("functions", &ImpactTable::functions, "Functions any row changes.")
        .def_readonly("examined", &ImpactTable::examined, "How many single causes were tried.")
        .def_readonly("combinations", &ImpactTable::combinations, "How many combinations of failures were tried; 0 with order 1.")
        .def_readonly("inert", &ImpactTable::inert, "How many failures can reach no function examined, and are in no combination.")
        .def_readonly("unchanged", &ImpactTable::unchanged, "How many of them change no function, of `goals` where given.")
        .def_property_readonly("goals", [](const ImpactTable& t) { return t.options.goals; }, "The only functions examined; empty: all.")
        .def_property_readonly("table", [](const ImpactTable& t) { return table(t); }, "The table that is printed: causes × functions.")
        .def("to_dataframe", [](const ImpactTable& t) { return frame(impact_record({}, {}), changes_of(t)); }, R"(to_dataframe(self)
--

Give one row a changed function of a cause as a pandas data frame; `table.to_dataframe()` is causes × functions.

    >>> ff.impact_table(net).to_dataframe()[["id", "function", "after"]].values.tolist()[0]
    ['bus', 'talk', 'lost']

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const ImpactTable& t) { return list_of(t.rows, dict_of); }, R"(to_dict(self)
--

Give `rows`.
)")
        .def("__len__", [](const ImpactTable& t) { return t.rows.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const ImpactTable& t) { return py::iter(list_of(t.rows, dict_of)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const ImpactTable& a, const ImpactTable& b) { return a.before.state() == b.before.state() && a.rows == b.rows; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const ImpactTable& t) { return text(t); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const ImpactTable& t) {
            const std::size_t single = t.examined - t.unchanged, combined = t.rows.size() - single;
            return "<ImpactTable of " + t.before.network().model().name + ": " + std::to_string(single) + " of " + std::to_string(t.examined) + " causes change a function" +
                   (t.options.order > 1 ? ", " + std::to_string(combined) + " more by combination" : "") + ">";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its table.");

    m.def("impact_table", [](const py::object& asked, int order, bool causes, std::vector<std::string> goals) {
        return answered(asked, [&](const Outcome& out) { return impact_table(out.state(), {order, causes, std::move(goals)}); });
    }, py::arg("state"), py::kw_only(), py::arg("order") = 1, py::arg("causes") = true, py::arg("goals") = std::vector<std::string>(), R"(impact_table(state, *, order=1, causes=True, goals=[])
--

Add each failure and common cause to a settled state, against every function; and each pair or triple of failures.

A combination is listed for what no part of it does alone; two failures of one element are not combined.

    >>> ff.impact_table(net, goals=["talk"]).unchanged
    5
    >>> ff.impact_table(net, order=2)
    <ImpactTable of One bus: 4 of 9 causes change a function, 2 more by combination>
    >>> ff.impact_table(net, order=2).rows[-1]["id"]
    'battery + generator'

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    order: How many failures at once, 1 to 3.
    causes: Also the author's common causes, and each zone lost as a whole.
    goals: The only functions to examine; empty: all.

Raises:
    UnknownId: Naming the nearest function.
    NotPossible: With an order beyond 3.
)");
}

}  // namespace

Sheet what_works_sheet(const WhatWorks& works) { return {"What works: " + works.outcome.network().model().name, tables(works)}; }

py::object works_frame(const WhatWorks& works, std::string_view of) {
    if (of == "functions") return frame(dict_of(FunctionLine{}), list_of(works.functions, dict_of));
    if (of == "elements") return frame(dict_of(ElementLine{}), list_of(works.elements, dict_of));
    if (of == "stored") return frame(dict_of(StoredLine{}), list_of(works.stored, dict_of));
    throw py::value_error("`of` is functions, elements or stored.");
}

void bind_study(py::module_& m) {
    bind_what_works(m);
    bind_indications(m);
    bind_impact(m);
}

}  // namespace fedfrom::python
