/// Failures, steps and single events as Python writes them.
#pragma once

#include "bindings.hpp"

#include <map>

#include <fedfrom/solve/step.hpp>

namespace fedfrom::python {

inline constexpr const char* a_failure_is = "A failure is \"id\", (\"id\", \"mode\") or (\"id\", \"stuck\", \"position\").";
inline constexpr const char* a_step_is = "A step is a dict of fail, repair, reset, set, given and use: lists of failures or ids, {id: position}, {id: bool}, a list of (function, mode).";
inline constexpr const char* an_event_is = "An event is a failure (\"id\", (\"id\", \"mode\") or (\"id\", \"stuck\", \"position\")), a position (\"id\", \"position\"), a given (\"name\", bool), or a dict of fail, set and given.";

/// `value` as T; a value of another type is the caller's mistake, said in words of the module.
template <class T>
T converted(const py::handle& value, const char* expected) {
    try {
        return value.cast<T>();
    } catch (const py::cast_error&) {
        throw py::value_error(expected);
    } catch (const py::type_error&) {  // what pybind11 makes of its own types it says so
        throw py::value_error(expected);
    }
}

inline FailureRef failure_from(const py::handle& value) {
    if (py::isinstance<py::str>(value)) return {.element = value.cast<std::string>()};
    const auto parts = converted<std::vector<std::string>>(value, a_failure_is);
    if (parts.empty() || parts.size() > 3) throw py::value_error(a_failure_is);
    FailureRef f{.element = parts[0]};
    if (parts.size() > 1) f.mode = parts[1];
    if (parts.size() > 2) f.at = parts[2];
    return f;
}

/// A list of failures, or one failed element by its id alone.
inline std::vector<FailureRef> failures_from(const py::handle& values) {
    if (py::isinstance<py::str>(values)) return {failure_from(values)};
    std::vector<FailureRef> list;
    for (const py::handle value : converted<py::iterable>(values, a_failure_is)) list.push_back(failure_from(value));
    return list;
}

inline Step step_from(const py::dict& values) {
    Step step;
    for (const auto& [key, value] : values) {
        const auto name = converted<std::string>(key, a_step_is);
        if (name == "fail") step.fail = failures_from(value);
        else if (name == "repair") step.repair = converted<std::vector<std::string>>(value, a_step_is);
        else if (name == "reset") step.reset = converted<std::vector<std::string>>(value, a_step_is);
        else if (name == "set") step.set = converted<std::map<std::string, std::string>>(value, a_step_is);
        else if (name == "given") step.given = converted<std::map<std::string, bool>>(value, a_step_is);
        else if (name == "use")
            for (const auto& [function, mode] : converted<std::vector<std::pair<std::string, std::string>>>(value, a_step_is)) step.use.push_back({function, mode});
        else throw py::value_error("`" + name + "` is not part of a step. " + a_step_is);
    }
    return step;
}

/// Events that are combined, each written as it is elsewhere in the module. Throws UnknownId and NotPossible.
std::vector<Event> events_from(const py::handle& values, const Network& net);

/// An event as it is written: what `events_from` reads.
py::object written(const Event& event, const Network& net);

}  // namespace fedfrom::python
