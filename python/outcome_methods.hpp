/// The questions an outcome answers by id, for every class that carries one.
#pragma once

#include "bindings.hpp"

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::python {

py::dict to_dict(const Outcome& out);

inline std::vector<std::string> ids_of(const Network& net, const std::vector<std::uint32_t>& elements) {
    std::vector<std::string> ids;
    for (const std::uint32_t e : elements) ids.push_back(*net.compiled().elements[e].id);
    return ids;
}

template <class Class, class Get>
void add_outcome_methods(Class& c, Get outcome_of) {
    using T = typename Class::type;
    c.def("status", [=](const T& t, std::string_view id) { return std::string(name_of(outcome_of(t).status(id))); }, py::arg("element"),
          "supplied, unsupplied, off, failed, dragged_down, spent, not_fitted or unknown.")
        .def("position", [=](const T& t, std::string_view id) { return word_or_none(outcome_of(t).position(id)); }, py::arg("element"),
             "Where it really stands; None where unknown or it has no positions.")
        .def("passes", [=](const T& t, std::string_view id) { return truth_or_none(outcome_of(t).passes(id)); }, py::arg("element"),
             "Whether it lets supply through; None where unknown.")
        .def("tripped", [=](const T& t, std::string_view id) { return truth_or_none(outcome_of(t).tripped(id)); }, py::arg("element"),
             "Whether a protecting device has tripped; None where unknown.")
        .def("shows", [=](const T& t, std::string_view id) {
            const Outcome& o = outcome_of(t);
            return word_or_none(o.shown(o.network().element(id)));
        }, py::arg("element"), "What a light, gauge or flag shows now; None where unknown.")
        .def("level", [=](const T& t, std::string_view id) { return std::string(name_of(outcome_of(t).level(id))); }, py::arg("function"),
             "normal, degraded, lost, not_fitted or unknown.")
        .def("mode", [=](const T& t, std::string_view id) {
            const std::string mode(outcome_of(t).mode(id));
            return word_or_none(mode.empty() ? std::nullopt : std::optional(mode));
        }, py::arg("function"), "The mode in use; None where lost, not fitted or unknown.")
        .def("now", [=](const T& t, std::string_view id) { return truth_or_none(outcome_of(t).now(id)); }, py::arg("function"),
             "Whether it is in operation as things stand; None where unknown.")
        .def_property_readonly("normal", [=](const T& t) { return outcome_of(t).normal(); }, "Functions at level normal, in id order.")
        .def_property_readonly("degraded", [=](const T& t) { return outcome_of(t).degraded(); }, "Functions that fall back, in id order.")
        .def_property_readonly("lost", [=](const T& t) { return outcome_of(t).lost(); }, "Functions lost, in id order.")
        .def_property_readonly("unknown", [=](const T& t) { return outcome_of(t).unknown(); }, "Functions whose level is unknown, in id order.")
        .def_property_readonly("hunting", [=](const T& t) { return ids_of(outcome_of(t).network(), outcome_of(t).hunting()); }, "Elements that never came to rest.")
        .def_property_readonly("network", [=](const T& t) { return outcome_of(t).network(); }, "The aircraft this is about.")
        .def_property_readonly("state", [=](const T& t) { return outcome_of(t).state(); }, "The settled state this is the outcome of.");
}

}  // namespace fedfrom::python
