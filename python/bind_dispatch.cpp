// Next failures, dispatch items and open deferrals, and their results.
#include "answers.hpp"
#include "sheet_methods.hpp"

#include <algorithm>
#include <chrono>

#include <fedfrom/study/check_deferrals.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;  // those of answers.hpp, beside the ones below

constexpr const char* a_deferral_is = "An open item is \"item\", (\"item\", \"unit\") or (\"item\", \"unit\", date found).";

// ------------------------------------------------------------------- days

std::chrono::year_month_day day_from(const py::handle& value) {
    if (!py::isinstance(value, py::module_::import("datetime").attr("date"))) throw py::type_error("A day is a datetime.date.");
    const auto part = [&](const char* name) { return value.attr(name).cast<int>(); };
    return {std::chrono::year(part("year")), std::chrono::month(static_cast<unsigned>(part("month"))), std::chrono::day(static_cast<unsigned>(part("day")))};
}

py::object day_or_none(const std::optional<std::chrono::year_month_day>& day) {
    if (!day) return py::none();
    return py::module_::import("datetime").attr("date")(static_cast<int>(day->year()), static_cast<unsigned>(day->month()), static_cast<unsigned>(day->day()));
}

Deferral deferral_from(const py::handle& value) {
    if (py::isinstance<py::str>(value)) return {.item = value.cast<std::string>()};
    if (!py::isinstance<py::sequence>(value)) throw py::type_error(a_deferral_is);
    const auto parts = py::reinterpret_borrow<py::sequence>(value);
    if (parts.size() < 1 || parts.size() > 3 || !py::isinstance<py::str>(parts[0])) throw py::value_error(a_deferral_is);
    Deferral d{.item = parts[0].cast<std::string>()};
    if (parts.size() > 1) {
        if (!py::isinstance<py::str>(parts[1])) throw py::value_error(a_deferral_is);
        d.unit = parts[1].cast<std::string>();
    }
    if (parts.size() > 2 && !parts[2].is_none()) d.found = day_from(parts[2]);
    return d;
}

// ------------------------------------------------------------------- values

py::dict dict_of(const Exposed& e) {
    py::dict d;
    d["function"] = e.function;
    d["before"] = std::string(name_of(e.before));
    d["after"] = std::string(name_of(e.after));
    d["clean"] = std::string(name_of(e.clean));
    d["mode_after"] = e.mode_after;
    d["mode_clean"] = e.mode_clean;
    return d;
}

py::dict dict_of(const SourcesLeft& s) {
    py::dict d;
    d["function"] = s.function;
    d["now"] = dict_of(s.now);
    d["clean"] = dict_of(s.clean);
    return d;
}

py::dict dict_of(const Provided& p) {
    py::dict d;
    d["text"] = p.text;
    d["met"] = std::string(name_of(p.met));
    d["reason"] = p.reason;
    return d;
}

py::dict dict_of(const Deferral& deferral) {
    py::dict d;
    d["item"] = deferral.item;
    d["unit"] = deferral.unit;
    return d;
}

py::dict dict_of(const NextFailure& f) {
    py::dict d = dict_of(f.now);
    d["worst"] = severity_or_none(f.worst);
    d["clean_worst"] = severity_or_none(f.clean_worst);
    d["exposed"] = list_of(f.exposed, dict_of);
    d["exposed_worst"] = severity_or_none(f.exposed_worst);
    return d;
}

py::dict dict_of(const Conflict& c) {
    py::dict d;
    d["why"] = std::string(name_of(c.why));
    d["deferrals"] = list_of(c.deferrals, dict_of);
    d["text"] = c.text;
    d["condition"] = c.condition;
    d["changes"] = list_of(c.changes, dict_of);
    d["severity"] = severity_or_none(c.severity);
    return d;
}

py::dict dict_of(const Hidden& h) {
    py::dict d = dict_of(h.cause);
    d["elements"] = h.elements;
    d["checks"] = h.checks;
    d["unit_works"] = h.unit_works;
    return d;
}

