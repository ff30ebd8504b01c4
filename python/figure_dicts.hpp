/// Figures of loads as plain Python values: shared by the questions about them.
#pragma once

#include "bindings.hpp"

#include <fedfrom/study/load_sheet.hpp>

namespace fedfrom::python {

template <class T>
py::object or_none(const std::optional<T>& value) {
    return value ? py::object(py::cast(*value)) : py::object(py::none());
}

inline py::dict dict_of(const Figure& f) {
    py::dict d;
    d["low"] = or_none(f.low);
    d["high"] = or_none(f.high);
    return d;
}

/// As two columns of a frame.
inline void add_columns(py::dict& d, const std::string& column, const Figure& f) {
    d[py::str(column + "_low")] = or_none(f.low);
    d[py::str(column + "_high")] = or_none(f.high);
}

}  // namespace fedfrom::python
