// States: what has failed, where the hands are, what the aircraft remembers.
#include "bindings.hpp"

#include <fedfrom/solve/step.hpp>

namespace fedfrom::python {

void bind_state(py::module_& m) {
    py::class_<State>(m, "State",
        "What has failed, where the crew's hands are and what the aircraft remembers. A value: copy and compare it.\n\n"
        "Events take effect when settled, all together; their order within a step does not matter.")
        .def("copy", [](const State& s) { return s; })
        .def("__copy__", [](const State& s) { return s; })
        .def("__deepcopy__", [](const State& s, const py::dict&) { return s; }, py::arg("memo"))
        .def_property_readonly("network", [](const State& s) { return s.network(); })
        .def("fail", [](State& s, std::string_view element, std::string_view mode, std::string_view at) -> State& { return s.fail(element, mode, at); },
             py::arg("element"), py::arg("mode") = "loss", py::kw_only(), py::arg("at") = "",
             "Insert a failure; `at` is the position something sticks in.", py::return_value_policy::reference_internal)
        .def("repair", [](State& s, std::string_view element) -> State& { return s.repair(element); }, py::arg("element"),
             "Remove an element's failures, refill and untrip it.", py::return_value_policy::reference_internal)
        .def("reset", [](State& s, std::string_view element) -> State& { return s.reset(element); }, py::arg("element"),
             "Reset a tripped device, as often as it may be.", py::return_value_policy::reference_internal)
        .def("set", [](State& s, std::string_view element, std::string_view position) -> State& { return s.set(element, position); },
             py::arg("element"), py::arg("position"), "Put a switch, handle or breaker where the crew wants it.", py::return_value_policy::reference_internal)
        .def("given", [](State& s, std::string_view id, bool value) -> State& { return s.given(id, value); }, py::arg("id"), py::arg("value"),
             "Say whether a given holds.", py::return_value_policy::reference_internal)
        .def("hand", [](const State& s, std::string_view element) { return std::string(s.hand(element)); }, py::arg("element"), "Where the crew's hand has put it.")
        .def("__eq__", [](const State& a, const State& b) { return a == b; }, py::is_operator())
        .def("__repr__", [](const State& s) {
            const Compiled& c = s.network().compiled();
            std::string list;
            for (std::uint32_t f = 0; f < c.failures.size(); ++f)
                if (s.failed({f})) list += (list.empty() ? "" : ", ") + *c.elements[c.failures[f].element].id + " " + c.failures[f].mode;
            return "<State of " + s.network().model().name + ": " + (list.empty() ? "nothing failed" : list) + ">";
        });
}

}  // namespace fedfrom::python
