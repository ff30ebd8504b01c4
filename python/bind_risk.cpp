// Probabilities of losing a function.
#include "answers.hpp"
#include "events_from.hpp"
#include "outcome_methods.hpp"

#include <utility>

#include <fedfrom/study/risk.hpp>

namespace fedfrom::python {

namespace {

py::dict dict_of(const FailureRisk& r) {
    py::dict d;
    d["element"] = r.cause.empty() ? py::object(py::str(r.failure.element)) : py::none();
    d["mode"] = r.cause.empty() ? py::object(py::str(r.failure.mode)) : py::none();
    d["cause"] = r.cause.empty() ? py::none() : py::object(py::str(r.cause));
    d["probability"] = r.probability;
    d["birnbaum"] = r.birnbaum;
    d["criticality"] = r.criticality;
    d["fussell_vesely"] = r.fussell_vesely;
    d["achievement"] = r.achievement;
    d["reduction"] = r.reduction;
    return d;
}

py::list parts_of(const Risk& r) {
    py::list list;
    for (const FailureRisk& part : r.parts) list.append(dict_of(part));
    return list;
}

py::list causes_of(const Risk& r) {
    py::list list;
    for (const CauseRisk& cause : r.causes) {
        py::dict d;
        d["kind"] = cause.zone ? "zone" : "common_cause";
        d["id"] = cause.id;
        d["name"] = cause.name;
        d["fails"] = tuples_of(cause.fails);
        d["alone"] = cause.alone;
        d["probability"] = cause.probability;
        list.append(d);
    }
    return list;
}

py::list latent_of(const Risk& r) {
    py::list list;
    for (const LatentFinding& f : r.latent) {
        py::dict d;
        d["rule"] = f.rule == LatentFinding::Rule::residual ? "residual" : "latency";
        d["failure"] = tuple_of(f.failure);
        d["value"] = f.value;
        d["limit"] = f.limit;
        list.append(d);
    }
    return list;
}

py::dict dict_of(const Risk& r) {
    py::dict d;
    d["function"] = r.function;
    d["below"] = std::string(name_of(r.options.below));
    d["hours"] = r.options.hours;
    d["already"] = r.already;
    d["low"] = r.low;
    d["high"] = r.high;
    d["exact"] = r.exact;
    d["flights"] = r.flights;
    d["per_hour_low"] = r.per_hour_low;
    d["per_hour_high"] = r.per_hour_high;
    d["missing"] = tuples_of(r.missing);
    d["parts"] = parts_of(r);
    d["causes"] = causes_of(r);
    d["rare_event"] = r.rare_event;
    d["cut_set_bound"] = r.cut_set_bound;
    d["severity"] = severity_or_none(r.severity);
    d["objective"] = r.objective;
    d["limit"] = r.limit;
    d["meets"] = truth_or_none(r.meets);
    d["single_failure"] = r.single_failure;
    d["latent"] = latent_of(r);
    d["by"] = r.by;
    return d;
}

Objectives objectives_from(const std::optional<std::string>& name) {
    if (!name) return Objectives::none;
    if (*name == "AC 25.1309-1B") return Objectives::ac_25_1309_1b;
    if (*name == "AC 23.1309-1E class I") return Objectives::ac_23_1309_1e_class_1;
    throw py::value_error("`objectives` is \"AC 25.1309-1B\", \"AC 23.1309-1E class I\" or None.");
}

}  // namespace

void bind_risk(py::module_& m) {
    py::class_<Risk> result(m, "Risk", R"(How likely it is that failures take a function below a level. Prints as a table.

    >>> risk = ff.risk(net, "talk", hours=2, within=["battery"])
    >>> risk
    <Risk of talk: 0 per flight hour>
)");
    add_sheet_methods(result, [](const Risk& r) { return Sheet(table(r)); });
    result.def_readonly("function", &Risk::function, "The function.")
        .def_readonly("low", &Risk::low, "Per flight, on average: it is at least so likely.")
        .def_readonly("high", &Risk::high, "Per flight, on average: it is at most so likely; equal to `low` where exact.")
        .def_readonly("exact", &Risk::exact, "It is the exact probability, of all that may happen.")
        .def_readonly("flights", &Risk::flights, "Over how many flights it is averaged: until all checks of hidden failures fall together.")
        .def_readonly("per_hour_low", &Risk::per_hour_low, "Of `low`, by the hours of a flight.")
        .def_readonly("per_hour_high", &Risk::per_hour_high, "Of `high`, by the hours of a flight.")
        .def_readonly("already", &Risk::already, "The function is below the level as it is.")
        .def_property_readonly("missing", [](const Risk& r) { return tuples_of(r.missing); }, "Failures with neither rate nor probability that matter, or, where combinations are settled, any: (element, mode).")
        .def_property_readonly("parts", &parts_of, "One dict a failure, or a common cause, that matters: its probability and importances, most critical first; none where it is not exact, or they were not asked for.")
        .def_property_readonly("causes", &causes_of, "One dict a common cause with a probability, and one a common cause or zone that takes the function below alone; zones last.")
        .def_readonly("rare_event", &Risk::rare_event, "The sum of the cut sets' probabilities, never below the probability; None where it is not exact.")
        .def_readonly("cut_set_bound", &Risk::cut_set_bound, "One less the product of (1 - probability) over the cut sets, never below the probability; None where it is not exact.")
        .def_property_readonly("severity", [](const Risk& r) { return severity_or_none(r.severity); }, "Of the loss, as the author has it.")
        .def_readonly("objective", &Risk::objective, "Per flight hour, for that severity; None where there is none.")
        .def_readonly("limit", &Risk::limit, "What is taken as on the order of the objective: up to three times it, with AC 25.1309-1B.")
        .def_property_readonly("meets", [](const Risk& r) { return truth_or_none(r.meets); }, "Whether the objective is met; None where there is none, or the interval does not decide.")
        .def_readonly("single_failure", &Risk::single_failure, "One failure alone does it, of a catastrophic loss.")
        .def_property_readonly("latent", &latent_of, "Pairs with a hidden failure that are beyond the limits for them, of a catastrophic loss.")
        .def_readonly("by", &Risk::by, "How it was found.")
        .def_property_readonly("table", [](const Risk& r) { return table(r); }, "The table that is printed.")
        .def("to_dataframe", [](const Risk& r) { return frame(dict_of(FailureRisk{}), parts_of(r)); }, R"(to_dataframe(self)
--

Give `parts` as a pandas data frame.

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const Risk& r) { return dict_of(r); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.risk(net, "talk", hours=2, within=["bus"]).to_dict()["missing"]
    [('bus', 'loss')]
)")
        .def("__eq__", [](const Risk& a, const Risk& b) {
            return a.before.state() == b.before.state() && a.function == b.function && a.low == b.low && a.high == b.high && a.parts == b.parts && a.causes == b.causes && a.missing == b.missing && a.latent == b.latent;
        }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Risk& r) { return text(r); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Risk& r) {
            const std::string value = r.exact ? number_text(r.per_hour_low) : "between " + number_text(r.per_hour_low) + " and " + number_text(r.per_hour_high);
            return "<Risk of " + r.function + ": " + value + " per flight hour>";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its table.");

    m.def("risk", [](const py::object& asked, const std::string& function, double hours, const std::string& below, const py::object& within, bool causes, bool parts, const std::optional<std::string>& objectives, std::uint32_t nodes, double seconds) {
        RiskOptions options{.hours = hours, .below = below_from(below), .causes = causes, .parts = parts, .objectives = objectives_from(objectives), .seconds = seconds};
        if (!within.is_none()) options.within = failures_from(within);
        options.budget.nodes = nodes;
        return answered(asked, [&](const Outcome& out) { return risk(out.state(), function, options); });
    }, py::arg("state"), py::arg("function"), py::kw_only(), py::arg("hours"), py::arg("below") = "normal", py::arg("within") = py::none(), py::arg("causes") = true, py::arg("parts") = true, py::arg("objectives") = py::none(),
       py::arg("nodes") = Budget{}.nodes, py::arg("seconds") = 0.0, R"(risk(state, function, *, hours, below="normal", within=None, causes=True, parts=True, objectives=None, nodes=4194304, seconds=0.0)
--

Say how likely it is that failures take a function below a level, on a flight and per flight hour.

Failures are independent; hidden ones grow likelier from flight to flight until they are checked, and the result is the average. Exact where the
function is known for all combinations at once (see `cut_sets`), else an interval that holds. Nothing is assumed of failures without a rate.

    >>> ff.risk(net, "talk", hours=2, within=["battery", "generator"]).missing
    [('battery', 'loss'), ('generator', 'loss')]
    >>> ff.risk(net, "talk", hours=2, parts=False).parts
    []

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    function: The function.
    hours: Of a flight, on average.
    below: normal (it is not normal any more), or degraded (it is lost).
    within: The only failures that may happen, and no common causes; None: every failure not present.
    causes: Also the author's common causes. One with a rate or a probability is one more thing that happens by itself and brings all of its failures.
    parts: Also each failure's part in it, and the bounds from the minimal cut sets, which may take more than the probability itself.
    objectives: Whose objective to set it against: "AC 25.1309-1B" or "AC 23.1309-1E class I"; None: nobody's.
    nodes: A budget for the diagram of all combinations.
    seconds: A budget for settling combinations; 0: none.

Raises:
    UnknownId: Naming the nearest function or element.
    NotPossible: For a function that is not fitted, or where the work is too much.
)");
}

}  // namespace fedfrom::python
