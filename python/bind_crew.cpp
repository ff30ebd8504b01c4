// Questions about what the crew can do: what a selection would do, and what brings a function back.
#include "effect_dicts.hpp"
#include "events_from.hpp"
#include "sheet_methods.hpp"
#include "watch.hpp"

#include <utility>

#include <fedfrom/study/preview.hpp>
#include <fedfrom/study/restore.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

py::dict to_dict(const Preview& p) {
    py::dict d;
    add_effect(d, p.effect);
    d["refused"] = list_of(p.refused, dict_of);
    d["sources_dropped"] = p.sources_dropped;
    d["sources_taken"] = p.sources_taken;
    return d;
}

py::object preview_frame(const Preview& p, std::string_view of) {
    if (of == "functions") return frame(change_record("", {}), change_records(p.effect.difference));
    if (of == "elements") {
        ElementChange blank;
        blank.tripped_before = blank.tripped_after = false;
        blank.shown_before = blank.shown_after = "";
        return frame(dict_of(blank), list_of(p.effect.difference.elements, dict_of));
    }
    if (of == "lasting") return frame(dict_of(Lasting{}), list_of(p.effect.undone.lasting, dict_of));
    throw py::value_error("`of` is functions, elements or lasting.");
}

Sheet sheet_of(const Preview& p) { return {"Preview: " + p.before.network().model().name, tables(p)}; }

