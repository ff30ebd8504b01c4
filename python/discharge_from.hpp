/// The law of a battery's discharge from its two arguments.
#pragma once

#include "bindings.hpp"

#include <optional>

#include <fedfrom/study/storage.hpp>

namespace fedfrom::python {

inline Discharge discharge_from(std::optional<double> peukert, std::optional<double> peukert_hours) {
    if (peukert_hours && !peukert) throw py::value_error("`peukert_hours` goes with `peukert`.");
    if (!peukert) return {};
    return {peukert_hours ? Discharge::Law::peukert_rated_hours : Discharge::Law::peukert_one_ampere, *peukert, peukert_hours.value_or(0)};
}

}  // namespace fedfrom::python
