// Which outcomes differ between two aircraft or two states of one.
#include "effect_dicts.hpp"
#include "events_from.hpp"
#include "sheet_methods.hpp"
#include "watch.hpp"

#include <utility>

#include <fedfrom/study/compare.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

py::dict dict_of(const FunctionStanding& s) {
    py::dict d;
    d["level"] = std::string(name_of(s.level));
    d["mode"] = s.mode;
    d["mode_name"] = s.mode_name;
    return d;
}

py::dict dict_of(const FunctionPair& p) {
    py::dict d;
    d["function"] = p.function;
    d["a"] = dict_of(p.a);
    d["b"] = dict_of(p.b);
    return d;
}

py::dict dict_of(const ElementPair& p) {
    py::dict d;
    d["element"] = p.element;
    d["a"] = std::string(name_of(p.a));
    d["b"] = std::string(name_of(p.b));
    return d;
}

py::dict dict_of(const OnlyOne& o) {
    py::dict d;
    d["what"] = std::string(name_of(o.what));
    d["id"] = o.id;
    d["word"] = o.word;
    d["name"] = o.name;
    d["has"] = o.in_a ? "a" : "b";
    d["not_fitted"] = o.not_fitted;
    return d;
}

py::dict dict_of(const Comparison& c, const DifferenceGroup& g) {
    py::dict d;
    d["text"] = scenarios_text(c, g);
    d["scenarios"] = list_of(g.scenarios, dict_of);
    d["functions"] = list_of(g.functions, dict_of);
    d["alike"] = list_of(g.alike, dict_of);
    d["elements"] = list_of(g.elements, dict_of);
    d["elements_alike"] = list_of(g.elements_alike, dict_of);
    d["worst"] = severity_or_none(g.worst);
    return d;
}

py::list groups_of(const Comparison& c, const std::vector<DifferenceGroup>& groups) {
    py::list list;
    for (const DifferenceGroup& g : groups) list.append(dict_of(c, g));
    return list;
}

py::dict record(const std::string& scenario, const FunctionPair& p) {
    py::dict d;
    d["scenario"] = scenario;
    d["function"] = p.function;
    d["a"] = std::string(name_of(p.a.level));
    d["b"] = std::string(name_of(p.b.level));
    d["mode_a"] = p.a.mode;
    d["mode_b"] = p.b.mode;
    return d;
}

py::object comparison_frame(const Comparison& c, std::string_view of) {
    py::list records;
    if (of == "only") {
        for (const OnlyOne& o : c.only) records.append(dict_of(o));
        return frame(dict_of(OnlyOne{}), records);
    }
    if (of == "functions") {
        for (const FunctionPair& p : c.functions) records.append(record("", p));
    } else if (of == "scenarios") {
        for (const auto* groups : {&c.groups, &c.pairs})
            for (const DifferenceGroup& g : *groups)
                for (const Step& s : g.scenarios) {
                    const std::string words = scenarios_text(c, {.scenarios = {s}});
                    for (const auto* list : {&g.functions, &g.alike})
                        for (const FunctionPair& p : *list) records.append(record(words, p));
                }
    } else {
        throw py::value_error("`of` is scenarios, functions or only.");
    }
    return frame(record("", {}), records);
}

Sheet sheet_of(const Comparison& c) { return {"Differences between " + c.names[0] + " and " + c.names[1], tables(c)}; }

std::vector<std::string> goals_from(const py::object& goals) {
    if (goals.is_none()) return {};
    if (py::isinstance<py::str>(goals)) return {goals.cast<std::string>()};
    return converted<std::vector<std::string>>(goals, "`goals` is a function, a list of them, or None for all.");
}

}  // namespace

