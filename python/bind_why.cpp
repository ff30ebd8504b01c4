// Why something is lost and on what it lives, and which causes have which consequences.
#include "answers.hpp"
#include "outcome_methods.hpp"

#include <utility>

#include <fedfrom/study/root_causes.hpp>
#include <fedfrom/study/trace.hpp>
#include <fedfrom/study/why.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

py::dict dict_of(const WhyLine& line) {
    py::dict d;
    d["depth"] = line.depth;
    d["id"] = line.id;
    d["text"] = line.text;
    return d;
}

py::dict dict_of(const CauseSets& c) {
    py::list sets;
    for (const auto& set : c.sets) sets.append(list_of(set, dict_of));
    py::dict d;
    d["present"] = list_of(c.present, dict_of);
    d["sets"] = sets;
    d["running"] = c.running;
    d["together"] = c.together;
    d["complete"] = c.complete;
    d["complete_to"] = c.complete_to;
    d["remembered"] = c.remembered;
    return d;
}

py::dict dict_of(const LastLine& l) {
    py::dict d;
    d["sources"] = dict_of(l.sources);
    py::list singles;
    for (const FailureRef& f : l.singles) singles.append(dict_of(f));
    d["singles"] = singles;
    d["complete"] = l.complete;
    return d;
}

template <class T>
py::object dict_or_none(const std::optional<T>& value) {
    return value ? py::object(dict_of(*value)) : py::object(py::none());
}

py::dict dict_of(const Why& w) {
    py::dict d;
    d["id"] = w.id;
    d["headline"] = w.headline;
    d["lines"] = list_of(w.lines, dict_of);
    d["roots"] = list_of(w.roots, dict_of);
    d["causes"] = dict_or_none(w.causes);
    d["last"] = dict_or_none(w.last);
    return d;
}

using Pairs = std::vector<std::pair<std::string, std::string>>;

Pairs pairs(const std::vector<RootCause>& roots) {
    Pairs list;
    for (const RootCause& root : roots) list.emplace_back(root.id, root.word);
    return list;
}

std::vector<Pairs> sets_of(const Why& w) {
    std::vector<Pairs> list;
    if (w.causes)
        for (const auto& set : w.causes->sets) list.push_back(pairs(set));
    return list;
}

