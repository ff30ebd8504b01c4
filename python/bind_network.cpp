// Networks: one aircraft, compiled.
#include "bindings.hpp"

#include <utility>

#include <fedfrom/io/variant.hpp>
#include <fedfrom/solve/settle.hpp>

namespace fedfrom::python {

void bind_network(py::module_& m) {
    py::class_<Network>(m, "Network", "One aircraft, compiled: immutable, cheap to copy, safe to share between threads.")
        .def(py::init([](const Model& model, const std::string& variant) { return Network::of_valid(variant_of(model, variant)); }),
             py::arg("model"), py::arg("variant") = "", "Build from a model, or from one of its variants.")
        .def_property_readonly("model", [](const Network& n) { return n.model(); }, "The model this was built from.")
        .def_property_readonly("elements", [](const Network& n) {
            std::vector<std::string> ids;
            for (const ElementInfo& e : n.compiled().elements) ids.push_back(*e.id);
            return ids;
        }, "Element ids, in id order.")
        .def_property_readonly("functions", [](const Network& n) {
            std::vector<std::string> ids;
            for (const FunctionInfo& f : n.compiled().functions) ids.push_back(*f.id);
            return ids;
        }, "Function ids, in id order.")
        .def_property_readonly("failures", [](const Network& n) {
            std::vector<std::pair<std::string, std::string>> list;
            for (const FailureInfo& f : n.compiled().failures) list.emplace_back(*n.compiled().elements[f.element].id, f.mode);
            return list;
        }, "Every (element, mode) that can fail, in id order.")
        .def("positions", [](const Network& n, std::string_view element) {
            const auto list = n.compiled().elements[n.element(element).index].positions;
            return std::vector<std::string_view>(list.begin(), list.end());
        }, py::arg("element"), "The positions an element can stand in.")
        .def("running_state", &running_state, "Nothing failed, everything at rest and holding, settled.")
        .def("cold_state", &cold_state, "The same with nothing holding: an aircraft that has not been started.")
        .def("__repr__", [](const Network& n) {
            return "<Network " + n.model().name + (n.model().variant.empty() ? "" : ", variant " + n.model().variant) + ": " +
                   std::to_string(n.compiled().elements.size()) + " elements>";
        });
}

}  // namespace fedfrom::python
