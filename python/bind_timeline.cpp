// What happens when: events and delays played in time.
#include "discharge_from.hpp"
#include "effect_dicts.hpp"
#include "events_from.hpp"
#include "sheet_methods.hpp"

#include <fedfrom/study/timeline.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

constexpr const char* a_timed_step_is = "Steps are (seconds, step) pairs; a step is a dict, as in `follow`.";

std::vector<TimedStep> timed_steps_from(const py::handle& values) {
    std::vector<TimedStep> steps;
    for (const py::handle value : converted<py::iterable>(values, a_timed_step_is)) {
        const auto [at, step] = converted<std::pair<double, py::dict>>(value, a_timed_step_is);
        steps.push_back({at, step_from(step)});
    }
    return steps;
}

py::dict to_dict(const Instant& i) {
    py::dict d;
    d["seconds"] = i.seconds;
    d["text"] = i.text;
    d["refused"] = list_of(i.refused, dict_of);
    add_difference(d, i.difference);
    d["fault"] = dict_of(i.fault);
    return d;
}

py::list instants_of(const Timeline& t) {
    py::list list;
    for (const Instant& i : t.instants) list.append(to_dict(i));
    return list;
}

py::dict dict_of(const Interruption& i) {
    py::dict d;
    d["id"] = i.id;
    d["name"] = i.name;
    d["from_s"] = i.from_s;
    d["to_s"] = i.to_s;
    return d;
}

py::dict dict_of(const CannotMove& m) {
    py::dict d;
    d["id"] = m.id;
    d["name"] = m.name;
    d["position"] = m.position;
    d["since_s"] = m.since_s;
    return d;
}

py::dict dict_of(const OnItsWay& w) {
    py::dict d;
    d["id"] = w.id;
    d["name"] = w.name;
    d["what"] = std::string(name_of(w.what));
    d["position"] = w.position;
    d["due_s"] = w.due_s;
    return d;
}

py::dict dict_of(const BatteryLeft& b) {
    py::dict d;
    d["id"] = b.id;
    d["name"] = b.name;
    d["charge"] = b.charge;
    d["amp_hours"] = b.amp_hours;
    return d;
}

/// One record a function and instant: its level then.
py::dict level_record(double seconds, std::string_view function, Level level, std::string_view mode) {
    py::dict d;
    d["seconds"] = seconds;
    d["function"] = std::string(function);
    d["level"] = std::string(name_of(level));
    d["mode"] = std::string(mode);
    return d;
}

py::list level_records(const Timeline& t) {
    const Compiled& c = t.before.network().compiled();
    py::list records;
    const auto add = [&](double seconds, const Outcome& out) {
        for (const FunctionInfo& f : c.functions) records.append(level_record(seconds, *f.id, out.level(*f.id), out.mode(*f.id)));
    };
    add(0, t.before);
    for (std::size_t i = 0; i < t.outcomes.size(); ++i) add(t.instants[i].seconds, t.outcomes[i]);
    return records;
}

/// A drawing that shows itself.
struct Chart {
    std::string svg;
};

Sheet sheet_of(const Timeline& t) { return {"Timeline: " + t.before.network().model().name, tables(t)}; }

}  // namespace