void bind_why_itself(py::module_& m) {
    py::class_<Why> result(m, "Why", R"(Why something is lost, or on what it lives. Prints as indented sentences.

    >>> why = ff.why(state.set("cb_radio", "pulled"), "talk")
    >>> why
    <Why Talk on the radio (talk) is lost.>
    >>> why.sets
    [[('cb_radio', 'pulled')]]
)");
    add_sheet_methods(result, [](const Why& w) { return Sheet(table(w)); });
    result.def_readonly("id", &Why::id, "The element or function asked about.")
        .def_readonly("headline", &Why::headline, "The answer in a sentence.")
        .def_property_readonly("roots", [](const Why& w) { return pairs(w.roots); }, "The root causes, then what could help if changed: (id, failure mode, position or \"true\" or \"false\"). `to_dict()` has the kind of each.")
        .def_property_readonly("sets", [](const Why& w) { return sets_of(w); }, "Of what is lost: every smallest set of what is present that is enough alone, as lists like `roots`; fewest causes first.")
        .def_property_readonly("causes", [](const Why& w) { return dict_or_none(w.causes); }, "Of what is lost: the sets with all that is present, and whether they are complete; else None.")
        .def_property_readonly("last", [](const Why& w) { return dict_or_none(w.last); }, "Of what works: how many independent sources are left, and every single failure that takes it; else None.")
        .def_property_readonly("table", [](const Why& w) { return table(w); }, "One row a sentence.")
        .def("to_dataframe", [](const Why& w) { return frame(dict_of(WhyLine{}), list_of(w.lines, dict_of)); }, R"(to_dataframe(self)
--

Give one row a sentence, with its depth and what it is about, as a pandas data frame.

    >>> ff.why(state.fail("bus"), "radio").to_dataframe()["id"].tolist()
    ['radio', 'bus']

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const Why& w) { return dict_of(w); }, R"(to_dict(self)
--

Give id, headline, lines, roots, causes and last line of defence as plain Python values.

    >>> ff.why(state.fail("bus"), "radio").to_dict()["roots"]
    [{'kind': 'failure', 'id': 'bus', 'word': 'loss', 'text': 'bus: loss'}]
)")
        .def("__eq__", [](const Why& a, const Why& b) { return a.outcome.state() == b.outcome.state() && a.id == b.id; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Why& w) { return text(w); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Why& w) { return "<Why " + w.headline + ">"; }, "__repr__(self, /)\n--\n\n");
    result.def(py::pickle([](const Why& w) { return py::make_tuple(pickled(w.outcome), w.id); },
                          [](const py::tuple& kept) { return why(outcome_from(kept[0].cast<py::tuple>()), kept[1].cast<std::string>()); }));

    m.def("why", [](const py::object& asked, const std::string& id) {
        return answered(asked, [&](const Outcome& out) { return why(out, id); });
    }, py::arg("state"), py::arg("id"), R"(why(state, id)
--

Explain why an element or function is lost or degraded, down to root causes; or the path it lives on.

Of what is lost it also finds every smallest set of what is present that is enough, put alone into the running
aircraft in one step. Of what works it says what stands behind it: how many independent sources are left, and which
single failures take it.

    >>> ff.why(state, "talk").last["sources"]["sets"]
    [['battery', 'generator']]
    >>> ff.why(state.set("cb_radio", "pulled"), "talk").roots
    [('cb_radio', 'pulled')]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    id: An element or a function.

Raises:
    UnknownId: Naming the nearest.
)");
    m.def("live_sources", [](const py::object& asked, const std::string& id) {
        return answered(asked, [&](const Outcome& out) { return live_sources(out, id).ids; });
    }, py::arg("state"), py::arg("id"), R"(live_sources(state, id)
--

List the sources behind an element or function now, in id order.

    >>> ff.live_sources(state, "talk")
    ['generator']
    >>> ff.live_sources(state.fail("generator"), "talk")
    ['battery']

Raises:
    UnknownId: Naming the nearest.
)");
}

py::dict dict_of(const Consequence& q) {
    py::dict d;
    d["of"] = std::string(name_of(q.of));
    d["id"] = q.id;
    d["name"] = q.name;
    const bool function = q.of == Consequence::Of::function;
    d["before"] = function ? std::string(name_of(q.change.before)) : q.of == Consequence::Of::element ? "supplied" : "";
    d["after"] = function ? std::string(name_of(q.change.after)) : std::string(name_of(q.status));
    d["mode"] = q.change.mode_after;
    d["mode_name"] = q.change.mode_name_after;
    d["severity"] = severity_or_none(q.severity);
    d["roots"] = q.roots;
    return d;
}

/// One record a set of roots and consequence.
py::dict consequence_record(const RootCauses& r, const Consequence& q, const std::vector<std::size_t>& places) {
    std::vector<std::string> roots;
    for (const std::size_t i : places) roots.push_back(r.causes[i].text);
    py::dict d;
    d["roots"] = roots;
    for (const auto& [key, value] : dict_of(q))
        if (key.cast<std::string>() != "roots") d[key] = value;
    return d;
}

py::object consequence_frame(const RootCauses& r) {
    py::list records;
    for (const Consequence& q : r.consequences) {
        for (const auto& places : q.roots) records.append(consequence_record(r, q, places));
        if (q.roots.empty()) records.append(consequence_record(r, q, {}));
    }
    return frame(consequence_record(r, {}, {}), records);
}

