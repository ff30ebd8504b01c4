// Models: read, parse, written, made from Python values that read like the JSON.
#include "bindings.hpp"

#include <utility>

#include <fedfrom/io/read.hpp>
#include <fedfrom/io/variant.hpp>
#include <fedfrom/io/write.hpp>

namespace fedfrom::python {

namespace {

template <class Collection>
std::vector<std::string> ids(const Collection& collection) {
    std::vector<std::string> list;
    for (const auto& [id, value] : collection) list.push_back(id);
    return list;
}

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
    py::class_<Model>(m, "Model",
        "One aircraft type as its author wrote it.\n\n"
        "Made from keyword arguments that read like the JSON, or by `read_model` and `parse_model`::\n\n"
        "    >>> model = Model(name=\"One bus\", elements={\n"
        "    ...     \"battery\": {\"kind\": \"battery\"},\n"
        "    ...     \"bus\": {\"kind\": \"bus\", \"inputs\": {\"power\": [\"battery\"]}}})\n\n"
        "Raises ModelError listing every problem.")
        .def(py::init([](const py::kwargs& values) { return from_dict(values); }))
        .def_static("from_dict", &from_dict, py::arg("values"), "The same from one dict; `format` may be left out.")
        .def("to_dict", &to_dict, "The model as plain Python values, in canonical form.")
        .def("variant_of", &variant_of, py::arg("variant"), "The model with a variant's patches applied.")
        .def_readonly("name", &Model::name)
        .def_readonly("edition", &Model::edition)
        .def_readonly("base", &Model::base, "What the unpatched aircraft is called.")
        .def_readonly("variant", &Model::variant, "Which variant this is; empty: the base.")
        .def_readonly("groups", &Model::groups, "The order groups are shown in.")
        .def_property_readonly("elements", [](const Model& x) { return ids(x.elements); }, "Element ids.")
        .def_property_readonly("functions", [](const Model& x) { return ids(x.functions); }, "Function ids.")
        .def_property_readonly("variants", [](const Model& x) { return ids(x.variants); }, "Variant ids.")
        .def("__eq__", [](const Model& a, const Model& b) { return a == b; }, py::is_operator())
        .def("__repr__", [](const Model& x) {
            return "<Model " + x.name + ": " + std::to_string(x.elements.size()) + " elements, " +
                   std::to_string(x.functions.size()) + " functions>";
        });

    m.def("read_model", &read_model, py::arg("path"), "Read a model file. Raises ModelError listing every problem.",
          py::call_guard<py::gil_scoped_release>());  // reading touches no Python object
    m.def("parse_model", [](std::string_view json, std::string_view file) { return parse_model(json, file); }, py::arg("json"), py::arg("file") = "",
          "Read a model from JSON text; `file` is named in the diagnostics.", py::call_guard<py::gil_scoped_release>());
    m.def("parse_model", [](const py::bytes& json, std::string_view file) { return parse_model(std::string_view(json), file); }, py::arg("json"), py::arg("file") = "");
    m.def("write_model", &write_model, py::arg("model"), "The model as canonical JSON text; reading it back gives the same model.");
}

}  // namespace fedfrom::python
