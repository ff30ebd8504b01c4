// Networks: one aircraft, compiled.
#include "sheet_methods.hpp"
#include "summaries.hpp"

#include <utility>

#include <fedfrom/io/read.hpp>
#include <fedfrom/io/variant.hpp>
#include <fedfrom/io/write.hpp>
#include <fedfrom/solve/settle.hpp>

namespace fedfrom::python {

namespace {

template <class Infos>
std::vector<std::string> ids_in(const Infos& infos) {
    std::vector<std::string> list;
    for (const auto& info : infos) list.push_back(*info.id);
    return list;
}

}  // namespace

void bind_network(py::module_& m) {
    py::class_<Network> network(m, "Network", R"(One aircraft, compiled: immutable, cheap to copy, safe to share between threads.

It pickles, as its model, and is built again when loaded.

    >>> ff.Network(model, variant="b")
    <Network One bus, variant b: 6 elements>

Args:
    model: What to build.
    variant: Which of its variants; empty: the model as it is.

Raises:
    UnknownId: Naming the nearest variant.
    ModelError: Where the model has no meaning, as a loop through a negation.
)");
    add_notebook_methods(network, [](const Network& n) { return Sheet(summary(n)); });
    network.def(py::init([](const Model& model, const std::string& variant) { return Network::of_valid(variant_of(model, variant)); }),
                py::arg("model"), py::arg("variant") = "", R"(__init__(self, model, variant='')
--

Build from a model, or from one of its variants.
)", py::call_guard<py::gil_scoped_release>())  // building touches no Python object
        .def_property_readonly("model", [](const Network& n) { return n.model(); }, "The model this was built from, its variant applied.")
        .def_property_readonly("elements", [](const Network& n) { return ids_in(n.compiled().elements); }, "Element ids, in id order.")
        .def_property_readonly("functions", [](const Network& n) { return ids_in(n.compiled().functions); }, "Function ids, in id order.")
        .def_property_readonly("failures", [](const Network& n) {
            std::vector<std::pair<std::string, std::string>> list;
            for (const FailureInfo& f : n.compiled().failures) list.emplace_back(*n.compiled().elements[f.element].id, f.mode);
            return list;
        }, "Every (element, mode) that can fail, in id order.")
        .def("positions", [](const Network& n, std::string_view element) {
             const auto list = n.compiled().elements[n.element(element).index].positions;
             return std::vector<std::string_view>(list.begin(), list.end());
         }, py::arg("element"), R"(positions(self, element)
--

List the positions an element can stand in.

    >>> net.positions("cb_radio")
    ['in', 'pulled']
)")
        .def("running_state", &running_state, R"(running_state(self)
--

Give the running aircraft: nothing failed, everything at rest and holding, settled.

    >>> net.running_state()
    <State of One bus: nothing failed>
)", py::call_guard<py::gil_scoped_release>())  // settling touches no Python object
        .def("cold_state", &cold_state, R"(cold_state(self)
--

Give an aircraft that has not been started: the same with nothing holding.
)", py::call_guard<py::gil_scoped_release>())
        .def("__eq__", [](const Network& a, const Network& b) { return a == b; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__hash__", [](const Network& n) { return py::hash(py::make_tuple(n.model().name, n.model().edition, n.model().variant)); }, "__hash__(self, /)\n--\n\n")
        .def("__repr__", [](const Network& n) {
            return "<Network " + n.model().name + (n.model().variant.empty() ? "" : ", variant " + n.model().variant) + ": " +
                   std::to_string(n.compiled().elements.size()) + " elements>";
        }, "__repr__(self, /)\n--\n\n")
        .def(py::pickle([](const Network& n) { return write_model(n.model()); },
                        [](const std::string& json) { return Network::of_valid(parse_model(json)); }));
}

}  // namespace fedfrom::python
