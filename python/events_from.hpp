/// Failures, steps and single events as Python writes them.
#pragma once

#include "bindings.hpp"

#include <map>

#include <fedfrom/solve/step.hpp>

namespace fedfrom::python {

inline constexpr const char* a_failure_is = "A failure is \"id\", (\"id\", \"mode\") or (\"id\", \"stuck\", \"position\").";
inline constexpr const char* a_step_is = "A step is a dict of fail, repair, reset, set, given, use and clear_all: lists of failures or ids, {id: position}, {id: bool}, a list of (\"function\", \"mode\"), a bool.";
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

/// A dict as it is; pybind11 would try to make one of anything.
inline py::dict dict_from(const py::handle& value, const char* expected) {
    if (!py::isinstance<py::dict>(value)) throw py::value_error(expected);
    return py::reinterpret_borrow<py::dict>(value);
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

/// The level a function falls below, as the questions about sets of failures take it.
inline Level below_from(const std::string& word) {
    if (word != "normal" && word != "degraded") throw py::value_error("`below` is \"normal\" (it is not normal any more) or \"degraded\" (it is lost).");
    return word == "normal" ? Level::normal : Level::degraded;
}

inline std::vector<UseRef> uses_from(const py::handle& values) {
    std::vector<UseRef> list;
    for (auto& [function, mode] : converted<std::vector<std::pair<std::string, std::string>>>(values, a_step_is)) list.push_back({function, mode});
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
        else if (name == "use") step.use = uses_from(value);
        else if (name == "clear_all") step.clear_all = converted<bool>(value, a_step_is);
        else throw py::value_error("`" + name + "` is not part of a step. " + a_step_is);
    }
    return step;
}

/// A step as it is written: what `step_from` reads.
inline py::dict written(const Step& step) {
    py::list fail, use;
    for (const FailureRef& f : step.fail) fail.append(py::make_tuple(f.element, f.mode, f.at));
    for (const UseRef& u : step.use) use.append(py::make_tuple(u.function, u.mode));
    py::dict d;
    d["fail"] = fail;
    d["repair"] = step.repair;
    d["reset"] = step.reset;
    d["set"] = step.set;
    d["given"] = step.given;
    d["use"] = use;
    d["clear_all"] = step.clear_all;
    return d;
}

/// Events that are combined, each written as it is elsewhere in the module. Throws UnknownId and NotPossible.
std::vector<Event> events_from(const py::handle& values, const Network& net);

/// An event as it is written: what `events_from` reads.
py::object written(const Event& event, const Network& net);

}  // namespace fedfrom::python