void bind_root_causes(py::module_& m) {
    py::class_<RootCauses> result(m, "RootCauses", R"(Root causes, and their consequences under them. Prints as a sheet.

    >>> roots = ff.root_causes(state.fail("bus").set("cb_radio", "pulled"))
    >>> roots
    <RootCauses of One bus: 2 causes, 2 consequences>
    >>> [(q["id"], [roots.causes[i]["text"] for (i,) in q["roots"]]) for q in roots]
    [('talk', ['bus: loss', 'cb_radio at pulled']), ('radio', ['bus: loss', 'cb_radio at pulled'])]
)");
    add_sheet_methods(result, [](const RootCauses& r) { return Sheet(table(r)); });
    result.def_property_readonly("causes", [](const RootCauses& r) { return list_of(r.causes, dict_of); }, "All that is present: failures, trips and empty stores that follow from nothing else, modes used, hands away from rest, givens other than in the model.")
        .def_property_readonly("consequences", [](const RootCauses& r) { return list_of(r.consequences, dict_of); }, "What stands worse than in the running aircraft; `roots` are sets of places in `causes`, empty where no set is enough.")
        .def_readonly("remembered", &RootCauses::remembered, "Where no set of causes is enough for something: what the aircraft remembers beside them.")
        .def_readonly("complete", &RootCauses::complete, "False with more than twelve causes, where not every set was tried.")
        .def_readonly("complete_to", &RootCauses::complete_to, "Every set of up to so many causes was tried.")
        .def_property_readonly("table", [](const RootCauses& r) { return table(r); }, "One row a set of roots and consequence.")
        .def("to_dict", [](const RootCauses& r) {
            py::dict d;
            d["causes"] = list_of(r.causes, dict_of);
            d["consequences"] = list_of(r.consequences, dict_of);
            d["remembered"] = r.remembered;
            d["complete"] = r.complete;
            d["complete_to"] = r.complete_to;
            return d;
        }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.root_causes(state.fail("bus")).to_dict()["causes"]
    [{'kind': 'failure', 'id': 'bus', 'word': 'loss', 'text': 'bus: loss'}]
)")
        .def("to_dataframe", &consequence_frame, R"(to_dataframe(self)
--

Give one row a set of roots and consequence, as a pandas data frame.

    >>> ff.root_causes(state.fail("bus")).to_dataframe()[["roots", "id", "after"]].values.tolist()
    [['bus: loss', 'talk', 'lost'], ['bus: loss', 'radio', 'unsupplied']]

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__len__", [](const RootCauses& r) { return r.consequences.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const RootCauses& r) { return py::iter(list_of(r.consequences, dict_of)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const RootCauses& a, const RootCauses& b) { return a.outcome.state() == b.outcome.state(); }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const RootCauses& r) { return text(r); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const RootCauses& r) {
            return "<RootCauses of " + r.outcome.network().model().name + ": " + std::to_string(r.causes.size()) + " causes, " + std::to_string(r.consequences.size()) + " consequences>";
        }, "__repr__(self, /)\n--\n\n");
    result.def(py::pickle([](const RootCauses& r) { return pickled(r.outcome); }, [](const py::tuple& kept) { return root_causes(outcome_from(kept)); }));

    m.def("root_causes", [](const py::object& asked) { return answered(asked, [](const Outcome& out) { return root_causes(out); }); }, py::arg("state"), R"(root_causes(state)
--

Sort what is worse than in the running aircraft under the causes that take it there.

The roots of a consequence are those causes that alone, put into the running aircraft, leave it no better than it
stands; where none does, the smallest sets of them that do. Where no set does, the order of what happened counts.

    >>> ff.root_causes(state.fail("generator").fail("battery")).consequences[0]["roots"]
    [[0, 1]]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
)");
}

}  // namespace

void bind_why(py::module_& m) {
    bind_why_itself(m);
    bind_root_causes(m);
}

}  // namespace fedfrom::python
