/// What the files that bind questions share: what a question is asked of, and values that several results hold.
#pragma once

#include "bindings.hpp"

#include <utility>
#include <variant>

#include <fedfrom/study/next_failures.hpp>
#include <fedfrom/study/what_works.hpp>
#include <fedfrom/study/why.hpp>

namespace fedfrom::python {

inline py::object severity_or_none(std::optional<Severity> severity) { return word_or_none(severity ? std::optional(name_of(*severity)) : std::nullopt); }

inline py::dict dict_of(const FailureRef& f) {
    py::dict d;
    d["element"] = f.element;
    d["mode"] = f.mode;
    if (!f.at.empty()) d["at"] = f.at;
    return d;
}

/// (element, mode), or (element, "stuck", position).
inline py::tuple tuple_of(const FailureRef& f) { return f.at.empty() ? py::tuple(py::make_tuple(f.element, f.mode)) : py::tuple(py::make_tuple(f.element, f.mode, f.at)); }

inline py::list tuples_of(const std::vector<FailureRef>& failures) {
    py::list list;
    for (const FailureRef& f : failures) list.append(tuple_of(f));
    return list;
}

inline py::dict dict_of(const Change& c) {
    py::dict d;
    d["function"] = c.function;
    d["before"] = std::string(name_of(c.before));
    d["after"] = std::string(name_of(c.after));
    d["mode_before"] = c.mode_before;
    d["mode_after"] = c.mode_after;
    d["mode_name_before"] = c.mode_name_before;
    d["mode_name_after"] = c.mode_name_after;
    return d;
}

inline py::dict dict_of(const StoredLine& s) {
    py::dict d;
    d["id"] = s.id;
    d["name"] = s.name;
    d["function"] = s.function;
    d["now"] = std::string(name_of(s.now));
    d["without"] = std::string(name_of(s.without));
    d["stores"] = s.stores;
    return d;
}

inline py::dict dict_of(const SourceCount& n) {
    py::dict d;
    d["count"] = n.count;
    d["exact"] = n.exact;
    d["kept_without"] = n.kept_without;
    d["sets"] = n.sets;
    return d;
}

inline py::dict dict_of(const FunctionLine& f) {
    py::dict d;
    d["id"] = f.id;
    d["name"] = f.name;
    d["group"] = f.group;
    d["level"] = std::string(name_of(f.level));
    d["mode"] = f.mode;
    d["mode_name"] = f.mode_name;
    d["now"] = truth_or_none(f.now);
    d["demand"] = f.demand;
    d["crew"] = f.crew;
    d["effects"] = f.effects;
    d["severity"] = severity_or_none(f.severity);
    d["sources"] = f.sources.ids;
    return d;
}

inline py::dict dict_of(const RootCause& root) {
    py::dict d;
    d["kind"] = std::string(name_of(root.kind));
    d["id"] = root.id;
    d["word"] = root.word;
    d["text"] = root.text;
    return d;
}

inline py::dict cause_of(const Impact& i) {
    py::dict d;
    constexpr std::array words{"failure", "common_cause", "zone", "combination"};
    d["cause"] = words[static_cast<std::size_t>(i.cause)];
    d["id"] = i.id;
    d["mode"] = i.mode;
    d["name"] = i.name;
    return d;
}

inline py::dict dict_of(const Impact& i) {
    py::list fails, changes;
    for (const FailureRef& f : i.fails) fails.append(dict_of(f));
    for (const Change& c : i.changes) changes.append(dict_of(c));
    py::dict d = cause_of(i);
    d["fails"] = fails;
    d["changes"] = changes;
    d["elements_lost"] = i.elements_lost;
    d["worst"] = severity_or_none(i.worst);
    return d;
}

/// What a question is asked of. A copy, so that what answers it needs neither Python nor its lock.
using Asked = std::variant<Network, State, Outcome>;

inline Asked copied(const py::object& asked) {
    if (py::isinstance<Outcome>(asked)) return asked.cast<Outcome>();
    if (py::isinstance<WhatWorks>(asked)) return asked.cast<const WhatWorks&>().outcome;
    if (py::isinstance<Network>(asked)) return asked.cast<Network>();
    if (py::isinstance<State>(asked)) return asked.cast<State>();
    throw py::type_error("Ask this of a State, an Outcome or a Network.");
}

/// A network means its running state; a state is settled first.
inline Outcome outcome_of(Asked asked) {
    if (auto* outcome = std::get_if<Outcome>(&asked)) return std::move(*outcome);
    const auto* net = std::get_if<Network>(&asked);
    State state = net ? running_state(*net) : std::get<State>(std::move(asked));
    return settle(state);
}

/// The answer to a question about an outcome, found while other threads run Python.
template <class Ask>
auto answered(const py::object& asked, Ask ask) {
    Asked copy = copied(asked);
    const py::gil_scoped_release released;
    return ask(outcome_of(std::move(copy)));
}

}  // namespace fedfrom::python