void bind_timeline(py::module_& m) {
    py::class_<Chart> drawing(m, "Chart", R"(A drawing as SVG. A notebook shows it; `svg` is its text, to be written to a file.

    >>> drawn = ff.timeline(state, [(2, {"set": {"cb_radio": "pulled"}})], until_s=10).chart()
    >>> drawn
    <Chart, an SVG drawing>
    >>> "Talk on the radio" in drawn.svg
    True
)");
    drawing.def_readonly("svg", &Chart::svg, "The drawing as text.")
        .def("_repr_svg_", [](const Chart& c) { return c.svg; }, "_repr_svg_(self)\n--\n\nWhat a notebook shows.")
        .def("__repr__", [](const Chart&) { return "<Chart, an SVG drawing>"; }, "__repr__(self, /)\n--\n\n");

    py::class_<Timeline> result(m, "Timeline", R"(What happens when, after events at their times. Prints as a sheet.

    >>> played = ff.timeline(state, [(2, {"set": {"cb_radio": "pulled"}})], until_s=10)
    >>> played
    <Timeline of One bus: 1 instants to 10 s>
    >>> played.instants[0]["seconds"], played.instants[0]["worse"][0]["function"]
    (2.0, 'talk')
)");
    add_sheet_methods(result, [](const Timeline& t) { return sheet_of(t); });
    result.def_property_readonly("before", [](const Timeline& t) { return t.before; }, "The outcome at the beginning.")
        .def_property_readonly("after", [](const Timeline& t) { return t.after; }, "The outcome at the end, with what is on its way standing still.")
        .def_property_readonly("outcomes", [](const Timeline& t) { return t.outcomes; }, "The outcome after each instant.")
        .def_property_readonly("instants", &instants_of, "One dict an instant: when, what happened, and what it changed.")
        .def_property_readonly("interruptions", [](const Timeline& t) { return list_of(t.interruptions, dict_of); }, "What was without supply for a while.")
        .def_property_readonly("cannot_move", [](const Timeline& t) { return list_of(t.cannot_move, dict_of); }, "What keeps its position in the end, whatever is selected: it has no supply, or has failed.")
        .def_property_readonly("on_its_way", [](const Timeline& t) { return list_of(t.on_its_way, dict_of); }, "What moves, starts or runs down when the timeline ends, and when it is due.")
        .def_property_readonly("batteries", [](const Timeline& t) { return list_of(t.batteries, dict_of); }, "What batteries have left in the end: the part of what is usable, and ampere-hours. Empty without a condition.")
        .def_readonly("assumptions", &Timeline::assumptions, "What was taken for granted, in sentences.")
        .def_readonly("until_s", &Timeline::until_s, "The end, in seconds.")
        .def_readonly("complete", &Timeline::complete, "Whether everything to the end was played.")
        .def_readonly("open", &Timeline::open, "Where it is not complete: why what follows is not played.")
        .def_property_readonly("tables", [](const Timeline& t) { return tables(t); }, "What happens when; functions over time; interruptions; what cannot be moved; what is on its way; what batteries have left.")
        .def("to_dict", [](const Timeline& t) {
            py::dict d;
            d["until_s"] = t.until_s;
            d["instants"] = instants_of(t);
            d["interruptions"] = list_of(t.interruptions, dict_of);
            d["cannot_move"] = list_of(t.cannot_move, dict_of);
            d["on_its_way"] = list_of(t.on_its_way, dict_of);
            d["batteries"] = list_of(t.batteries, dict_of);
            d["assumptions"] = t.assumptions;
            d["complete"] = t.complete;
            d["open"] = t.open;
            add_difference(d, t.difference);
            return d;
        }, R"(to_dict(self)
--

Give the instants, what follows from them, and what differs in the end, as plain Python values.

    >>> ff.timeline(state, [], until_s=10).to_dict()["instants"]
    []
)")
        .def("to_dataframe", [](const Timeline& t, std::string_view of) {
            if (of == "functions") return frame(level_record(0, "", Level::normal, ""), level_records(t));
            if (of == "interruptions") return frame(dict_of(Interruption{}), list_of(t.interruptions, dict_of));
            throw py::value_error("`of` is functions or interruptions.");
        }, py::arg("of") = "functions", R"(to_dataframe(self, of='functions')
--

Give the level of each function at the beginning and after each instant, or the interruptions, as a pandas data frame.

    >>> played = ff.timeline(state, [(2, {"set": {"cb_radio": "pulled"}})], until_s=10)
    >>> played.to_dataframe().query("function == 'talk'")[["seconds", "level"]].values.tolist()
    [[0.0, 'normal'], [2.0, 'lost']]

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("chart", [](const Timeline& t) { return Chart{chart(t)}; }, R"(chart(self)
--

Draw it: a bar for each function, source and bus that changes, along one axis of time.

    >>> ff.timeline(state, [(2, {"set": {"cb_radio": "pulled"}})], until_s=10).chart().svg[:4]
    '<svg'
)")
        .def("__len__", [](const Timeline& t) { return t.instants.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const Timeline& t) { return py::iter(instants_of(t)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const Timeline& a, const Timeline& b) { return a.before.state() == b.before.state() && a.asked == b.asked && a.until_s == b.until_s && a.instants == b.instants && a.batteries == b.batteries; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Timeline& t) { return text(t); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Timeline& t) {
            return "<Timeline of " + t.before.network().model().name + ": " + std::to_string(t.instants.size()) + " instants to " + py::cast<std::string>(py::str("{:g}").format(t.until_s)) + " s" + (t.complete ? ">" : ", not complete>");
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("timeline", [](const py::object& asked, const py::handle& steps, double until_s, std::optional<std::string> condition, std::optional<double> derating, std::optional<double> charge,
                         std::optional<double> peukert, std::optional<double> peukert_hours) {
        const std::vector<TimedStep> list = timed_steps_from(steps);
        const TimelineOptions options{.condition = condition.value_or(""), .derating = derating, .charge = charge, .discharge = discharge_from(peukert, peukert_hours)};
        return answered(asked, [&](const Outcome& out) { return timeline(out.state(), list, until_s, options); });
    }, py::arg("state"), py::arg("steps"), py::arg("until_s"), py::kw_only(), py::arg("condition") = py::none(), py::arg("derating") = py::none(), py::arg("charge") = py::none(),
       py::arg("peukert") = py::none(), py::arg("peukert_hours") = py::none(),
       R"(timeline(state, steps, until_s, *, condition=None, derating=None, charge=None, peukert=None, peukert_hours=None)
--

Play events at their times, with the delays of what they set off, and say what happens when.

What a hand, a leader or its own logic sends elsewhere stands where it was until its delay (`after_s`) is over; what spins up
(`spin_up_s`) gives nothing until it has; what runs down (`run_down_s`), or does without a port for a while (`runs_without_s`), works on for so
long; with a condition, batteries run empty. Everything else follows at once. Functions are judged at every instant as if asked for then.

    >>> played = ff.timeline(state, [(0, {"fail": ["bus"]}), (5, {"repair": ["bus"]})], until_s=10)
    >>> [(gap["id"], gap["from_s"], gap["to_s"]) for gap in played.interruptions]
    [('bus', 0.0, 5.0), ('radio', 0.0, 5.0)]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    steps: (seconds, step) pairs; a step is a dict of fail, repair, reset, set, given, use and clear_all, as in `follow`.
    until_s: The end, in seconds.
    condition: An operating condition of the load sheet, whose loads drain batteries; without it none runs empty.
    derating: With a condition: the usable part of the nameplate capacity, above 0 to 1.
    charge: With a condition: the state of charge of every battery at the beginning, above 0 to 1.
    peukert: Peukert's exponent; without it ampere-hours are the same at every current.
    peukert_hours: The hours of the rate the nameplate capacity is for; without it the capacity is at one ampere.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: For a position an element does not have, for times that are negative or after the end, and for options that do not go together.
)");
}

}  // namespace fedfrom::python
