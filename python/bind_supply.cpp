// What hangs on an element and what feeds it.
#include "answers.hpp"
#include "outcome_methods.hpp"

#include <array>
#include <utility>

#include <fedfrom/study/supply_list.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

py::dict dict_of(const SupplyWay& w) {
    py::dict d;
    d["into"] = w.into;
    d["port"] = w.port;
    d["from"] = w.from;
    d["text"] = w.text;
    d["in_use"] = w.in_use;
    d["stands"] = w.stands;
    return d;
}

py::dict dict_of(const SupplyLine& l) {
    py::dict d;
    d["id"] = l.id;
    d["name"] = l.name;
    d["direct"] = l.direct;
    d["now"] = std::string(name_of(l.now));
    d["without"] = std::string(name_of(l.without));
    d["sources"] = l.sources;
    return d;
}

py::list changes_of(const SupplyList& s) {
    py::list list;
    for (const Change& change : s.functions) list.append(fedfrom::python::dict_of(change));
    return list;
}

py::dict to_dict(const SupplyList& s) {
    py::dict d;
    d["id"] = s.id;
    d["name"] = s.name;
    d["lost_as"] = s.lost_as;
    d["lost_already"] = s.lost_already;
    d["sure"] = s.sure;
    d["ways"] = list_of(s.ways, dict_of);
    d["path"] = s.path;
    d["sources"] = s.sources;
    d["others"] = s.others;
    d["needs"] = list_of(s.needs, dict_of);
    d["uses"] = list_of(s.uses, dict_of);
    d["could"] = list_of(s.could, dict_of);
    d["unknown"] = list_of(s.unknown, dict_of);
    d["functions"] = changes_of(s);
    return d;
}

py::object supply_frame(const SupplyList& s, std::string_view of) {
    if (of == "ways") return frame(dict_of(SupplyWay{}), list_of(s.ways, dict_of));
    if (of == "functions") return frame(fedfrom::python::dict_of(Change{}), changes_of(s));
    if (of != "hanging") throw py::value_error("`of` is hanging, ways or functions.");
    py::list records;
    const auto record = [](const SupplyLine& line, const char* how) {
        py::dict d = dict_of(line);
        d["hangs"] = how;
        return d;
    };
    const std::array<std::pair<const std::vector<SupplyLine>*, const char*>, 4> lists{{{&s.needs, "needs"}, {&s.uses, "uses"}, {&s.could, "could"}, {&s.unknown, "unknown"}}};
    for (const auto& [lines, how] : lists)
        for (const SupplyLine& line : *lines) records.append(record(line, how));
    return frame(record({}, ""), records);
}

std::string title(const SupplyList& s) { return "Supply list: " + (s.name.empty() ? s.id : s.name + " (" + s.id + ")"); }

}  // namespace

void bind_supply(py::module_& m) {
    py::class_<SupplyList> result(m, "SupplyList", R"(What hangs on a bus, breaker or source, and what feeds it. Prints as a sheet.

    >>> hangs = ff.supply_list(state, "bus")
    >>> hangs
    <SupplyList of bus: 1 need it, 0 use it, 0 could; 1 functions change>
    >>> [way["stands"] for way in hangs.ways], [line["id"] for line in hangs.needs]
    (['in use', 'live'], ['radio'])
)");
    add_sheet_methods(result, [](const SupplyList& s) { return Sheet(title(s), tables(s)); });
    result.def_readonly("id", &SupplyList::id, "The element that was found.")
        .def_readonly("name", &SupplyList::name, "Its name.")
        .def_readonly("lost_as", &SupplyList::lost_as, "What its loss is here, in a sentence.")
        .def_readonly("lost_already", &SupplyList::lost_already, "True where it is lost as things stand: then nothing needs it or uses it.")
        .def_readonly("sure", &SupplyList::sure, "False where something never comes to rest, and which feed is in use is not sure.")
        .def_property_readonly("ways", [](const SupplyList& s) { return list_of(s.ways, dict_of); }, "What feeds it directly, by priority; of a device, the ways it stands in.")
        .def_readonly("path", &SupplyList::path, "What feeds it all the way, nearest first.")
        .def_readonly("sources", &SupplyList::sources, "The live sources at the far end.")
        .def_readonly("others", &SupplyList::others, "Sources not in use for it from which some way leads, open or not.")
        .def_property_readonly("needs", [](const SupplyList& s) { return list_of(s.needs, dict_of); }, "What loses supply, or may, when it alone is lost.")
        .def_property_readonly("uses", [](const SupplyList& s) { return list_of(s.uses, dict_of); }, "What lives on it now and stays supplied by another feed; `sources` are those it then has.")
        .def_property_readonly("could", [](const SupplyList& s) { return list_of(s.could, dict_of); }, "What it could feed, and does not now.")
        .def_property_readonly("unknown", [](const SupplyList& s) { return list_of(s.unknown, dict_of); }, "What is perhaps supplied as things stand.")
        .def_property_readonly("functions", [](const SupplyList& s) { return changes_of(s); }, "Functions that stand otherwise when it is lost: worse first.")
        .def_property_readonly("tables", [](const SupplyList& s) { return tables(s); }, "What feeds it, what hangs on it, functions.")
        .def("to_dict", [](const SupplyList& s) { return to_dict(s); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.supply_list(state, "CB_RADIO").to_dict()["lost_as"]
    'Lost, cb_radio passes nothing.'
)")
        .def("to_dataframe", &supply_frame, py::arg("of") = "hanging", R"(to_dataframe(self, of='hanging')
--

Give one row a thing that hangs on it, a way in, or a function that changes, as a pandas data frame.

    >>> ff.supply_list(state, "bus").to_dataframe()[["id", "hangs"]].values.tolist()
    [['radio', 'needs']]

Args:
    of: "hanging", "ways" or "functions".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__eq__", [](const SupplyList& a, const SupplyList& b) { return a.outcome.state() == b.outcome.state() && a.id == b.id; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const SupplyList& s) { return text(s); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const SupplyList& s) {
            return "<SupplyList of " + s.id + ": " + std::to_string(s.needs.size()) + " need it, " + std::to_string(s.uses.size()) + " use it, " + std::to_string(s.could.size()) + " could; " + std::to_string(s.functions.size()) + " functions change>";
        }, "__repr__(self, /)\n--\n\n");
    result.def(py::pickle([](const SupplyList& s) { return py::make_tuple(pickled(s.outcome), s.id); },
                          [](const py::tuple& kept) { return supply_list(outcome_from(kept[0].cast<py::tuple>()), kept[1].cast<std::string>()); }));

    m.def("supply_list", [](const py::object& asked, const std::string& name) {
        return answered(asked, [&](const Outcome& out) { return supply_list(out, name); });
    }, py::arg("state"), py::arg("name"), R"(supply_list(state, name)
--

List what hangs on a bus, breaker or source, and what feeds it, directly and all the way.

What needs it loses supply when it alone is lost. What uses it now would be taken over by another feed. What could use it
does neither, and some way leads there from it. Functions that change with it are listed beside.

    >>> ff.supply_list(state, "generator").uses[0]["sources"]
    ['battery']

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    name: An id, a name or an alias of an element, in any case.

Raises:
    UnknownId: Naming the nearest, or every element that is called so.
    NotPossible: For a diode or check valve taken as perfect.
)");
}

}  // namespace fedfrom::python
