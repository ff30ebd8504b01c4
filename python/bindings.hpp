/// What the binding files share: one function per family, called by module.cpp.
///
/// A docstring begins with the signature in Python's own form, `name(self, other=1)` and a line of dashes: help(),
/// completion and inspect read it. tests/python/test_docs.py compares it with the arguments bound.
#pragma once

#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
#include <pybind11/stl/filesystem.h>

#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include <fedfrom/solve/snapshot.hpp>

namespace fedfrom::python {

namespace py = pybind11;

void bind_errors(py::module_& m);
void bind_model(py::module_& m);
void bind_network(py::module_& m);
void bind_state(py::module_& m);
void bind_session(py::module_& m);
void bind_outcome(py::module_& m);
void bind_table(py::module_& m);
void bind_study(py::module_& m);
void bind_why(py::module_& m);
void bind_supply(py::module_& m);
void bind_lint(py::module_& m);
void bind_dispatch(py::module_& m);
void bind_sweep(py::module_& m);
void bind_cut_sets(py::module_& m);
void bind_implicants(py::module_& m);
void bind_risk(py::module_& m);
void bind_crew(py::module_& m);
void bind_controls(py::module_& m);
void bind_timeline(py::module_& m);
void bind_coverage(py::module_& m);
void bind_diagnose(py::module_& m);
void bind_load(py::module_& m);
void bind_power_balance(py::module_& m);
void bind_compare(py::module_& m);
void bind_truth_table(py::module_& m);
void bind_plan(py::module_& m);

/// A Python str, or None where there is no value.
template <class Text>
py::object word_or_none(const std::optional<Text>& text) {
    return text ? py::object(py::str(std::string(*text))) : py::object(py::none());
}

/// A dict for each value. Called with `dict_of`: where functions of that name are overloaded, the one for this type is taken.
template <class T>
py::list list_of(const std::vector<T>& values, py::dict (*dict)(const std::type_identity_t<T>&)) {
    py::list list;
    for (const T& value : values) list.append(dict(value));
    return list;
}

template <class Collection>
std::vector<std::string> ids(const Collection& collection) {
    std::vector<std::string> list;
    for (const auto& [id, value] : collection) list.push_back(id);
    return list;
}

/// (element, mode) of every failure present, in id order.
inline std::vector<std::pair<std::string, std::string>> failures_of(const State& s) {
    const Compiled& c = s.network().compiled();
    std::vector<std::pair<std::string, std::string>> list;
    for (std::uint32_t f = 0; f < c.failures.size(); ++f)
        if (s.failed({f})) list.emplace_back(*c.elements[c.failures[f].element].id, c.failures[f].mode);
    return list;
}

/// A snapshot as Python's bytes, and back.
inline py::bytes bytes_of(const State& s) {
    const auto bytes = snapshot(s);
    return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}
inline State state_from(const Network& net, const py::bytes& bytes) {
    const std::string_view view(bytes);
    return read_snapshot(net, {reinterpret_cast<const std::uint8_t*>(view.data()), view.size()});
}

/// Makes pickle, and with it copies to other processes, say what to do instead.
template <class Class>
void refuse_pickling(Class& c, const char* instead) {
    c.def("__reduce__", [instead](const py::object& self) -> py::object {
        throw py::type_error(py::type::of(self).attr("__name__").cast<std::string>() + " objects cannot be pickled. " + instead);
    }, "__reduce__(self)\n--\n\n");
}

inline py::object truth_or_none(std::optional<bool> truth) { return truth ? py::object(py::bool_(*truth)) : py::object(py::none()); }

}  // namespace fedfrom::python