void bind_preview(py::module_& m) {
    py::class_<Preview> result(m, "Preview", R"(What crew actions would do, before they are taken. Prints as a sheet.

    >>> preview = ff.preview(state, {"set": {"cb_radio": "pulled"}})
    >>> preview
    <Preview with cb_radio at pulled: 0 functions better, 1 worse>
    >>> preview.worse[0]["function"], preview.undone["complete"]
    ('talk', True)
)");
    add_sheet_methods(result, [](const Preview& p) { return sheet_of(p); });
    result.def_property_readonly("actions", [](const Preview& p) { return dict_of(p.effect.actions); }, "The actions taken, as a step: those asked for that are not refused.")
        .def_property_readonly("refused", [](const Preview& p) { return list_of(p.refused, dict_of); }, "Actions the aircraft does not allow, and why.")
        .def_property_readonly("gained", [](const Preview& p) { return list_of(p.effect.difference.gained, dict_of); }, "Functions that then stand better.")
        .def_property_readonly("worse", [](const Preview& p) { return list_of(p.effect.difference.worse, dict_of); }, "Functions that then stand worse, or are no longer known.")
        .def_property_readonly("other", [](const Preview& p) { return list_of(p.effect.difference.other, dict_of); }, "Functions lost before and then unknown, or in another mode as good.")
        .def_property_readonly("operation", [](const Preview& p) { return list_of(p.effect.difference.operation, dict_of); }, "Functions that go into or out of operation; None is unknown.")
        .def_property_readonly("elements", [](const Preview& p) { return list_of(p.effect.difference.elements, dict_of); }, "Elements whose status, position, trip or reading changes.")
        .def_property_readonly("fault", [](const Preview& p) { return dict_of(p.effect.fault); }, "How a fault gets more: its zone, what trips, stores a leak empties.")
        .def_property_readonly("undone", [](const Preview& p) { return dict_of(p.effect.undone); }, "What stays when the actions are taken back; `complete` where nothing does.")
        .def_property_readonly("stored", [](const Preview& p) { return list_of(p.effect.stored, dict_of); }, "What then hangs on stored energy alone, and did not.")
        .def_readonly("sources_dropped", &Preview::sources_dropped, "Sources in use before, and not after.")
        .def_readonly("sources_taken", &Preview::sources_taken, "Sources in use after, and not before.")
        .def_property_readonly("reach", [](const Preview& p) { return std::string(name_of(p.effect.reach)); }, "How far somebody goes for it: cockpit, cabin or ground.")
        .def_property_readonly("before", [](const Preview& p) { return p.before; }, "The outcome as things stand.")
        .def_property_readonly("after", [](const Preview& p) { return p.after; }, "The outcome with the actions taken.")
        .def_property_readonly("tables", [](const Preview& p) { return tables(p); }, "Functions and elements that change, what then hangs on stored energy, what stays.")
        .def("to_dict", [](const Preview& p) { return to_dict(p); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.preview(state, {"set": {"cb_radio": "pulled"}}).to_dict()["actions"]
    {'set': {'cb_radio': 'pulled'}}
)")
        .def("to_dataframe", &preview_frame, py::arg("of") = "functions", R"(to_dataframe(self, of='functions')
--

Give one row a function that changes, an element that changes, or a thing that stays, as a pandas data frame.

    >>> ff.preview(state, {"set": {"cb_radio": "pulled"}}).to_dataframe()[["function", "after"]].values.tolist()
    [['talk', 'lost']]

Args:
    of: "functions", "elements" or "lasting".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__eq__", [](const Preview& a, const Preview& b) { return a.before.state() == b.before.state() && a.asked == b.asked; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Preview& p) { return text(p); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Preview& p) {
            std::string words = actions_text(p.effect.actions, p.before.network());
            if (words.size() > 60) words = words.substr(0, words.find(' ', 50)) + " …";
            return "<Preview " + words + ": " + std::to_string(p.effect.difference.gained.size()) + " functions better, " + std::to_string(p.effect.difference.worse.size()) + " worse>";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("preview", [](const py::object& asked, const py::dict& actions) {
        const Step step = step_from(actions);
        return answered(asked, [&](const Outcome& out) { return preview(out.state(), step); });
    }, py::arg("state"), py::arg("actions"), R"(preview(state, actions)
--

Say what crew actions would do, before they are taken: positions, resets and uses, all in one step.

What the aircraft does not allow is in `refused`, and the other actions are seen without it.

    >>> ff.preview(state.fail("bus"), {"set": {"cb_radio": "pulled"}}).worse
    []

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    actions: A dict of set, {id: position}; reset, a list of ids; use, a list of (function, mode).

Raises:
    UnknownId: Naming the nearest.
    NotPossible: For a position an element does not have, or what is no crew action.
)");
}

py::dict dict_of(const NextHurt& n) {
    py::dict d;
    d["element"] = n.element;
    d["mode"] = n.mode;
    d["function"] = n.function;
    d["now"] = std::string(name_of(n.now));
    d["then"] = std::string(name_of(n.then));
    return d;
}

py::dict dict_of(const RestoringSet& s, const Restore& r) {
    py::dict d;
    d["text"] = actions_text(s.effect.actions, r.before.network());
    add_effect(d, s.effect);
    d["goals"] = list_of(s.goals, dict_of);
    d["order_matters"] = s.order_matters;
    d["orders"] = s.orders;
    d["orders_restoring"] = s.orders_restoring;
    d["order"] = s.order;
    d["order_powers_fault"] = s.order_powers_fault;
    py::list next;
    for (const NextHurt& n : s.next) next.append(dict_of(n));
    d["next"] = next;
    d["single_failures"] = r.options.next ? py::object(py::int_(s.single_failures)) : py::object(py::none());
    return d;
}

py::dict dict_of(const RestoreGoal& g) {
    py::dict d;
    d["function"] = g.function;
    d["before"] = std::string(name_of(g.before));
    d["to"] = std::string(name_of(g.to));
    d["sets"] = g.sets;
    return d;
}

py::list sets_of(const Restore& r) {
    py::list list;
    for (const RestoringSet& s : r.sets) list.append(dict_of(s, r));
    return list;
}

py::list goals_of(const Restore& r) {
    py::list list;
    for (const RestoreGoal& g : r.goals) list.append(dict_of(g));
    return list;
}

py::object best_of(const Restore& r) { return r.best_single ? py::object(dict_of(*r.best_single, r)) : py::object(py::none()); }

/// One record a set and function it brings back.
py::dict set_record(const RestoringSet& s, const Change& goal, const std::string& words) {
    const auto functions = [](const std::vector<Change>& changes) {
        std::vector<std::string> ids;
        for (const Change& c : changes) ids.push_back(c.function);
        return ids;
    };
    py::dict d;
    d["function"] = goal.function;
    d["before"] = std::string(name_of(goal.before));
    d["after"] = std::string(name_of(goal.after));
    d["text"] = words;
    d["gained"] = functions(s.effect.difference.gained);
    d["worse"] = functions(s.effect.difference.worse);
    d["repowers_fault"] = s.effect.fault.any();
    d["undoable"] = s.effect.undone.complete();
    d["reach"] = std::string(name_of(s.effect.reach));
    d["order_matters"] = s.order_matters;
    return d;
}

py::object restore_frame(const Restore& r, std::string_view of) {
    if (of == "goals") {
        py::dict blank = dict_of(RestoreGoal{});
        blank["sets"] = 0;
        py::list records;
        for (const RestoreGoal& g : r.goals) {
            py::dict record = dict_of(g);
            record["sets"] = g.sets.size();
            records.append(record);
        }
        return frame(blank, records);
    }
    if (of != "sets") throw py::value_error("`of` is sets or goals.");
    py::list records;
    for (const RestoringSet& s : r.sets)
        for (const Change& goal : s.goals) records.append(set_record(s, goal, actions_text(s.effect.actions, r.before.network())));
    return frame(set_record({}, {}, ""), records);
}

Sheet sheet_of(const Restore& r) { return {"What brings it back: " + r.before.network().model().name, tables(r)}; }

std::optional<Level> level_from(const std::optional<std::string>& word) {
    if (!word) return std::nullopt;
    for (const Level level : {Level::normal, Level::degraded})
        if (name_of(level) == *word) return level;
    throw py::value_error("`to` is normal, degraded or None.");
}

void bind_restore(py::module_& m) {
    py::class_<Restore> result(m, "Restore", R"(Every smallest set of crew actions that brings a function back, and what each costs. Prints as a sheet.

    >>> back = ff.restore(state.set("cb_radio", "pulled"))
    >>> back
    <Restore of One bus: 1 of 1 functions come back, 1 sets>
    >>> back.sets[0]["text"], back.sets[0]["undone"]["complete"]
    ('with cb_radio at in', True)
)");
    add_sheet_methods(result, [](const Restore& r) { return sheet_of(r); });
    result.def_property_readonly("goals", &goals_of, "One dict a function asked for that stands below the level: `sets` are places in `sets`.")
        .def_property_readonly("sets", [](const Restore& r) { return sets_of(r); }, "One dict a set: fewest actions first, then least price, then ids.")
        .def_property_readonly("best_single", &best_of, "The one action that brings back most of all lost functions, as a set; None where none does.")
        .def_readonly("actions", &Restore::actions, "How many actions are in reach and possible.")
        .def_readonly("combinations", &Restore::combinations, "How many combinations of them were examined; those that can reach no goal are not.")
        .def_readonly("complete", &Restore::complete, "False where it was cancelled, ran out of time, or so much hunts that everything is unknown; what is listed holds all the same.")
        .def_readonly("complete_to", &Restore::complete_to, "Every set of up to so many actions was examined.")
        .def_property_readonly("before", [](const Restore& r) { return r.before; }, "The outcome as things stand.")
        .def_property_readonly("tables", [](const Restore& r) { return tables(r); }, "The functions asked for, and the sets.")
        .def("to_dict", [](const Restore& r) {
            py::dict d;
            d["goals"] = goals_of(r);
            d["sets"] = sets_of(r);
            d["best_single"] = best_of(r);
            d["actions"] = r.actions;
            d["combinations"] = r.combinations;
            d["complete"] = r.complete;
            d["complete_to"] = r.complete_to;
            return d;
        }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.restore(state.set("cb_radio", "pulled")).to_dict()["goals"]
    [{'function': 'talk', 'before': 'lost', 'to': 'degraded', 'sets': [0]}]
)")
        .def("to_dataframe", &restore_frame, py::arg("of") = "sets", R"(to_dataframe(self, of='sets')
--

Give one row a set and function it brings back, or a function asked for, as a pandas data frame.

    >>> ff.restore(state.set("cb_radio", "pulled")).to_dataframe()[["function", "text"]].values.tolist()
    [['talk', 'with cb_radio at in']]

Args:
    of: "sets" or "goals".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__len__", [](const Restore& r) { return r.sets.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const Restore& r) { return py::iter(sets_of(r)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const Restore& a, const Restore& b) { return a.before.state() == b.before.state() && a.goals == b.goals && a.sets == b.sets; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Restore& r) { return text(r); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Restore& r) {
            const auto back = std::ranges::count_if(r.goals, [](const RestoreGoal& g) { return !g.sets.empty(); });
            return "<Restore of " + r.before.network().model().name + ": " + std::to_string(back) + " of " + std::to_string(r.goals.size()) + " functions come back, " +
                   std::to_string(r.sets.size()) + " sets" + (r.complete ? ">" : ", incomplete>");
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("restore", [](const py::object& asked, const py::object& goals, const std::optional<std::string>& to, int most_actions, std::string_view reach, bool next,
                        std::optional<double> seconds, const py::object& progress) {
        if (py::isinstance<py::bytes>(goals)) throw py::reference_cast_error();  // asks pybind11 for the other overload
        RestoreOptions options{.goals = {}, .to = level_from(to), .most_actions = most_actions, .reach = reach_from(reach), .next = next, .seconds = seconds.value_or(0), .progress = {}};
        if (py::isinstance<py::str>(goals)) options.goals = {goals.cast<std::string>()};
        else if (!goals.is_none()) options.goals = converted<std::vector<std::string>>(goals, "`goals` is a function, a list of them, or None for all.");
        return watched(progress, options, [&] { return answered(asked, [&](const Outcome& out) { return restore(out.state(), options); }); });
    }, py::arg("state"), py::arg("goals") = py::none(), py::kw_only(), py::arg("to") = py::none(), py::arg("most_actions") = 3, py::arg("reach") = "cockpit",
       py::arg("next") = false, py::arg("seconds") = py::none(), py::arg("progress") = py::none(), R"(restore(state, goals=None, *, to=None, most_actions=3, reach='cockpit', next=False, seconds=None, progress=None)
--

Find every smallest set of crew actions that brings a function back.

Actions are positions, resets of what has tripped and uses of one-shot modes, taken in one step. A set is smallest where
no part of it is enough. What is unknown does not count as brought back. A function is judged with its demand applied;
what the demand sets itself is no action for it. It shows what the model holds; it is no procedure.

    >>> [s["text"] for s in ff.restore(state.set("cb_radio", "pulled"), "talk")]
    ['with cb_radio at in']

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    goals: A function or several; None: all that are lost, degraded or unknown.
    to: "normal", or "degraded", which is at least degraded; None: a better level than each has.
    most_actions: How many at once, 1 to 3.
    reach: How far somebody goes: "cockpit", "cabin" too, or "ground" too.
    next: Also find which single failures then hurt more than now.
    seconds: A budget for the search; None: no limit.
    progress: Called with the part done; what returns False cancels.

Raises:
    UnknownId: Naming the nearest function.
    NotPossible: With more than three actions at once.
)");
}

}  // namespace

void bind_crew(py::module_& m) {
    bind_preview(m);
    bind_restore(m);
}

}  // namespace fedfrom::python