py::dict dict_of(const DeferredUnit& u) {
    py::dict d;
    d["id"] = u.id;
    d["name"] = u.name;
    d["fitted"] = u.fitted;
    d["changes"] = list_of(u.changes, dict_of);
    d["exposed"] = list_of(u.exposed, dict_of);
    d["exposed_worst"] = severity_or_none(u.exposed_worst());
    d["exposed_examined"] = u.exposed_examined;
    d["provided"] = list_of(u.provided, dict_of);
    d["hidden"] = list_of(u.hidden, dict_of);
    d["not_known"] = u.not_known;
    return d;
}

py::dict dict_of(const DispatchRow& r) {
    py::dict d;
    d["id"] = r.id;
    d["name"] = r.name;
    d["ata"] = r.ata;
    d["category"] = r.category;
    d["installed"] = r.installed;
    d["required"] = r.required;
    d["provided"] = r.provided;
    d["maintenance"] = r.maintenance;
    d["operational"] = r.operational;
    d["remarks"] = r.remarks;
    d["units"] = list_of(r.units, dict_of);
    return d;
}

py::dict dict_of(const OpenItem& it) {
    py::dict d = dict_of(it.deferral);
    d["name"] = it.name;
    d["unit_name"] = it.unit_name;
    d["ata"] = it.ata;
    d["category"] = it.category;
    d["found"] = day_or_none(it.deferral.found);
    d["last_day"] = day_or_none(it.last_day);
    d["changes"] = list_of(it.changes, dict_of);
    d["provided"] = list_of(it.provided, dict_of);
    d["maintenance"] = it.maintenance;
    d["operational"] = it.operational;
    d["remarks"] = it.remarks;
    d["not_known"] = it.not_known;
    return d;
}

py::dict dict_of(const NextFailures& n) {
    py::dict d;
    d["changes"] = list_of(n.changes, dict_of);
    d["rows"] = list_of(n.rows, dict_of);
    d["sources"] = list_of(n.sources, dict_of);
    d["counted"] = n.counted;
    d["examined"] = n.examined;
    return d;
}

py::dict dict_of(const DispatchTable& t) {
    py::dict d;
    d["rows"] = list_of(t.rows, dict_of);
    d["conflicts"] = list_of(t.conflicts, dict_of);
    d["pairs"] = t.pairs;
    d["pairs_examined"] = t.pairs_examined;
    return d;
}

py::dict dict_of(const DeferralCheck& c) {
    py::dict d;
    d["items"] = list_of(c.items, dict_of);
    d["changes"] = list_of(c.changes, dict_of);
    d["conflicts"] = list_of(c.conflicts, dict_of);
    d["next"] = dict_of(c.next);
    return d;
}

// ------------------------------------------------------------------- rows of data frames

/// Of changes, or of what is exposed.
template <class T>
std::vector<std::string> functions_of(const std::vector<T>& list) {
    std::vector<std::string> ids;
    for (const T& one : list) ids.push_back(one.function);
    return ids;
}

/// Flat: a cause, what it takes, where it is newly exposed.
py::dict record(const NextFailure& f) {
    py::dict d = cause_of(f.now);
    d["worst"] = severity_or_none(f.worst);
    d["clean_worst"] = severity_or_none(f.clean_worst);
    d["exposed_worst"] = severity_or_none(f.exposed_worst);
    d["changes"] = functions_of(f.now.changes);
    d["exposed"] = functions_of(f.exposed);
    return d;
}

py::dict record(const SourcesLeft& s) {
    py::dict d;
    d["function"] = s.function;
    d["now"] = s.now.count;
    d["now_exact"] = s.now.exact;
    d["clean"] = s.clean.count;
    d["clean_exact"] = s.clean.exact;
    d["kept_without"] = s.now.kept_without;
    return d;
}

py::dict record(const Conflict& c) {
    py::dict d;
    std::vector<std::string> deferrals;
    for (const Deferral& one : c.deferrals) deferrals.push_back(one.unit.empty() ? one.item : one.item + "/" + one.unit);
    d["why"] = std::string(name_of(c.why));
    d["deferrals"] = deferrals;
    d["text"] = c.text;
    d["severity"] = severity_or_none(c.severity);
    return d;
}

