/// What the binding files share: one function per family, called by module.cpp.
#pragma once

#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
#include <pybind11/stl/filesystem.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fedfrom::python {

namespace py = pybind11;

void bind_errors(py::module_& m);
void bind_model(py::module_& m);
void bind_network(py::module_& m);
void bind_state(py::module_& m);
void bind_outcome(py::module_& m);
void bind_table(py::module_& m);
void bind_study(py::module_& m);

/// A Python str, or None where there is no value.
template <class Text>
py::object word_or_none(const std::optional<Text>& text) {
    return text ? py::object(py::str(std::string(*text))) : py::object(py::none());
}

inline py::object truth_or_none(std::optional<bool> truth) { return truth ? py::object(py::bool_(*truth)) : py::object(py::none()); }

}  // namespace fedfrom::python
