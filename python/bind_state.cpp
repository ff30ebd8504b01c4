// States: what has failed, where the hands are, what the aircraft remembers.
#include "events_from.hpp"
#include "sheet_methods.hpp"
#include "summaries.hpp"

namespace fedfrom::python {

void bind_state(py::module_& m) {
    py::class_<State> state(m, "State", R"(What has failed, where the crew's hands are and what the aircraft remembers. A value: copy and compare it.

Made by `Network.running_state` or `cold_state`. Events take effect when settled, all together; their order within a
step does not matter. Each gives the state itself, so that they can be chained.

    >>> state.fail("generator").set("cb_radio", "pulled")
    <State of One bus: generator loss>
    >>> ff.settle(state).lost
    ['talk']
)");
    add_notebook_methods(state, [](const State& s) { return Sheet(summary(s)); });
    state.def("copy", [](const State& s) { return s; }, R"(copy(self)
--

Give a copy that goes its own way.

    >>> other = state.copy().fail("battery")
    >>> state.failures
    []
)")
        .def("__copy__", [](const State& s) { return s; }, "__copy__(self)\n--\n\n")
        .def("__deepcopy__", [](const State& s, const py::dict&) { return s; }, py::arg("memo"), "__deepcopy__(self, memo)\n--\n\n")
        .def_property_readonly("network", [](const State& s) { return s.network(); }, "The aircraft this is a state of.")
        .def_property_readonly("failures", &failures_of, "Every (element, mode) that has failed, in id order.")
        .def("apply", [](State& s, const py::dict& step) -> State& {
            apply(s, step_from(step));
            return s;
        }, py::arg("step"), R"(apply(self, step)
--

Apply a step, written as in `what_works`: all of it, or nothing where something in it is not possible.

    >>> state.apply({"fail": ["generator", ("bus", "short")], "set": {"cb_radio": "pulled"}}).failures
    [('bus', 'short'), ('generator', 'loss')]
)", py::return_value_policy::reference_internal)
        .def("fail", [](State& s, std::string_view element, std::string_view mode, std::string_view at) -> State& { return s.fail(element, mode, at); },
             py::arg("element"), py::arg("mode") = "loss", py::kw_only(), py::arg("at") = "", R"(fail(self, element, mode='loss', *, at='')
--

Insert a failure.

    >>> state.fail("cb_radio", "no_trip").failures
    [('cb_radio', 'no_trip')]

Args:
    element: What fails.
    mode: How; `Network.failures` lists what there is.
    at: The position something sticks in; empty: what its author gave, else where it stands.

Raises:
    UnknownId: Naming the nearest element.
    NotPossible: Naming the modes it has.
)", py::return_value_policy::reference_internal)
        .def("repair", [](State& s, std::string_view element) -> State& { return s.repair(element); }, py::arg("element"), R"(repair(self, element)
--

Remove an element's failures, refill and untrip it.

    >>> state.fail("generator").repair("generator").failures
    []
)", py::return_value_policy::reference_internal)
        .def("reset", [](State& s, std::string_view element) -> State& { return s.reset(element); }, py::arg("element"), R"(reset(self, element)
--

Reset a tripped device, as often as it may be.

Raises:
    NotPossible: Where it does not trip, has no reset left, or is replaced on the ground.
)", py::return_value_policy::reference_internal)
        .def("set", [](State& s, std::string_view element, std::string_view position) -> State& { return s.set(element, position); },
             py::arg("element"), py::arg("position"), R"(set(self, element, position)
--

Put a switch, handle or breaker where the crew wants it.

    >>> state.set("cb_radio", "pulled").hand("cb_radio")
    'pulled'

Raises:
    NotPossible: Where nobody sets it directly, or it has no such position.
)", py::return_value_policy::reference_internal)
        .def("given", [](State& s, std::string_view id, bool value) -> State& { return s.given(id, value); }, py::arg("id"), py::arg("value"), R"(given(self, id, value)
--

Say whether a given holds.

    >>> state.given("airborne", False)
    <State of One bus: nothing failed>
)", py::return_value_policy::reference_internal)
        .def("use", [](State& s, std::string_view function, std::string_view mode) -> State& { return s.use(function, mode); }, py::arg("function"), py::arg("mode"), R"(use(self, function, mode)
--

Use a one-shot mode of a function: it takes what it spends from its stores and bars the modes it bars.

Raises:
    NotPossible: Where its stores no longer hold that much, another mode bars it, or it spends and bars nothing.
)", py::return_value_policy::reference_internal)
        .def("clear_all", [](State& s) -> State& { return s.clear_all(); }, R"(clear_all(self)
--

Undo every failure, trip, spent store, used mode and held position; hands and givens stay.

    >>> state.fail("generator").clear_all().failures
    []
)", py::return_value_policy::reference_internal)
        .def("hand", [](const State& s, std::string_view element) { return std::string(s.hand(element)); }, py::arg("element"), R"(hand(self, element)
--

Say where the crew's hand has put it; where it really stands is `Outcome.position`.

    >>> state.hand("cb_radio")
    'in'
)")
        .def("__eq__", [](const State& a, const State& b) { return a == b; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__repr__", [](const State& s) {
            std::string list;
            for (const auto& [element, mode] : failures_of(s)) list += (list.empty() ? "" : ", ") + element + " " + mode;
            return "<State of " + s.network().model().name + ": " + (list.empty() ? "nothing failed" : list) + ">";
        }, "__repr__(self, /)\n--\n\n");
    state.def(py::pickle(
        [](const State& s) { return py::make_tuple(s.network(), bytes_of(s)); },
        [](const py::tuple& kept) { return state_from(kept[0].cast<Network>(), kept[1].cast<py::bytes>()); }));
}

}  // namespace fedfrom::python