py::dict placed(const std::string& item, const std::string& unit, const py::dict& rest) {
    py::dict d;
    d["item"] = item;
    d["unit"] = unit;
    for (const auto& [key, value] : rest) d[key] = value;
    return d;
}

py::dict record(const Hidden& h) {
    py::dict d = cause_of(h.cause);
    d["worst"] = severity_or_none(h.cause.worst);
    d["changes"] = functions_of(h.cause.changes);
    d["elements"] = h.elements;
    d["checks"] = h.checks;
    d["unit_works"] = h.unit_works;
    return d;
}

template <class T>
py::list records(const std::vector<T>& values) {
    py::list list;
    for (const T& value : values) list.append(record(value));
    return list;
}

py::object frame_of(const NextFailures& n, std::string_view of) {
    if (of == "failures") return frame(record(NextFailure{}), records(n.rows));
    if (of == "sources") return frame(record(SourcesLeft{}), records(n.sources));
    throw py::value_error("`of` is failures or sources.");
}

py::object frame_of(const DispatchTable& t, std::string_view of) {
    if (of == "items") return py::cast(table(t)).attr("to_dataframe")();
    if (of == "conflicts") return frame(record(Conflict{}), records(t.conflicts));
    py::list list;
    for (const DispatchRow& r : t.rows)
        for (const DeferredUnit& u : r.units) {
            if (of == "exposed")
                for (const NextFailure& f : u.exposed) list.append(placed(r.id, u.id, record(f)));
            if (of == "conditions")
                for (const Provided& p : u.provided) list.append(placed(r.id, u.id, dict_of(p)));
            if (of == "hidden")
                for (const Hidden& h : u.hidden) list.append(placed(r.id, u.id, record(h)));
        }
    if (of == "exposed") return frame(placed("", "", record(NextFailure{})), list);
    if (of == "conditions") return frame(placed("", "", dict_of(Provided{})), list);
    if (of == "hidden") return frame(placed("", "", record(Hidden{})), list);
    throw py::value_error("`of` is items, exposed, conditions, conflicts or hidden.");
}

py::object frame_of(const DeferralCheck& c, std::string_view of) {
    if (of == "conflicts") return frame(record(Conflict{}), records(c.conflicts));
    if (of == "failures" || of == "sources") return frame_of(c.next, of);
    if (of != "items") throw py::value_error("`of` is items, conflicts, failures or sources.");
    return py::cast(tables(c).front()).attr("to_dataframe")();
}

template <class T>
std::size_t newly(const T& rows) {
    return static_cast<std::size_t>(std::ranges::count_if(rows, [](const NextFailure& f) { return !f.exposed.empty(); }));
}

std::string count_text(std::size_t n, const char* one, const char* many) { return std::to_string(n) + " " + (n == 1 ? one : many); }

// ------------------------------------------------------------------- binding