void bind_compare(py::module_& m) {
    py::class_<Comparison> result(m, "Comparison", R"(Which outcomes differ between two aircraft, or two states of one. Prints as a hand-out.

    >>> seen = ff.compare(net, ff.Network(model, variant="b"))
    >>> seen
    <Comparison of base and b: 0 functions differ as they stand, 1 differences in 10 scenarios>
    >>> for group in seen:
    ...     print(group["text"], [(f["function"], f["a"]["level"], f["b"]["level"]) for f in group["functions"]])
    generator: loss or short [('talk', 'normal', 'lost')]
)");
    add_sheet_methods(result, [](const Comparison& c) { return sheet_of(c); });
    result.def_property_readonly("names", [](const Comparison& c) { return py::make_tuple(c.names[0], c.names[1]); }, "What the sheet calls the two.")
        .def_property_readonly("functions", [](const Comparison& c) { return list_of(c.functions, dict_of); }, "Functions that differ as the two stand.")
        .def_property_readonly("elements", [](const Comparison& c) { return list_of(c.elements, dict_of); }, "Elements whose status differs as the two stand, where asked for.")
        .def_property_readonly("groups", [](const Comparison& c) { return groups_of(c, c.groups); }, "One dict a difference, with every single scenario that makes it: worst severity first.")
        .def_property_readonly("pairs", [](const Comparison& c) { return groups_of(c, c.pairs); }, "The same of pairs of failures, where asked for: what differs with neither alone.")
        .def_property_readonly("only", [](const Comparison& c) { return list_of(c.only, dict_of); }, "What only one of the two has, which is no difference of outcome.")
        .def_readonly("scenarios", &Comparison::scenarios, "How many single scenarios were examined beside the two as they stand.")
        .def_readonly("unchanged", &Comparison::unchanged, "How many of them leave the two exactly as different as they stand.")
        .def_readonly("combinations", &Comparison::combinations, "How many failures and pairs of failures were examined for `pairs`.")
        .def_readonly("complete", &Comparison::complete, "False where it was cancelled or ran out of time among the pairs; what is listed holds all the same.")
        .def_property_readonly("a", [](const Comparison& c) { return c.a; }, "The outcome of the first, as it stands.")
        .def_property_readonly("b", [](const Comparison& c) { return c.b; }, "The outcome of the second, as it stands.")
        .def_property_readonly("tables", [](const Comparison& c) { return tables(c); }, "As the two stand, the scenarios, pairs where asked for, and what only one has.")
        .def("to_dict", [](const Comparison& c) {
            py::dict d;
            d["names"] = py::make_tuple(c.names[0], c.names[1]);
            d["functions"] = list_of(c.functions, dict_of);
            d["elements"] = list_of(c.elements, dict_of);
            d["groups"] = groups_of(c, c.groups);
            d["pairs"] = groups_of(c, c.pairs);
            d["only"] = list_of(c.only, dict_of);
            d["scenarios"] = c.scenarios;
            d["unchanged"] = c.unchanged;
            d["combinations"] = c.combinations;
            d["complete"] = c.complete;
            return d;
        }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.compare(net, ff.Network(model, variant="b")).to_dict()["only"]
    [{'what': 'element', 'id': 'battery', 'word': '', 'name': '', 'has': 'a', 'not_fitted': True}]
)")
        .def("to_dataframe", &comparison_frame, py::arg("of") = "scenarios", R"(to_dataframe(self, of='scenarios')
--

Give one row a scenario and function that differs with it, a function that differs as the two stand, or a thing only one has, as a pandas data frame.

    >>> ff.compare(net, ff.Network(model, variant="b")).to_dataframe()[["scenario", "a", "b"]].values.tolist()
    [['generator: loss', 'normal', 'lost'], ['generator: short', 'normal', 'lost']]

Args:
    of: "scenarios", "functions" or "only".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__len__", [](const Comparison& c) { return c.groups.size() + c.pairs.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const Comparison& c) {
            py::list all = groups_of(c, c.groups);
            for (const DifferenceGroup& g : c.pairs) all.append(dict_of(c, g));
            return py::iter(all);
        }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const Comparison& a, const Comparison& b) {
            return a.a.state() == b.a.state() && a.b.state() == b.b.state() && a.names == b.names && a.functions == b.functions && a.elements == b.elements && a.groups == b.groups && a.pairs == b.pairs;
        }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Comparison& c) { return text(c); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Comparison& c) {
            return "<Comparison of " + c.names[0] + " and " + c.names[1] + ": " + std::to_string(c.functions.size()) + " functions differ as they stand, " + std::to_string(c.groups.size() + c.pairs.size()) +
                   " differences in " + std::to_string(c.scenarios) + " scenarios" + (c.complete ? ">" : ", incomplete>");
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("compare", [](const py::object& a, const py::object& b, int order, bool elements, const py::object& goals, const std::optional<std::array<std::string, 2>>& names,
                        std::optional<double> seconds, const py::object& progress) {
        if (py::isinstance<py::bytes>(goals)) throw py::reference_cast_error();  // asks pybind11 for the other overload
        CompareOptions options{.order = order, .elements = elements, .goals = goals_from(goals), .names = names.value_or(std::array<std::string, 2>{}), .seconds = seconds.value_or(0), .progress = {}};
        Asked first = copied(a), second = copied(b);
        return watched(progress, options, [&] {
            const py::gil_scoped_release released;
            return compare(outcome_of(std::move(first)).state(), outcome_of(std::move(second)).state(), options);
        });
    }, py::arg("a"), py::arg("b"), py::kw_only(), py::arg("order") = 1, py::arg("elements") = false, py::arg("goals") = py::none(), py::arg("names") = py::none(),
       py::arg("seconds") = py::none(), py::arg("progress") = py::none(), R"(compare(a, b, *, order=1, elements=False, goals=None, names=None, seconds=None, progress=None)
--

Say which outcomes differ between two aircraft or two states of one, and with which failures, positions and givens.

Of two variants or editions, or of one aircraft before and after a selection, in flight and on the ground. Both are settled
and judged as they stand, and then with each failure both can have, each position of the crew's controls and each given added.
What differs as they stand is said once. An outcome is a level and a mode; a mode is the same where its id, name, crew notes
and effects are. Unknown in both is listed. Ids say what corresponds; what only one has is listed apart.

    >>> flying = net.running_state()
    >>> seen = ff.compare(flying, flying.copy().set("cb_radio", "pulled"), names=("before", "after"))
    >>> [(f["function"], f["a"]["level"], f["b"]["level"]) for f in seen.functions]
    [('talk', 'normal', 'lost')]
    >>> [group["text"] for group in seen]
    ['bus: loss or short; cb_radio: loss; radio: loss; cb_radio at pulled', 'cb_radio at in']

Args:
    a, b: States (settled first, in copies), outcomes, or Networks, which mean their running states.
    order: 2: also every pair of failures, for what differs with neither alone.
    elements: Also compare the status of every element, though not with pairs.
    goals: The only function or functions to compare; None: all.
    names: What the sheet calls the two; None: by variant or edition, else "first" and "second".
    seconds: A budget for pairs; None: no limit.
    progress: Called with the part of the pairs done; what returns False cancels.

Raises:
    UnknownId: For a goal neither has, naming the nearest.
    NotPossible: For an order other than 1 and 2.
)");
}

}  // namespace fedfrom::python
