// The questions, as functions of the module, and their results.
#include "outcome_methods.hpp"

#include <utility>

#include <fedfrom/study/impact_table.hpp>
#include <fedfrom/study/indications.hpp>
#include <fedfrom/study/trace.hpp>
#include <fedfrom/study/what_works.hpp>
#include <fedfrom/study/why.hpp>

namespace fedfrom::python {

namespace {

constexpr const char* a_failure_is = "A failure is \"id\", (\"id\", \"mode\") or (\"id\", \"stuck\", \"position\").";
constexpr const char* a_step_is = "A step is a dict of fail, repair, reset, set and given: lists of failures or ids, {id: position}, {id: bool}.";

/// `value` as T; a value of another type is the caller's mistake, said in words of the module.
template <class T>
T converted(const py::handle& value, const char* expected) {
    try {
        return value.cast<T>();
    } catch (const py::cast_error&) {
        throw py::value_error(expected);
    }
}

FailureRef failure_from(const py::handle& value) {
    if (py::isinstance<py::str>(value)) return {.element = value.cast<std::string>()};
    const auto parts = converted<std::vector<std::string>>(value, a_failure_is);
    if (parts.empty() || parts.size() > 3) throw py::value_error(a_failure_is);
    FailureRef f{.element = parts[0]};
    if (parts.size() > 1) f.mode = parts[1];
    if (parts.size() > 2) f.at = parts[2];
    return f;
}

/// A list of failures, or one failed element by its id alone.
std::vector<FailureRef> failures_from(const py::handle& values) {
    if (py::isinstance<py::str>(values)) return {failure_from(values)};
    std::vector<FailureRef> list;
    for (const py::handle value : converted<py::iterable>(values, a_failure_is)) list.push_back(failure_from(value));
    return list;
}

Step step_from(const py::dict& values) {
    Step step;
    for (const auto& [key, value] : values) {
        const auto name = converted<std::string>(key, a_step_is);
        if (name == "fail") step.fail = failures_from(value);
        else if (name == "repair") step.repair = converted<std::vector<std::string>>(value, a_step_is);
        else if (name == "reset") step.reset = converted<std::vector<std::string>>(value, a_step_is);
        else if (name == "set") step.set = converted<std::map<std::string, std::string>>(value, a_step_is);
        else if (name == "given") step.given = converted<std::map<std::string, bool>>(value, a_step_is);
        else throw py::value_error("`" + name + "` is not part of a step. " + a_step_is);
    }
    return step;
}

// Before the first use of any: the template below finds only what is declared by then.
py::dict dict_of(const FailureRef& f);
py::dict dict_of(const FunctionLine& f);
py::dict dict_of(const ElementLine& e);
py::dict dict_of(const StoredLine& s);
py::dict dict_of(const Change& c);
py::dict dict_of(const Indication& i);
py::dict dict_of(const Impact& i);

template <class T>
py::list dicts(const std::vector<T>& values) {
    py::list list;
    for (const T& value : values) list.append(dict_of(value));
    return list;
}

py::dict dict_of(const FailureRef& f) {
    py::dict d;
    d["element"] = f.element;
    d["mode"] = f.mode;
    if (!f.at.empty()) d["at"] = f.at;
    return d;
}

py::dict dict_of(const FunctionLine& f) {
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
    d["severity"] = f.severity ? py::object(py::str(std::string(name_of(*f.severity)))) : py::object(py::none());
    d["sources"] = f.sources.ids;
    return d;
}

py::dict dict_of(const ElementLine& e) {
    py::dict d;
    d["id"] = e.id;
    d["name"] = e.name;
    d["status"] = std::string(name_of(e.status));
    d["position"] = e.position;
    d["passing"] = e.passing;
    d["tripped"] = e.tripped;
    d["sources"] = e.sources.ids;
    return d;
}

py::dict dict_of(const StoredLine& s) {
    py::dict d;
    d["id"] = s.id;
    d["name"] = s.name;
    d["function"] = s.function;
    d["now"] = std::string(name_of(s.now));
    d["without"] = std::string(name_of(s.without));
    d["stores"] = s.stores;
    return d;
}

py::dict dict_of(const Change& c) {
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

py::dict dict_of(const WhatWorks& w) {
    py::dict d = to_dict(w.outcome);
    d["stored"] = dicts(w.stored);
    d["functions"] = dicts(w.functions);
    d["elements"] = dicts(w.elements);
    d["roots"] = dicts(w.roots);
    d["consequences"] = w.consequences;
    d["assumptions"] = w.assumptions;
    d["order_matters"] = truth_or_none(w.order_matters);
    return d;
}

py::dict dict_of(const Indication& i) {
    py::dict d;
    d["id"] = i.id;
    d["name"] = i.name;
    d["status"] = std::string(name_of(i.status));
    d["shows"] = word_or_none(i.shows);
    d["supplied"] = word_or_none(i.supplied);
    d["sensed"] = word_or_none(i.sensed);
    d["healthy"] = word_or_none(i.healthy);
    d["misleads"] = i.misleads;
    d["dark"] = i.dark;
    d["reason"] = i.reason;
    return d;
}

py::dict dict_of(const Why& w) {
    py::list lines, roots;
    for (const WhyLine& line : w.lines) {
        py::dict d;
        d["depth"] = line.depth;
        d["id"] = line.id;
        d["text"] = line.text;
        lines.append(d);
    }
    for (const RootCause& root : w.roots) {
        py::dict d;
        d["kind"] = std::string(name_of(root.kind));
        d["id"] = root.id;
        d["word"] = root.word;
        d["text"] = root.text;
        roots.append(d);
    }
    py::dict d;
    d["id"] = w.id;
    d["headline"] = w.headline;
    d["lines"] = lines;
    d["roots"] = roots;
    return d;
}

py::dict dict_of(const Impact& i) {
    py::dict d;
    d["cause"] = i.cause == Impact::Cause::failure ? "failure" : i.cause == Impact::Cause::zone ? "zone" : "common_cause";
    d["id"] = i.id;
    d["mode"] = i.mode;
    d["name"] = i.name;
    d["fails"] = dicts(i.fails);
    d["changes"] = dicts(i.changes);
    d["elements_lost"] = i.elements_lost;
    d["worst"] = i.worst ? py::object(py::str(std::string(name_of(*i.worst)))) : py::object(py::none());
    return d;
}

/// The outcome a question is asked of: a network means its running state; a state is settled first, in a copy.
Outcome outcome_of(const py::object& asked) {
    if (py::isinstance<Outcome>(asked)) return asked.cast<Outcome>();
    if (py::isinstance<WhatWorks>(asked)) return asked.cast<const WhatWorks&>().outcome;
    if (py::isinstance<Network>(asked)) {
        State state = running_state(asked.cast<Network>());
        return settle(state);
    }
    if (!py::isinstance<State>(asked)) throw py::type_error("Ask this of a State, an Outcome or a Network.");
    State state = asked.cast<State>();
    return settle(state);
}

void bind_what_works(py::module_& m) {
    py::class_<WhatWorks> works(m, "WhatWorks", "What still works, what falls back and what is lost. Prints as the sheet.");
    add_outcome_methods(works, [](const WhatWorks& w) -> const Outcome& { return w.outcome; });
    works.def_property_readonly("outcome", [](const WhatWorks& w) { return w.outcome; })
        .def_property_readonly("order_matters", [](const WhatWorks& w) { return truth_or_none(w.order_matters); },
            "Whether the same events in another order end elsewhere; None where not examined.")
        .def_property_readonly("stored", [](const WhatWorks& w) { return dicts(w.stored); }, "What hangs on stored energy alone.")
        .def_property_readonly("functions", [](const WhatWorks& w) { return dicts(w.functions); }, "One dict a function, in the order of groups.")
        .def_property_readonly("elements", [](const WhatWorks& w) { return dicts(w.elements); }, "One dict an element.")
        .def_property_readonly("tables", [](const WhatWorks& w) { return tables(w); }, "Stored energy, functions, elements.")
        .def("to_dict", [](const WhatWorks& w) { return dict_of(w); })
        .def("__str__", [](const WhatWorks& w) { return text(w); });

    m.def("what_works", [](const Network& net, const py::object& failed, std::map<std::string, std::string> positions, std::map<std::string, bool> given, const std::vector<py::dict>& steps) {
        Question question{.failed = failures_from(failed), .positions = std::move(positions), .given = std::move(given)};
        for (const py::dict& step : steps) question.steps.push_back(step_from(step));
        const py::gil_scoped_release released;  // from here on no Python object is touched
        return what_works(net, question);
    }, py::arg("network"), py::arg("failed") = py::tuple(), py::arg("positions") = std::map<std::string, std::string>(),
       py::arg("given") = std::map<std::string, bool>(), py::arg("steps") = std::vector<py::dict>(),
       "What still works from the running aircraft, with these failed and these switches set in one step, then step by step.\n\n"
       "A failure is \"id\", (\"id\", \"mode\") or (\"id\", \"stuck\", \"position\"); a step is a dict of fail, repair, reset, set, given.");
    m.def("what_works", [](const py::object& asked) { return what_works(outcome_of(asked)); }, py::arg("state"), "Of a state (settled first, in a copy) or an outcome.");
}

void bind_why(py::module_& m) {
    py::class_<Why>(m, "Why", "Why something is lost, or on what it lives. Prints as indented sentences.")
        .def_readonly("id", &Why::id)
        .def_readonly("headline", &Why::headline)
        .def_property_readonly("roots", [](const Why& w) {
            std::vector<std::pair<std::string, std::string>> roots;
            for (const RootCause& root : w.roots) roots.emplace_back(root.id, root.word);
            return roots;
        }, "The root causes, then what could help if changed: (id, failure mode, position or \"true\" or \"false\"). `to_dict()` has the kind of each.")
        .def("to_dict", [](const Why& w) { return dict_of(w); })
        .def("__str__", [](const Why& w) { return text(w); })
        .def("__repr__", [](const Why& w) { return "<Why " + w.headline + ">"; });

    m.def("why", [](const py::object& asked, std::string_view id) { return why(outcome_of(asked), id); }, py::arg("state"), py::arg("id"),
          "Why an element or function is lost or degraded, down to root causes; or the path it lives on.");
    m.def("live_sources", [](const py::object& asked, std::string_view id) { return live_sources(outcome_of(asked), id).ids; }, py::arg("state"), py::arg("id"),
          "The sources behind an element or function now.");
}

void bind_indications(py::module_& m) {
    const auto those = [](bool Indication::*is) {
        return [is](const Indications& i) {
            std::vector<std::string> ids;
            for (const Indication& one : i.shown)
                if (one.*is) ids.push_back(one.id);
            return ids;
        };
    };
    py::class_<Indications>(m, "Indications", "What every light, gauge and flag shows, which mislead and which are dark. Prints as a table.")
        .def_property_readonly("shown", [](const Indications& i) { return dicts(i.shown); }, "One dict an element that shows something.")
        .def_property_readonly("misleading", those(&Indication::misleads), "Those whose reading is wrong.")
        .def_property_readonly("dark", those(&Indication::dark), "Those that are not supplied and show nothing of their own; they do not mislead.")
        .def_property_readonly("table", [](const Indications& i) { return table(i); })
        .def("to_dict", [](const Indications& i) { return dicts(i.shown); })
        .def("__str__", [](const Indications& i) { return text(i); });
    m.def("indications", [](const py::object& asked) { return indications(outcome_of(asked)); }, py::arg("state"),
          "What every light, gauge and flag shows now, what a healthy aircraft would show, which mislead and which are dark.");
}

void bind_impact(py::module_& m) {
    py::class_<ImpactTable>(m, "ImpactTable", "Every single failure and common cause against every function. Prints as a table.")
        .def_property_readonly("rows", [](const ImpactTable& t) { return dicts(t.rows); }, "One dict a cause that changes something, worst first.")
        .def_readonly("functions", &ImpactTable::functions, "Functions any row changes.")
        .def_readonly("examined", &ImpactTable::examined, "How many causes were tried.")
        .def_readonly("unchanged", &ImpactTable::unchanged, "How many of them change no function, of `goals` where given.")
        .def_property_readonly("goals", [](const ImpactTable& t) { return t.options.goals; }, "The only functions examined; empty: all.")
        .def_property_readonly("table", [](const ImpactTable& t) { return table(t); })
        .def("__len__", [](const ImpactTable& t) { return t.rows.size(); })
        .def("to_dict", [](const ImpactTable& t) { return dicts(t.rows); })
        .def("__str__", [](const ImpactTable& t) { return text(t); });
    m.def("impact_table", [](const py::object& asked, int order, bool causes, std::vector<std::string> goals) {
        const State from = outcome_of(asked).state();
        const py::gil_scoped_release released;  // from here on no Python object is touched
        return impact_table(from, {order, causes, std::move(goals)});
    }, py::arg("state"), py::kw_only(), py::arg("order") = 1, py::arg("causes") = true, py::arg("goals") = std::vector<std::string>(),
       "Each single failure and common cause added to a settled state, against every function, or only those in `goals`.");
}

}  // namespace

void bind_study(py::module_& m) {
    bind_what_works(m);
    bind_why(m);
    bind_indications(m);
    bind_impact(m);
}

}  // namespace fedfrom::python