void bind_next_failures(py::module_& m) {
    py::class_<NextFailures> result(m, "NextFailures", R"(Which single failures hurt next, against the clean aircraft. Prints as a sheet.

    >>> next = ff.next_failures(state.fail("generator"))
    >>> next
    <NextFailures of One bus: 1 of 8 causes hurts more than on the clean aircraft>
    >>> [(row["id"], row["worst"], row["exposed"][0]["function"]) for row in next.newly_exposed]
    [('battery', None, 'talk')]
)");
    add_sheet_methods(result, [](const NextFailures& n) { return Sheet("Next failures: " + n.before.network().model().name, tables(n)); });
    result.def_property_readonly("rows", [](const NextFailures& n) { return list_of(n.rows, dict_of); }, "One dict a failure that makes a function worse, worst first.")
        .def_property_readonly("newly_exposed", [](const NextFailures& n) {
            py::list list;
            for (const NextFailure& f : n.rows)
                if (!f.exposed.empty()) list.append(dict_of(f));
            return list;
        }, "Those of the rows that take a function further than what is present, and than they do alone on the clean aircraft.")
        .def_property_readonly("sources", [](const NextFailures& n) { return list_of(n.sources, dict_of); }, "One dict a function: independent sources left, now and on the clean aircraft.")
        .def_property_readonly("changes", [](const NextFailures& n) { return list_of(n.changes, dict_of); }, "Functions that stand worse already than on the clean aircraft.")
        .def_readonly("counted", &NextFailures::counted, "The sources, controllers and drives that are counted, in id order.")
        .def_readonly("examined", &NextFailures::examined, "How many causes were tried.")
        .def_property_readonly("tables", [](const NextFailures& n) { return tables(n); }, "Newly exposed, sources left, and what hurts no more than before.")
        .def("to_dataframe", [](const NextFailures& n, std::string_view of) { return frame_of(n, of); }, py::arg("of") = "failures", R"(to_dataframe(self, of="failures")
--

Give one row a failure, or a function with its sources, as a pandas data frame.

    >>> ff.next_failures(state.fail("generator")).to_dataframe("sources")[["function", "now", "clean"]].values.tolist()
    [['talk', 1, 2]]

Args:
    of: failures or sources.

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const NextFailures& n) { return dict_of(n); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.next_failures(state).to_dict()["sources"][0]["now"]
    {'count': 2, 'exact': True, 'kept_without': False, 'sets': [['battery', 'generator']]}
)")
        .def("__len__", [](const NextFailures& n) { return n.rows.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const NextFailures& n) { return py::iter(list_of(n.rows, dict_of)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const NextFailures& a, const NextFailures& b) { return a.before.state() == b.before.state() && a.rows == b.rows && a.sources == b.sources; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const NextFailures& n) { return text(n); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const NextFailures& n) {
            const std::size_t count = newly(n.rows);
            return "<NextFailures of " + n.before.network().model().name + ": " + std::to_string(count) + " of " + std::to_string(n.examined) + (count == 1 ? " causes hurts" : " causes hurt") + " more than on the clean aircraft>";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("next_failures", [](const py::object& asked, bool causes, std::vector<std::string> goals, bool sources, std::size_t most_settles) {
        return answered(asked, [&](const Outcome& out) {
            return next_failures(out.state(), {.causes = causes, .goals = std::move(goals), .sources = sources, .most_settles = most_settles});
        });
    }, py::arg("state"), py::kw_only(), py::arg("causes") = true, py::arg("goals") = std::vector<std::string>(), py::arg("sources") = true,
       py::arg("most_settles") = 30000, R"(next_failures(state, *, causes=True, goals=[], sources=True, most_settles=30000)
--

List further single failures by harm, against the clean aircraft, and count the independent sources left.

The clean aircraft has the same hands and givens, and nothing failed. Independent sources: the size of the smallest set
of losses among sources, controllers and drives that takes a function altogether; exact to three, 4 is four or more.

    >>> ff.next_failures(state, sources=False).newly_exposed
    []

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    causes: Also the author's common causes, and each zone lost as a whole.
    goals: The only functions to examine; empty: all.
    sources: Count the independent sources.
    most_settles: For counting them, in each of the two aircraft; where it runs out, `exact` is False.

Raises:
    UnknownId: Naming the nearest function.
)");
}

void bind_dispatch_table(py::module_& m) {
    py::class_<DispatchTable> result(m, "DispatchTable", R"(The dispatch items of a model, with what each takes away. Prints as a sheet.

    >>> items = ff.dispatch_table(net)
    >>> items
    <DispatchTable of One bus: 2 items, 3 conflicts in 1 pair>
    >>> [row["name"] for row in items]
    ['Generator', 'Battery']
    >>> print(items.conflicts[0]["text"])
    Asks for battery supplied: battery failed or out.
)");
    add_sheet_methods(result, [](const DispatchTable& t) { return Sheet("Dispatch items: " + t.before.network().model().name, tables(t)); });
    result.def_property_readonly("rows", [](const DispatchTable& t) { return list_of(t.rows, dict_of); }, "One dict an item, by chapter; its units with what the deferral of each does alone.")
        .def_property_readonly("conflicts", [](const DispatchTable& t) { return list_of(t.conflicts, dict_of); }, "Pairs of deferrals that do not go together, and why.")
        .def_readonly("pairs", &DispatchTable::pairs, "How many pairs of units there are to examine.")
        .def_readonly("pairs_examined", &DispatchTable::pairs_examined, "How many of them were; fewer where the budget ran out.")
        .def_property_readonly("table", [](const DispatchTable& t) { return table(t); }, "One row a unit: the columns of the list in their order, then what is computed.")
        .def_property_readonly("tables", [](const DispatchTable& t) { return tables(t); }, "For paper: the list, what each takes at once and exposes, conditions, pairs, symptoms.")
        .def("to_dataframe", [](const DispatchTable& t, std::string_view of) { return frame_of(t, of); }, py::arg("of") = "items", R"(to_dataframe(self, of="items")
--

Give one row a unit, or one of what is computed, as a pandas data frame.

    >>> ff.dispatch_table(net).to_dataframe("conditions")[["item", "text", "met"]].values.tolist()
    [['item_24_30', 'battery supplied', 'met'], ['item_24_31', 'generator supplied', 'met']]

Args:
    of: items (as `table`), exposed, conditions, conflicts or hidden.

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const DispatchTable& t) { return dict_of(t); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.dispatch_table(net).to_dict()["rows"][0]["units"][0]["provided"]
    [{'text': 'battery supplied', 'met': 'met', 'reason': ''}]
)")
        .def("__len__", [](const DispatchTable& t) { return t.rows.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const DispatchTable& t) { return py::iter(list_of(t.rows, dict_of)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const DispatchTable& a, const DispatchTable& b) { return a.before.state() == b.before.state() && a.rows == b.rows && a.conflicts == b.conflicts; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const DispatchTable& t) { return text(t); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const DispatchTable& t) {
            return "<DispatchTable of " + t.before.network().model().name + ": " + count_text(t.rows.size(), "item", "items") + ", " +
                   count_text(t.conflicts.size(), "conflict", "conflicts") + " in " + count_text(t.pairs_examined, "pair", "pairs") + ">";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("dispatch_table", [](const py::object& asked, bool causes, std::size_t most_settles) {
        return answered(asked, [&](const Outcome& out) { return dispatch_table(out.state(), {.causes = causes, .most_settles = most_settles}); });
    }, py::arg("state"), py::kw_only(), py::arg("causes") = true, py::arg("most_settles") = 300000, R"(dispatch_table(state, *, causes=True, most_settles=300000)
--

Tabulate every dispatch item: what its deferral takes, exposes and asks for, and which other deferrals it must not meet.

Each unit is deferred alone and in every pair. A deferral takes the unit's elements out and holds what is secured in its
position. What the model does not say is not decidable, and never counts as met. Whether an aircraft may go is for the
operator's list and the crew.

    >>> ff.dispatch_table(state).rows[1]["units"][0]["exposed"][0]["id"]
    'generator'

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    causes: Next failures: also the author's common causes, and each zone lost as a whole.
    most_settles: What does not fit is left out, and said.
)");
}

void bind_check_deferrals(py::module_& m) {
    py::class_<DeferralCheck> result(m, "DeferralCheck", R"(What a set of open items takes together, and where they get in each other's way. Prints as a sheet.

    >>> check = ff.check_deferrals(net, ["item_24_30", "item_24_31"])
    >>> check
    <DeferralCheck of One bus: 2 open items, 3 conflicts>
    >>> [conflict["why"] for conflict in check.conflicts]
    ['condition', 'condition', 'together']
    >>> check.outcome.lost
    ['talk']
)");
    add_sheet_methods(result, [](const DeferralCheck& c) { return Sheet("Open items: " + c.before.network().model().name, tables(c)); });
    result.def_property_readonly("items", [](const DeferralCheck& c) { return list_of(c.items, dict_of); }, "One dict an open item; its conditions with all of them out, its last day.")
        .def_property_readonly("changes", [](const DeferralCheck& c) { return list_of(c.changes, dict_of); }, "Functions lost or degraded with all of them out.")
        .def_property_readonly("conflicts", [](const DeferralCheck& c) { return list_of(c.conflicts, dict_of); }, "Where they get in each other's way, and why.")
        .def_readonly("next", &DeferralCheck::next, "The next failures and sources left with all of them out.")
        .def_readonly("outcome", &DeferralCheck::outcome, "The outcome with all of them out.")
        .def_readonly("before", &DeferralCheck::before, "The outcome without them.")
        .def_property_readonly("tables", [](const DeferralCheck& c) { return tables(c); }, "Open items, conditions, conflicts, what each takes and all take, next failures, sources left.")
        .def("to_dataframe", [](const DeferralCheck& c, std::string_view of) { return frame_of(c, of); }, py::arg("of") = "items", R"(to_dataframe(self, of="items")
--

Give one row an open item, a conflict, a next failure or a function with its sources, as a pandas data frame.

    >>> ff.check_deferrals(net, ["item_24_30"]).to_dataframe()["Last day"].tolist()
    ['not said']

Args:
    of: items, conflicts, failures or sources.

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const DeferralCheck& c) { return dict_of(c); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> import datetime
    >>> ff.check_deferrals(net, [("item_24_30", "generator", datetime.date(2024, 9, 10))]).to_dict()["items"][0]["last_day"]
    datetime.date(2024, 9, 20)
)")
        .def("__eq__", [](const DeferralCheck& a, const DeferralCheck& b) { return a.before.state() == b.before.state() && a.items == b.items && a.conflicts == b.conflicts; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const DeferralCheck& c) { return text(c); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const DeferralCheck& c) {
            return "<DeferralCheck of " + c.before.network().model().name + ": " + count_text(c.items.size(), "open item", "open items") + ", " + count_text(c.conflicts.size(), "conflict", "conflicts") + ">";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("check_deferrals", [](const py::object& asked, const py::iterable& items, bool causes) {
        if (py::isinstance<py::str>(items)) throw py::type_error("Give a list of open items. " + std::string(a_deferral_is));
        std::vector<Deferral> open;
        for (const py::handle item : items) open.push_back(deferral_from(item));
        return answered(asked, [&](const Outcome& out) { return check_deferrals(out.state(), open, {.causes = causes}); });
    }, py::arg("state"), py::arg("items"), py::kw_only(), py::arg("causes") = true, R"(check_deferrals(state, items, *, causes=True)
--

Say what a set of open dispatch items takes together, which conditions they break, and what hurts next.

    >>> ff.check_deferrals(net, ["item_24_30"]).items[0]["provided"]
    [{'text': 'battery supplied', 'met': 'met', 'reason': ''}]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    items: "item" where it has one unit, ("item", "unit"), or with the date it was found, ("item", "unit", date).
    causes: Next failures: also the author's common causes, and each zone lost as a whole.

Raises:
    UnknownId: Naming the nearest item or unit.
    NotPossible: Where a unit is listed twice, or has to be named and is not.
)");

    m.def("last_repair_day", [](const std::string& category, const py::object& found) { return day_or_none(last_repair_day(category, day_from(found))); },
          py::arg("category"), py::arg("found"), R"(last_repair_day(category, found)
--

Give the last day of a repair interval: calendar days, the day of discovery excluded; None for category A.

B has 3 days, C 10, D 120; A is what the item's remarks say.

    >>> import datetime
    >>> ff.last_repair_day("C", datetime.date(2024, 9, 10))
    datetime.date(2024, 9, 20)

Raises:
    NotPossible: For another category.
)");
}

}  // namespace

void bind_dispatch(py::module_& m) {
    bind_next_failures(m);
    bind_dispatch_table(m);
    bind_check_deferrals(m);
}

}  // namespace fedfrom::python
