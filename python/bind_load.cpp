// Questions about loads and stored energy: the load sheet, and how long a battery lasts.
#include "answers.hpp"
#include "discharge_from.hpp"
#include "figure_dicts.hpp"
#include "sheet_methods.hpp"

#include <fedfrom/study/endurance.hpp>
#include <fedfrom/study/load_sheet.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

py::dict dict_of(const LoadFigures& f) {
    py::dict d;
    d["amps"] = dict_of(f.amps);
    d["watts"] = dict_of(f.watts);
    d["volt_amperes"] = dict_of(f.volt_amperes);
    return d;
}

py::dict dict_of(const LoadLine& l) {
    py::dict d;
    d["id"] = l.id;
    d["name"] = l.name;
    d["role"] = std::string(name_of(l.role));
    d["status"] = std::string(name_of(l.status));
    d["volts"] = or_none(l.volts);
    d["continuous"] = dict_of(l.continuous);
    d["five_minutes"] = dict_of(l.five_minutes);
    d["five_seconds"] = dict_of(l.five_seconds);
    d["inrush_amps"] = dict_of(l.inrush_amps);
    d["rating"] = or_none(l.rating);
    d["rating_unit"] = l.rating_unit;
    d["margin"] = dict_of(l.margin);
    d["overload"] = std::string(name_of(l.overload));
    return d;
}

py::dict dict_of(const LoadFinding& f) {
    py::dict d;
    d["what"] = std::string(name_of(f.what));
    d["id"] = f.id;
    d["text"] = f.text;
    return d;
}

py::dict dict_of(const WithoutSupply& w) {
    py::dict d;
    d["id"] = w.id;
    d["name"] = w.name;
    d["status"] = std::string(name_of(w.status));
    return d;
}

py::dict dict_of(const SourceOut& s) {
    py::dict d;
    d["id"] = s.id;
    d["name"] = s.name;
    d["lines"] = list_of(s.lines, dict_of);
    d["without_supply"] = list_of(s.without_supply, dict_of);
    return d;
}

/// One row, its figures as two columns each. Amperes in three averages, the rest as it is continuously.
py::dict record(const LoadLine& l) {
    py::dict d;
    d["id"] = l.id;
    d["name"] = l.name;
    d["role"] = std::string(name_of(l.role));
    d["status"] = std::string(name_of(l.status));
    d["volts"] = or_none(l.volts);
    add_columns(d, "continuous_amps", l.continuous.amps);
    add_columns(d, "five_minutes_amps", l.five_minutes.amps);
    add_columns(d, "five_seconds_amps", l.five_seconds.amps);
    add_columns(d, "inrush_amps", l.inrush_amps);
    add_columns(d, "continuous_watts", l.continuous.watts);
    add_columns(d, "continuous_volt_amperes", l.continuous.volt_amperes);
    d["rating"] = or_none(l.rating);
    d["rating_unit"] = l.rating_unit;
    add_columns(d, "margin", l.margin);
    d["overload"] = std::string(name_of(l.overload));
    return d;
}

/// Figures may be missing, so that a frame without rows still has numbers in its columns.
py::dict blank_record() {
    LoadLine l{.volts = 0.0, .rating = 0.0};
    const Figure f{0.0, 0.0};
    l.continuous = l.five_minutes = l.five_seconds = {f, f, f};
    l.inrush_amps = l.margin = f;
    return record(l);
}

py::object load_frame(const LoadSheet& s, std::string_view of) {
    py::list records;
    if (of == "lines") {
        for (const LoadLine& l : s.lines) records.append(record(l));
        return frame(blank_record(), records);
    }
    if (of == "findings") return frame(dict_of(LoadFinding{}), list_of(s.findings, dict_of));
    if (of != "one_source_out" && of != "without_supply") throw py::value_error("`of` is lines, one_source_out, without_supply or findings.");
    const auto of_lost = [](const std::string& id, const py::dict& line) {
        py::dict d;
        d["lost"] = id;
        for (const auto& [key, value] : line) d[key] = value;
        return d;
    };
    if (of == "without_supply") {
        for (const SourceOut& out : s.one_out)
            for (const WithoutSupply& w : out.without_supply) records.append(of_lost(out.id, dict_of(w)));
        return frame(of_lost("", dict_of(WithoutSupply{})), records);
    }
    for (const SourceOut& out : s.one_out)
        for (const LoadLine& l : out.lines) records.append(of_lost(out.id, record(l)));
    return frame(of_lost("", blank_record()), records);
}

