/// What crew actions do, as plain Python values: shared by the questions about them.
#pragma once

#include "answers.hpp"

#include <fedfrom/study/effect.hpp>
#include <fedfrom/study/preview.hpp>

namespace fedfrom::python {

inline Reach reach_from(std::string_view word) {
    for (const Reach reach : {Reach::cockpit, Reach::cabin, Reach::ground})
        if (name_of(reach) == word) return reach;
    throw py::value_error("`reach` is cockpit, cabin or ground.");
}

inline py::dict dict_of(const Refused& r) {
    py::dict d;
    d["action"] = r.action;
    d["reason"] = r.reason;
    return d;
}

/// A step as it is written: only the keys that hold anything.
inline py::dict dict_of(const Step& s) {
    py::dict d;
    if (!s.fail.empty()) d["fail"] = tuples_of(s.fail);
    if (!s.repair.empty()) d["repair"] = s.repair;
    if (!s.reset.empty()) d["reset"] = s.reset;
    if (!s.set.empty()) d["set"] = s.set;
    if (!s.given.empty()) d["given"] = s.given;
    py::list uses;
    for (const UseRef& u : s.use) uses.append(py::make_tuple(u.function, u.mode));
    if (!s.use.empty()) d["use"] = uses;
    return d;
}

inline py::dict dict_of(const Operation& o) {
    py::dict d;
    d["function"] = o.function;
    d["before"] = truth_or_none(o.before);
    d["after"] = truth_or_none(o.after);
    return d;
}

inline py::dict dict_of(const ElementChange& e) {
    py::dict d;
    d["id"] = e.id;
    d["name"] = e.name;
    d["before"] = std::string(name_of(e.before));
    d["after"] = std::string(name_of(e.after));
    d["position_before"] = e.position_before;
    d["position_after"] = e.position_after;
    d["tripped_before"] = truth_or_none(e.tripped_before);
    d["tripped_after"] = truth_or_none(e.tripped_after);
    d["shown_before"] = word_or_none(e.shown_before);
    d["shown_after"] = word_or_none(e.shown_after);
    return d;
}

inline py::dict dict_of(const Lasting& l) {
    py::dict d;
    d["why"] = std::string(name_of(l.why));
    d["id"] = l.id;
    d["text"] = l.text;
    return d;
}

/// gained, worse, other, operation and elements.
inline void add_difference(py::dict& d, const Difference& difference) {
    d["gained"] = list_of(difference.gained, dict_of);
    d["worse"] = list_of(difference.worse, dict_of);
    d["other"] = list_of(difference.other, dict_of);
    d["operation"] = list_of(difference.operation, dict_of);
    d["elements"] = list_of(difference.elements, dict_of);
}

inline py::dict dict_of(const FaultGrowth& f) {
    py::dict d;
    d["zone"] = f.zone;
    d["trips"] = f.trips;
    d["emptied"] = f.emptied;
    return d;
}

inline py::dict dict_of(const Undone& u) {
    py::dict d;
    d["complete"] = u.complete();
    d["lasting"] = list_of(u.lasting, dict_of);
    add_difference(d, u.difference);
    return d;
}

/// Of gained, worse and other, with the word for which.
inline py::dict change_record(std::string_view turn, const Change& change) {
    py::dict d;
    d["turn"] = std::string(turn);
    for (const auto& [key, value] : dict_of(change)) d[key] = value;
    return d;
}

inline py::list change_records(const Difference& difference) {
    py::list records;
    for (const Change& c : difference.gained) records.append(change_record("gained", c));
    for (const Change& c : difference.worse) records.append(change_record("worse", c));
    for (const Change& c : difference.other) records.append(change_record("other", c));
    return records;
}

inline void add_effect(py::dict& d, const Effect& e) {
    d["actions"] = dict_of(e.actions);
    add_difference(d, e.difference);
    d["fault"] = dict_of(e.fault);
    d["undone"] = dict_of(e.undone);
    d["stored"] = list_of(e.stored, dict_of);
    d["reach"] = std::string(name_of(e.reach));
}

}  // namespace fedfrom::python
