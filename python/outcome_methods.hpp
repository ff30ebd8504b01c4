/// The questions an outcome answers by id, for every class that carries one.
#pragma once

#include "sheet_methods.hpp"

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/study/what_works.hpp>

namespace fedfrom::python {

py::dict outcome_dict(const Outcome& out);

/// What a data frame of an outcome or of what works has a row for: "functions", "elements" or "stored".
py::object works_frame(const WhatWorks& works, std::string_view of);
inline constexpr const char* works_frame_doc = R"(to_dataframe(self, of='functions')
--

Give one row a function, or an element, as a pandas data frame.

    >>> ff.settle(state).to_dataframe()[["id", "level"]].values.tolist()
    [['talk', 'normal']]

Args:
    of: "functions", "elements", or "stored" for what hangs on stored energy alone.

Raises:
    ImportError: Where pandas is not installed.
)";

Sheet what_works_sheet(const WhatWorks& works);

/// An outcome as it pickles, and back: what has settled stays as it is when settled again. What is cheap to ask of
/// an outcome pickles as that, and is asked again.
inline py::tuple pickled(const Outcome& o) { return py::make_tuple(o.network(), bytes_of(o.state())); }
inline Outcome outcome_from(const py::tuple& kept) {
    State state = state_from(kept[0].cast<Network>(), kept[1].cast<py::bytes>());
    return settle(state);
}

inline std::vector<std::string> ids_of(const Network& net, const std::vector<std::uint32_t>& elements) {
    std::vector<std::string> ids;
    for (const std::uint32_t e : elements) ids.push_back(*net.compiled().elements[e].id);
    return ids;
}

template <class Class, class Get>
void add_outcome_methods(Class& c, Get outcome_of) {
    using T = typename Class::type;
    c.def("status", [=](const T& t, std::string_view id) { return std::string(name_of(outcome_of(t).status(id))); }, py::arg("element"), R"(status(self, element)
--

Say how an element is: supplied, unsupplied, off, failed, dragged_down, spent, overloaded, starting, not_fitted or unknown.

    >>> ff.settle(state.fail("bus")).status("radio")
    'unsupplied'
)")
        .def("position", [=](const T& t, std::string_view id) { return word_or_none(outcome_of(t).position(id)); }, py::arg("element"), R"(position(self, element)
--

Say where an element really stands; None where unknown or it has no positions.

    >>> ff.settle(state).position("cb_radio")
    'in'
)")
        .def("passes", [=](const T& t, std::string_view id) { return truth_or_none(outcome_of(t).passes(id)); }, py::arg("element"), R"(passes(self, element)
--

Say whether an element lets supply through; None where unknown.

    >>> ff.settle(state).passes("cb_radio")
    True
)")
        .def("tripped", [=](const T& t, std::string_view id) { return truth_or_none(outcome_of(t).tripped(id)); }, py::arg("element"), R"(tripped(self, element)
--

Say whether a protecting device has tripped; None where unknown.

    >>> ff.settle(state).tripped("cb_radio")
    False
)")
        .def("shows", [=](const T& t, std::string_view id) {
            const Outcome& o = outcome_of(t);
            return word_or_none(o.shown(o.network().element(id)));
        }, py::arg("element"), R"(shows(self, element)
--

Say what a light, gauge or flag shows now; None where unknown.

    >>> ff.settle(state.fail("generator")).shows("bus_light")
    'lit'
)")
        .def("level", [=](const T& t, std::string_view id) { return std::string(name_of(outcome_of(t).level(id))); }, py::arg("function"), R"(level(self, function)
--

Say how a function would work if asked for now: normal, degraded, lost, not_fitted or unknown.

    >>> ff.settle(state).level("talk")
    'normal'
)")
        .def("mode", [=](const T& t, std::string_view id) {
            const std::string mode(outcome_of(t).mode(id));
            return word_or_none(mode.empty() ? std::nullopt : std::optional(mode));
        }, py::arg("function"), R"(mode(self, function)
--

Say which mode of a function is in use; None where lost, not fitted or unknown.

    >>> ff.settle(state).mode("talk")
    'radio'
)")
        .def("now", [=](const T& t, std::string_view id) { return truth_or_none(outcome_of(t).now(id)); }, py::arg("function"), R"(now(self, function)
--

Say whether a function is in operation as things stand; None where unknown.

    >>> ff.settle(state).now("talk")
    True
)")
        .def_property_readonly("normal", [=](const T& t) { return outcome_of(t).normal(); }, "Functions at level normal, in id order.")
        .def_property_readonly("degraded", [=](const T& t) { return outcome_of(t).degraded(); }, "Functions that fall back, in id order.")
        .def_property_readonly("lost", [=](const T& t) { return outcome_of(t).lost(); }, "Functions lost, in id order.")
        .def_property_readonly("unknown", [=](const T& t) { return outcome_of(t).unknown(); }, "Functions whose level is unknown, in id order.")
        .def_property_readonly("hunting", [=](const T& t) { return ids_of(outcome_of(t).network(), outcome_of(t).hunting()); }, "Elements that never came to rest.")
        .def_property_readonly("network", [=](const T& t) { return outcome_of(t).network(); }, "The aircraft this is about.")
        .def_property_readonly("state", [=](const T& t) { return outcome_of(t).state(); }, "A copy of the settled state this is the outcome of.");
}

/// "14 functions kept, 18 degraded, 7 lost".
inline std::string counted(const Outcome& out) {
    const auto part = [](const char* word, std::size_t count) { return count ? ", " + std::to_string(count) + " " + word : std::string(); };
    return std::to_string(out.normal().size()) + " functions kept" + part("degraded", out.degraded().size()) +
           part("lost", out.lost().size()) + part("unknown", out.unknown().size());
}

}  // namespace fedfrom::python