Sheet sheet_of(const LoadSheet& s) { return {"Load sheet: " + s.outcome.network().model().name, tables(s)}; }

py::dict to_dict(const LoadSheet& s) {
    py::dict d;
    d["condition"] = s.condition;
    d["shed"] = s.shed;
    d["lines"] = list_of(s.lines, dict_of);
    d["one_source_out"] = list_of(s.one_out, dict_of);
    d["findings"] = list_of(s.findings, dict_of);
    d["delivered_watts"] = dict_of(s.delivered_watts);
    d["consumed_watts"] = dict_of(s.consumed_watts);
    d["lost_watts"] = dict_of(s.lost_watts);
    d["missing"] = s.missing;
    d["assumptions"] = s.assumptions;
    return d;
}

void bind_load_sheet(py::module_& m) {
    py::class_<LoadSheet> result(m, "LoadSheet", R"(What is drawn from every source, bus, converter and breaker in one operating condition. Prints as a sheet.

A figure is a dict of low and high, equal where it is known. Without high it is at least low; with neither it is unknown.

    >>> sheet = ff.load_sheet(state, "cruise")
    >>> sheet
    <LoadSheet of One bus, cruise: 6 lines, 0 findings>
    >>> sheet.line("generator")["continuous"]["amps"]
    {'low': 4.0, 'high': 4.0}
)");
    add_sheet_methods(result, [](const LoadSheet& s) { return sheet_of(s); });
    result.def_readonly("condition", &LoadSheet::condition, "The operating condition.")
        .def_readonly("shed", &LoadSheet::shed, "Loads taken off: shed by hand.")
        .def_property_readonly("lines", [](const LoadSheet& s) { return list_of(s.lines, dict_of); }, "One dict a source, converter, bus, device and load, in this order; devices and loads where something may flow.")
        .def_property_readonly("one_source_out", [](const LoadSheet& s) { return list_of(s.one_out, dict_of); }, "With each source or converter lost: the lines of the others, and of what is, or may be, overloaded; loads that are then without supply.")
        .def_property_readonly("findings", [](const LoadSheet& s) { return list_of(s.findings, dict_of); }, "Overloads, generators above 80 percent, breakers against their wire, volts lost.")
        .def_property_readonly("delivered_watts", [](const LoadSheet& s) { return dict_of(s.delivered_watts); }, "What sources deliver continuously.")
        .def_property_readonly("consumed_watts", [](const LoadSheet& s) { return dict_of(s.consumed_watts); }, "What loads take continuously.")
        .def_property_readonly("lost_watts", [](const LoadSheet& s) { return dict_of(s.lost_watts); }, "What converters lose continuously.")
        .def_readonly("missing", &LoadSheet::missing, "What is not in the model, so that figures are not sure.")
        .def_readonly("assumptions", &LoadSheet::assumptions, "What is assumed.")
        .def_property_readonly("outcome", [](const LoadSheet& s) { return s.outcome; }, "What holds in the state asked about.")
        .def_property_readonly("tables", [](const LoadSheet& s) { return tables(s); }, "Findings, sources, buses and converters, devices, loads, one source out: those that have rows.")
        .def("line", [](const LoadSheet& s, std::string_view id) {
            if (const LoadLine* line = s.line(id)) return py::object(dict_of(*line));
            s.outcome.network().element(id);
            return py::object(py::none());
        }, py::arg("element"), R"(line(self, element)
--

Give the line of an element; None where it is not on the sheet.

    >>> ff.load_sheet(state, "cruise").line("bus")["role"]
    'bus'

Raises:
    UnknownId: Naming the nearest.
)")
        .def("to_dict", [](const LoadSheet& s) { return to_dict(s); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.load_sheet(state, "cruise").to_dict()["delivered_watts"]
    {'low': 116.8, 'high': 116.8}
)")
        .def("to_dataframe", &load_frame, py::arg("of") = "lines", R"(to_dataframe(self, of='lines')
--

Give one row a line, a line or a load without supply with one source out, or a finding, as a pandas data frame.

A figure is two columns, low and high.

    >>> ff.load_sheet(state, "cruise").to_dataframe()[["id", "continuous_amps_low"]].values.tolist()[0]
    ['battery', 0.2]

Args:
    of: "lines", "one_source_out", "without_supply" or "findings".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__eq__", [](const LoadSheet& a, const LoadSheet& b) { return a.outcome.state() == b.outcome.state() && a.condition == b.condition && a.shed == b.shed && a.lines == b.lines && a.one_out == b.one_out; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const LoadSheet& s) { return text(s); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const LoadSheet& s) {
            return "<LoadSheet of " + s.outcome.network().model().name + ", " + s.condition + ": " + std::to_string(s.lines.size()) + " lines, " + std::to_string(s.findings.size()) + " findings>";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("load_conditions", [](const Network& net) { return load_conditions(net); }, py::arg("net"), R"(load_conditions(net)
--

List the operating conditions a model names in its loads, in the order of their ids.

    >>> ff.load_conditions(net)
    ['cruise']
)");
    m.def("load_sheet", [](const py::object& asked, std::string_view condition, bool one_source_out, const std::vector<std::string>& shed) {
        return answered(asked, [&](const Outcome& out) { return load_sheet(out, condition, {.one_source_out = one_source_out, .shed = shed}); });
    }, py::arg("state"), py::arg("condition"), py::kw_only(), py::arg("one_source_out") = true, py::arg("shed") = py::tuple(), R"(load_sheet(state, condition, *, one_source_out=True, shed=())
--

Sum what is drawn along the supply in use, on every source, bus, converter and breaker.

Parallel feeds share by the rating of the sources behind each; converters take what they give over their efficiency. What
is not known is a range, never taken as zero.

    >>> ff.load_sheet(state.fail("generator"), "cruise").line("battery")["continuous"]["watts"]
    {'low': 100.8, 'high': 100.8}
    >>> ff.load_sheet(state, "cruise", shed=["radio"]).line("generator")["continuous"]["watts"]
    {'low': 0.0, 'high': 0.0}

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    condition: An operating condition of the model.
    one_source_out: Also lose each source and converter that carries load.
    shed: Loads that are off: shed by hand. Nothing else changes by it.

Raises:
    UnknownId: For a condition or load that is none, naming the nearest.
    NotPossible: Where no element has loads, or what is shed has none.
)");
}

py::dict dict_of(const BatteryPhase& p) {
    py::dict d;
    d["what"] = std::string(name_of(p.what));
    d["condition"] = p.condition;
    d["minutes"] = dict_of(p.minutes);
    d["amps"] = dict_of(p.amps);
    d["once_amp_minutes"] = dict_of(p.once_amp_minutes);
    return d;
}

py::dict dict_of(const ShedLoad& s) {
    py::dict d;
    d["id"] = s.id;
    d["name"] = s.name;
    d["amps"] = dict_of(s.amps);
    d["bought_min"] = dict_of(s.bought_min);
    d["total_min"] = dict_of(s.total_min);
    d["off_by"] = s.off_by.empty() ? py::object(py::none()) : py::object(py::str(s.off_by));
    d["also_off"] = s.also_off;
    return d;
}

py::dict dict_of(const BatteryEndurance& b) {
    py::dict d;
    d["id"] = b.id;
    d["name"] = b.name;
    d["status"] = std::string(name_of(b.status));
    d["volts"] = or_none(b.volts);
    d["amp_hours"] = or_none(b.amp_hours);
    d["usable_amp_hours"] = or_none(b.usable_amp_hours);
    d["in_use"] = b.in_use;
    d["minutes"] = dict_of(b.minutes);
    d["reserve_kept"] = truth_or_none(b.reserve_kept);
    d["phases"] = list_of(b.phases, dict_of);
    d["passed"] = truth_or_none(b.passed);
    d["sheds"] = list_of(b.sheds, dict_of);
    d["charger"] = b.charger.empty() ? py::object(py::none()) : py::object(py::str(b.charger));
    d["charger_supplied"] = truth_or_none(b.charger_supplied);
    return d;
}

py::dict dict_of(const GasEndurance& g) {
    py::dict d;
    d["id"] = g.id;
    d["name"] = g.name;
    d["status"] = std::string(name_of(g.status));
    d["bottle"] = g.bottle;
    d["slow_litres"] = or_none(g.slow_litres);
    d["rapid_litres"] = or_none(g.rapid_litres);
    d["slow_applications"] = or_none(g.slow_applications);
    d["rapid_applications"] = or_none(g.rapid_applications);
    d["stated"] = or_none(g.stated);
    d["passed"] = truth_or_none(g.passed);
    d["missing"] = g.missing;
    return d;
}

py::dict shed_record(const std::string& battery, const ShedLoad& s) {
    py::dict d;
    d["battery"] = battery;
    d["id"] = s.id;
    d["name"] = s.name;
    add_columns(d, "amps", s.amps);
    add_columns(d, "bought_min", s.bought_min);
    add_columns(d, "total_min", s.total_min);
    d["off_by"] = s.off_by;
    return d;
}

py::object endurance_frame(const Endurance& e, std::string_view of) {
    if (of == "sheds") {
        const Figure f{0.0, 0.0};
        py::list records;
        for (const BatteryEndurance& b : e.batteries)
            for (const ShedLoad& s : b.sheds) records.append(shed_record(b.id, s));
        return frame(shed_record("", {.amps = f, .bought_min = f, .total_min = f}), records);
    }
    if (of == "gas") return frame(dict_of(GasEndurance{.slow_litres = 0.0, .rapid_litres = 0.0, .slow_applications = 0, .rapid_applications = 0, .stated = 0, .passed = false}), list_of(e.gas, dict_of));
    if (of != "batteries") throw py::value_error("`of` is batteries, sheds or gas.");
    const auto battery = [](const BatteryEndurance& b) {
        py::dict d;
        d["id"] = b.id;
        d["name"] = b.name;
        d["status"] = std::string(name_of(b.status));
        d["in_use"] = b.in_use;
        d["usable_amp_hours"] = or_none(b.usable_amp_hours);
        d["minutes_low"] = or_none(b.minutes.low);
        d["minutes_high"] = or_none(b.minutes.high);
        d["passed"] = truth_or_none(b.passed);
        return d;
    };
    py::list records;
    for (const BatteryEndurance& b : e.batteries) records.append(battery(b));
    return frame(battery({.usable_amp_hours = 0.0, .minutes = {0.0, 0.0}, .passed = false}), records);
}

Sheet sheet_of(const Endurance& e) { return {"Endurance: " + e.outcome.network().model().name, tables(e)}; }

std::string brief(const Endurance& e) {
    std::string words = "<Endurance of " + e.outcome.network().model().name;
    for (const BatteryEndurance& b : e.batteries) words += ", " + b.id + (b.in_use ? ": " + text(b.minutes) + " min" : ": not in use");
    return words + ">";
}

void bind_endurance(py::module_& m) {
    py::class_<Endurance> result(m, "Endurance", R"(How long batteries last, what shedding buys, and what accumulators and bottles give. Prints as a sheet.

    >>> lasts = ff.endurance(state.fail("generator"), "cruise", derating=0.8, charge=1, required_min=30)
    >>> lasts
    <Endurance of One bus, battery: 114.3 min>
    >>> lasts.batteries[0]["passed"]
    True
)");
    add_sheet_methods(result, [](const Endurance& e) { return sheet_of(e); });
    result.def_property_readonly("batteries", [](const Endurance& e) { return list_of(e.batteries, dict_of); }, "One dict a battery, with its phases and what shedding each load buys.")
        .def_property_readonly("gas", [](const Endurance& e) { return list_of(e.gas, dict_of); }, "One dict an accumulator or bottle that says what it holds.")
        .def_readonly("missing", &Endurance::missing, "What is not in the model or was not said, so that figures are not sure.")
        .def_readonly("assumptions", &Endurance::assumptions, "What is assumed.")
        .def_property_readonly("outcome", [](const Endurance& e) { return e.outcome; }, "What holds in the state asked about.")
        .def_property_readonly("tables", [](const Endurance& e) { return tables(e); }, "Batteries, what shedding buys, accumulators and bottles: those that have rows.")
        .def("to_dict", [](const Endurance& e) {
            py::dict d;
            d["batteries"] = list_of(e.batteries, dict_of);
            d["gas"] = list_of(e.gas, dict_of);
            d["missing"] = e.missing;
            d["assumptions"] = e.assumptions;
            return d;
        }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.endurance(state.fail("generator"), "cruise").to_dict()["batteries"][0]["passed"] is None
    True
)")
        .def("to_dataframe", &endurance_frame, py::arg("of") = "batteries", R"(to_dataframe(self, of='batteries')
--

Give one row a battery, a load that could be shed, or an accumulator or bottle, as a pandas data frame.

    >>> ff.endurance(state.fail("generator"), "cruise").to_dataframe("sheds")[["id", "off_by"]].values.tolist()
    [['radio', 'cb_radio'], ['bus_light', '']]

Args:
    of: "batteries", "sheds" or "gas".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__eq__", [](const Endurance& a, const Endurance& b) { return a.outcome.state() == b.outcome.state() && a.batteries == b.batteries && a.gas == b.gas; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Endurance& e) { return text(e); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Endurance& e) { return brief(e); }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("endurance", [](const py::object& asked, const std::optional<std::string>& condition, const std::optional<std::string>& store, const std::optional<std::string>& before, const std::optional<std::string>& landing,
                          std::optional<double> shed_after_min, std::optional<double> landing_min, std::optional<double> derating, std::optional<double> charge, std::optional<double> peukert, std::optional<double> peukert_hours,
                          const std::vector<std::string>& shed, std::optional<double> required_min, std::optional<int> required_applications, double rapid_exponent) {
        const Discharge discharge = discharge_from(peukert, peukert_hours);
        const EnduranceOptions options{.store = store.value_or(""), .condition = condition.value_or(""), .before = before.value_or(""), .landing = landing.value_or(""), .shed_after_min = shed_after_min, .landing_min = landing_min,
                                       .derating = derating, .charge = charge, .discharge = discharge, .shed = shed, .required_min = required_min, .required_applications = required_applications, .rapid_exponent = rapid_exponent};
        return answered(asked, [&](const Outcome& out) { return endurance(out, options); });
    }, py::arg("state"), py::arg("condition") = py::none(), py::kw_only(), py::arg("store") = py::none(), py::arg("before") = py::none(), py::arg("landing") = py::none(), py::arg("shed_after_min") = py::none(),
       py::arg("landing_min") = py::none(), py::arg("derating") = py::none(), py::arg("charge") = py::none(), py::arg("peukert") = py::none(), py::arg("peukert_hours") = py::none(), py::arg("shed") = py::tuple(),
       py::arg("required_min") = py::none(), py::arg("required_applications") = py::none(), py::arg("rapid_exponent") = 1.4,
       R"(endurance(state, condition=None, *, store=None, before=None, landing=None, shed_after_min=None, landing_min=None, derating=None, charge=None, peukert=None, peukert_hours=None, shed=(), required_min=None, required_applications=None, rapid_exponent=1.4)
--

Say how long a battery lasts, what shedding buys, and how often an accumulator or bottle can be used.

Three phases: until loads are shed, after it for as long as the battery lasts, and the landing a reserve is held back
for. Without derating and charge, or where a load is not known, the time is "at most" so long, and no minimum is passed.

    >>> ff.endurance(state.fail("generator"), "cruise", derating=0.8, charge=1, shed_after_min=5, shed=["radio"]).batteries[0]["minutes"]["low"]
    2300.0

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    condition: The operating condition on the battery; needed where there is a battery.
    store: A battery, accumulator or bottle; None for every one.
    before: The condition until loads are shed; None for the same.
    landing: The condition of the landing; None for the same.
    shed_after_min: Minutes until the failure is recognised and loads are shed.
    landing_min: Minutes held back for the landing.
    derating: Usable part of the nameplate capacity, above 0 to 1.
    charge: State of charge, above 0 to 1.
    peukert: Peukert's exponent, for currents at and above the rated one; None for the same ampere-hours at every current.
    peukert_hours: The rate the capacity is given at, in hours; None for a capacity at one ampere.
    shed: Loads that are shed.
    required_min: A minimum to pass, in minutes.
    required_applications: A minimum of applications.
    rapid_exponent: The polytropic exponent of a rapid discharge of gas.

Raises:
    UnknownId: For a condition, store or load that is none, naming the nearest.
    NotPossible: For options out of range.
)");
}

}  // namespace

void bind_load(py::module_& m) {
    bind_load_sheet(m);
    bind_endurance(m);
}

}  // namespace fedfrom::python
