// Which sources cannot carry the load, and what goes when they drop their bus.
#include "effect_dicts.hpp"
#include "figure_dicts.hpp"
#include "sheet_methods.hpp"

#include <fedfrom/study/power_balance.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

LoadWindow window_from(std::string_view word) {
    for (const LoadWindow window : {LoadWindow::continuous, LoadWindow::five_minutes, LoadWindow::five_seconds, LoadWindow::inrush})
        if (name_of(window) == word) return window;
    throw py::value_error("`over` is continuous, five_minutes, five_seconds or inrush.");
}

py::dict to_dict(const Overloading& o) {
    py::dict d;
    d["sources"] = o.sources;
    d["names"] = o.names;
    d["demand"] = dict_of(o.demand);
    d["capacity"] = dict_of(o.capacity);
    d["unit"] = o.unit;
    return d;
}

py::list groups_of(const std::vector<Overloading>& groups) {
    py::list list;
    for (const Overloading& o : groups) list.append(to_dict(o));
    return list;
}

py::list rounds_of(const PowerBalance& b) {
    py::list list;
    for (const BalanceRound& round : b.rounds) {
        py::dict d;
        d["overloaded"] = groups_of(round.overloaded);
        d["stays_off"] = round.stays_off;
        add_difference(d, round.difference);
        list.append(d);
    }
    return list;
}

/// `round` counts from 1; None of what is only possible.
py::dict group_record(std::optional<std::size_t> round, const Overloading& o, std::optional<bool> stays_off) {
    py::dict d;
    d["round"] = or_none(round);
    d["sources"] = o.sources;
    add_columns(d, "demand", o.demand);
    add_columns(d, "capacity", o.capacity);
    d["unit"] = o.unit;
    d["stays_off"] = truth_or_none(stays_off);
    return d;
}

py::object balance_frame(const PowerBalance& b, std::string_view of) {
    if (of == "changes") return frame(change_record("", Change{}), change_records(b.difference));
    if (of == "elements") return frame(dict_of(ElementChange{}), list_of(b.difference.elements, dict_of));
    if (of != "groups") throw py::value_error("`of` is groups, changes or elements.");
    py::list records;
    for (std::size_t i = 0; i < b.rounds.size(); ++i)
        for (const Overloading& o : b.rounds[i].overloaded) records.append(group_record(i + 1, o, b.rounds[i].stays_off));
    for (const Overloading& o : b.possible) records.append(group_record(std::nullopt, o, std::nullopt));
    const Figure f{0.0, 0.0};
    return frame(group_record(0, {.demand = f, .capacity = f}, false), records);
}

Sheet sheet_of(const PowerBalance& b) { return {"Power balance: " + b.before.network().model().name, tables(b)}; }

std::string brief(const PowerBalance& b) {
    const auto off = std::ranges::count(b.rounds, true, &BalanceRound::stays_off);
    return "<PowerBalance of " + b.before.network().model().name + ", " + b.options.condition + ": " + std::to_string(b.rounds.size()) + (b.rounds.size() == 1 ? " round" : " rounds") + (off > 0 ? ", sources off line" : "") + (b.decided ? "" : ", not decided") + ">";
}

}  // namespace

