// Models: read, parse, written, made from Python values that read like the JSON.
#include "sheet_methods.hpp"
#include "summaries.hpp"

#include <utility>

#include <fedfrom/io/read.hpp>
#include <fedfrom/io/variant.hpp>
#include <fedfrom/io/write.hpp>

namespace fedfrom::python {

namespace {

Model from_dict(const py::dict& values) {
    py::dict document;
    document["format"] = "fedfrom/1";
    for (const auto& [key, value] : values) document[key] = value;
    const auto json = py::module_::import("json").attr("dumps")(document, py::arg("allow_nan") = false).cast<std::string>();
    ReadResult read = try_parse_model(json);
    for (Diagnostic& d : read.diagnostics) d.line = d.column = 0;  // of a text the caller never saw
    if (!read.ok()) throw ModelError(std::move(read.diagnostics));
    return std::move(read.model);
}

py::object to_dict(const Model& model) { return py::module_::import("json").attr("loads")(write_model(model)); }

}  // namespace

void bind_model(py::module_& m) {
    py::class_<Model> model(m, "Model", R"(One aircraft type as its author wrote it: plain data, checked.

Made from keyword arguments that read like the JSON, or by `read_model` and `parse_model`. It pickles.

    >>> small = ff.Model(name="Small", elements={
    ...     "battery": {"kind": "battery"},
    ...     "bus": {"kind": "bus", "inputs": {"power": ["battery"]}}})
    >>> small
    <Model Small: 2 elements, 0 functions>

Raises:
    ModelError: Listing every problem.
)");
    add_notebook_methods(model, [](const Model& x) { return Sheet(summary(x)); });
    model.def(py::init([](const py::kwargs& values) { return from_dict(values); }), R"(__init__(self, **values)
--

Make a model from keyword arguments; `format` may be left out.
)")
        .def_static("from_dict", &from_dict, py::arg("values"), R"(from_dict(values)
--

Make a model from one dict; `format` may be left out.

    >>> ff.Model.from_dict(model.to_dict()) == model
    True

Raises:
    ModelError: Listing every problem.
)")
        .def("to_dict", [](const Model& model) { return to_dict(model); }, R"(to_dict(self)
--

Give the model as plain Python values, in canonical form.

    >>> model.to_dict()["elements"]["bus"]
    {'kind': 'bus', 'inputs': {'power': ['generator', 'battery']}}
)")
        .def("variant_of", &variant_of, py::arg("variant"), R"(variant_of(self, variant)
--

Give the model with a variant's patches applied; "" or the name of the base gives the model itself.

    >>> model.variant_of("b").variant
    'b'

Raises:
    UnknownId: Naming the nearest variant.
)", py::call_guard<py::gil_scoped_release>())  // patching and checking touch no Python object
        .def_readonly("name", &Model::name, "What the aircraft type is called.")
        .def_readonly("edition", &Model::edition, "Which edition of the model this is.")
        .def_readonly("base", &Model::base, "What the unpatched aircraft is called.")
        .def_readonly("variant", &Model::variant, "Which variant this is; empty: the base.")
        .def_readonly("groups", &Model::groups, "The order groups are shown in.")
        .def_property_readonly("elements", [](const Model& x) { return ids(x.elements); }, "Element ids, in id order.")
        .def_property_readonly("functions", [](const Model& x) { return ids(x.functions); }, "Function ids, in id order.")
        .def_property_readonly("variants", [](const Model& x) { return ids(x.variants); }, "Variant ids, in id order.")
        .def("__eq__", [](const Model& a, const Model& b) { return a == b; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__repr__", [](const Model& x) {
            return "<Model " + x.name + ": " + std::to_string(x.elements.size()) + " elements, " +
                   std::to_string(x.functions.size()) + " functions>";
        }, "__repr__(self, /)\n--\n\n")
        .def(py::pickle(&write_model, [](const std::string& json) { return parse_model(json); }));

    m.def("read_model", &read_model, py::arg("path"), R"(read_model(path)
--

Read a model file.

    >>> ff.read_model("no_such_file.json")
    Traceback (most recent call last):
    ...
    fedfrom.ModelError: no_such_file.json: cannot be read: No such file or directory. [cannot_read]

Raises:
    ModelError: Listing every problem, with line and column.
)", py::call_guard<py::gil_scoped_release>());  // reading touches no Python object
    m.def("parse_model", [](std::string_view json, std::string_view file) { return parse_model(json, file); }, py::arg("json"), py::arg("file") = "",
        R"(parse_model(json, file='')
--

Read a model from JSON text.

    >>> ff.parse_model(ff.write_model(model)) == model
    True

Args:
    json: The text, or its bytes in UTF-8.
    file: Named in the diagnostics.

Raises:
    ModelError: Listing every problem, with line and column.
)", py::call_guard<py::gil_scoped_release>());  // nor does parsing: the arguments outlive the call
    m.def("write_model", &write_model, py::arg("model"), R"(write_model(model)
--

Write a model as canonical JSON text; reading it back gives the same model.

    >>> ff.write_model(model).splitlines()[:2]
    ['{', '  "format": "fedfrom/1",']
)", py::call_guard<py::gil_scoped_release>());  // nor does writing
}

}  // namespace fedfrom::python
