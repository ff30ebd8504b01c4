// What a model leaves open.
#include "bindings.hpp"
#include "sheet_methods.hpp"

#include <fedfrom/study/lint.hpp>

namespace fedfrom::python {

namespace {

py::dict dict_of(const Finding& f) {
    py::dict d;
    d["code"] = f.code;
    d["id"] = f.id;
    d["text"] = f.text;
    d["mend"] = f.mend;
    return d;
}

py::list findings_of(const Lint& l) {
    py::list list;
    for (const Finding& f : l.findings) list.append(dict_of(f));
    return list;
}

}  // namespace

void bind_lint(py::module_& m) {
    py::class_<Lint> result(m, "Lint", R"(What a model leaves open: one finding a thing. Prints as a sheet.

    >>> ff.lint(net)
    <Lint of One bus: 1 findings>
    >>> [(f["code"], f["id"]) for f in ff.lint(net)]
    [('given_unread', 'airborne')]
)");
    add_sheet_methods(result, [](const Lint& l) { return Sheet(table(l)); });
    result.def_property_readonly("findings", &findings_of, "One dict a finding, by code and id: what is so, and how to mend it.")
        .def_property_readonly("table", [](const Lint& l) { return table(l); }, "One row a finding.")
        .def("to_dict", [](const Lint& l) {
            py::dict d;
            d["findings"] = findings_of(l);
            return d;
        }, R"(to_dict(self)
--

Give the findings as plain Python values.

    >>> ff.lint(net).to_dict()["findings"][0]["text"]
    'No condition reads the given airborne.'
)")
        .def("to_dataframe", [](const Lint& l) { return frame(dict_of(Finding{}), findings_of(l)); }, R"(to_dataframe(self)
--

Give one row a finding, as a pandas data frame.

    >>> ff.lint(net).to_dataframe()["code"].tolist()
    ['given_unread']

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__len__", [](const Lint& l) { return l.findings.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const Lint& l) { return py::iter(findings_of(l)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const Lint& a, const Lint& b) { return a.running.state() == b.running.state() && a.findings == b.findings; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Lint& l) { return text(l); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Lint& l) { return "<Lint of " + l.running.network().model().name + ": " + std::to_string(l.findings.size()) + " findings>"; }, "__repr__(self, /)\n--\n\n");
    result.def(py::pickle([](const Lint& l) { return py::make_tuple(l.running.network()); }, [](const py::tuple& kept) { return lint(kept[0].cast<Network>()); }));

    m.def("lint", [](const py::object& asked) {
        if (py::isinstance<Network>(asked)) {
            const Network net = asked.cast<Network>();
            const py::gil_scoped_release released;
            return lint(net);
        }
        if (!py::isinstance<Model>(asked)) throw py::type_error("Ask this of a Model or a Network.");
        const Model model = asked.cast<Model>();
        const py::gil_scoped_release released;
        return lint(model);
    }, py::arg("model"), R"(lint(model)
--

Say what a model leaves open: what nothing reads, what can never matter, what its author did not say.

None of it is an error. Each finding is a fact of the model as written, with a code that stays, and says how to mend it. A
model means its base; a variant is asked for as a network.

    >>> ff.lint(model).findings[0]["mend"]
    'Read it where it matters, or leave it out.'

Args:
    model: A Model, or a Network.

Raises:
    ModelError: Where no network can be built of the model.
)");
}

}  // namespace fedfrom::python