void bind_power_balance(py::module_& m) {
    py::class_<PowerBalance> result(m, "PowerBalance", R"(Sources that cannot carry what rests on them, and what goes when they drop their bus. Prints as a sheet.

    >>> balance = ff.power_balance(state, "cruise", times_rating=0.03)
    >>> balance
    <PowerBalance of One bus, cruise: 1 round, sources off line, not decided>
    >>> [(group["sources"], group["demand"]["low"], group["capacity"]["high"]) for group in balance.rounds[0]["overloaded"]]
    [(['generator'], 4.0, 3.0)]
    >>> balance.after.status("generator"), balance.after.status("radio")
    ('overloaded', 'supplied')
    >>> [group["sources"] for group in balance.possible]  # the battery has no rating
    [['battery']]
)");
    add_sheet_methods(result, [](const PowerBalance& b) { return sheet_of(b); });
    result.def_property_readonly("rounds", &rounds_of, "One dict a round: the groups of sources that gave no voltage at once, what that changed, and whether they stay off line.")
        .def_property_readonly("possible", [](const PowerBalance& b) { return groups_of(b.possible); }, "Groups that may be overloaded in any round: nothing was dropped for them.")
        .def_readonly("decided", &PowerBalance::decided, "False where what is possible, or not known, could have dropped more.")
        .def_readonly("missing", &PowerBalance::missing, "What is not in the model, so that figures are not sure.")
        .def_readonly("assumptions", &PowerBalance::assumptions, "What is assumed.")
        .def_property_readonly("before", [](const PowerBalance& b) { return b.before; }, "What holds in the state asked about.")
        .def_property_readonly("after", [](const PowerBalance& b) { return b.after; }, "What holds in the end; ask on from its state.")
        .def_property_readonly("tables", [](const PowerBalance& b) { return tables(b); }, "Groups that are, or may be, overloaded; functions and elements that stand otherwise in the end, where any do.")
        .def("to_dict", [](const PowerBalance& b) {
            py::dict d;
            d["condition"] = b.options.condition;
            d["over"] = std::string(name_of(b.options.over));
            d["times_rating"] = b.options.times_rating;
            d["rounds"] = rounds_of(b);
            d["possible"] = groups_of(b.possible);
            d["decided"] = b.decided;
            add_difference(d, b.difference);
            d["missing"] = b.missing;
            d["assumptions"] = b.assumptions;
            return d;
        }, R"(to_dict(self)
--

Give everything as plain Python values; gained, worse and the like are of all rounds together.

    >>> ff.power_balance(state, "cruise").to_dict()["rounds"]
    []
)")
        .def("to_dataframe", &balance_frame, py::arg("of") = "groups", R"(to_dataframe(self, of='groups')
--

Give one row a group, a function that stands otherwise in the end, or an element, as a pandas data frame.

    >>> ff.power_balance(state, "cruise", times_rating=0.03).to_dataframe()[["sources", "demand_low", "unit"]].values.tolist()
    [['generator', 4.0, 'amps'], ['battery', 4.2, 'amps']]

Args:
    of: "groups", "changes" or "elements".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__eq__", [](const PowerBalance& a, const PowerBalance& b) { return a.before.state() == b.before.state() && a.after.state() == b.after.state() && a.rounds == b.rounds && a.possible == b.possible; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const PowerBalance& b) { return text(b); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const PowerBalance& b) { return brief(b); }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("power_balance", [](const py::object& asked, const std::string& condition, std::string_view over, double times_rating) {
        const PowerBalanceOptions options{.condition = condition, .over = window_from(over), .times_rating = times_rating};
        return answered(asked, [&](const Outcome& out) { return power_balance(out, options); });
    }, py::arg("state"), py::arg("condition"), py::arg("over") = "continuous", py::arg("times_rating") = 1.0, R"(power_balance(state, condition, over='continuous', times_rating=1.0)
--

Weigh the load against what sources are rated at; those that cannot carry it drop their bus.

Sources that stand together on a part of the supply are a group; on it rests what can come from no other source. Where
that surely is more than all of them are rated at, they give no voltage: what holds itself in drops out. Then voltage
comes back; a load that is on again keeps them off line until they are reset. What is not sure drops nothing.

    >>> ff.power_balance(state, "cruise").rounds
    []

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    condition: An operating condition of the model.
    over: The load to carry, on average: "continuous", "five_minutes", "five_seconds"; or "inrush", five seconds with the
        largest single inrush on top.
    times_rating: What a source gives for so long, by its rating: 1.5 is half as much again.

Raises:
    UnknownId: Naming the nearest condition.
    NotPossible: Where no element has loads, or times_rating is not above 0.
)");
}

}  // namespace fedfrom::python
