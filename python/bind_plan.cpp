// What a state means for the landing.
#include "answers.hpp"
#include "events_from.hpp"
#include "sheet_methods.hpp"

#include <utility>

#include <fedfrom/study/plan.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

py::object number_or_none(std::optional<double> value) { return value ? py::object(py::float_(*value)) : py::object(py::none()); }

py::dict dict_of(const PlannedEffect& e) {
    py::list roots;
    for (const RootCause& root : e.roots) roots.append(dict_of(root));
    py::dict d;
    d["function"] = e.function;
    d["mode"] = e.mode;
    d["mode_name"] = e.mode_name;
    d["value"] = e.value;
    d["counted"] = e.counted;
    d["instead"] = e.instead;
    d["roots"] = roots;
    return d;
}

py::dict dict_of(const PlannedQuantity& q) {
    constexpr std::array words{"multiply", "add", "max"};
    py::list effects;
    for (const PlannedEffect& e : q.effects) effects.append(dict_of(e));
    py::dict d;
    d["quantity"] = q.quantity;
    d["name"] = q.name;
    d["unit"] = q.unit;
    d["combine"] = words[static_cast<std::size_t>(q.combine)];
    d["once_per_root"] = q.once_per_root;
    d["effects"] = effects;
    d["effects_alone"] = number_or_none(q.effects_alone);
    d["rules"] = q.rules;
    d["value"] = number_or_none(q.value);
    d["unknown"] = q.unknown;
    return d;
}

py::dict dict_of(const OperatingRule& r) {
    py::dict d;
    d["rule"] = r.name;
    d["factor"] = r.factor;
    d["source"] = r.source;
    return d;
}

py::dict dict_of(const LandingLine& l) {
    py::dict d = dict_of(l.rule);
    d["required_m"] = l.required_m;
    d["required_ft"] = l.required_ft;
    d["margin_m"] = number_or_none(l.margin_m);
    d["margin_ft"] = number_or_none(l.margin_ft);
    return d;
}

py::list quantities_of(const Plan& p) {
    py::list list;
    for (const PlannedQuantity& q : p.quantities) list.append(dict_of(q));
    return list;
}

py::list lines_of(const Plan& p) {
    py::list list;
    if (p.landing)
        for (const LandingLine& l : p.landing->lines) list.append(dict_of(l));
    return list;
}

py::object landing_of(const Plan& p) {
    if (!p.landing) return py::none();
    py::dict d;
    d["base_m"] = p.landing->base_m;
    d["base_ft"] = p.landing->base_ft;
    d["actual_m"] = number_or_none(p.landing->actual_m);
    d["actual_ft"] = number_or_none(p.landing->actual_ft);
    d["available_m"] = number_or_none(p.landing->available_m);
    d["available_ft"] = number_or_none(p.landing->available_ft);
    d["lines"] = lines_of(p);
    return d;
}

py::list card_of(const Plan& p) {
    py::list card;
    for (const CardLine& line : p.card) {
        py::list functions;
        for (const FunctionLine& f : line.functions) functions.append(dict_of(f));
        py::dict d;
        d["heading"] = line.heading;
        d["functions"] = functions;
        card.append(d);
    }
    return card;
}

py::object plan_frame(const Plan& p, std::string_view of) {
    if (of == "landing") {
        py::dict blank = dict_of(LandingLine{});
        for (const char* margin : {"margin_m", "margin_ft"}) blank[margin] = 0.0;
        return frame(blank, lines_of(p));
    }
    if (of == "quantities") {
        py::dict blank = dict_of(PlannedQuantity{});
        py::list records;
        for (const char* value : {"effects_alone", "value"}) blank[value] = 0.0;
        blank["effects"] = 0;
        for (const PlannedQuantity& q : p.quantities) {
            py::dict record = dict_of(q);
            record["effects"] = q.effects.size();
            records.append(record);
        }
        return frame(blank, records);
    }
    if (of != "effects") throw py::value_error("`of` is effects, quantities or landing.");
    const auto record = [](const PlannedQuantity& q, const PlannedEffect& e) {
        py::dict d;
        d["quantity"] = q.quantity;
        d["unit"] = q.unit;
        for (const auto& [key, value] : dict_of(e)) d[key] = value;
        py::list roots;
        for (const RootCause& r : e.roots) roots.append(r.text);
        d["roots"] = roots;
        return d;
    };
    py::list records;
    for (const PlannedQuantity& q : p.quantities)
        for (const PlannedEffect& e : q.effects) records.append(record(q, e));
    return frame(record({}, {}), records);
}

Sheet sheet_of(const Plan& p) { return {"Plan: " + p.outcome.network().model().name, tables(p)}; }

/// A name of those known, or (name, factor) of the caller's own.
std::vector<OperatingRule> rules_from(const py::object& rules) {
    constexpr const char* expected = "`rules` is a list of names, as in operating_rules(), or of (name, factor) of your own.";
    std::vector<OperatingRule> list;
    if (rules.is_none()) return list;
    if (py::isinstance<py::str>(rules)) return {operating_rule(rules.cast<std::string>())};
    for (const py::handle rule : converted<py::iterable>(rules, expected)) {
        if (py::isinstance<py::str>(rule)) {
            list.push_back(operating_rule(rule.cast<std::string>()));
            continue;
        }
        auto [name, factor] = converted<std::pair<std::string, double>>(rule, expected);
        list.push_back({std::move(name), factor, {}});
    }
    return list;
}

std::vector<CardHeading> card_from(const py::object& card) {
    constexpr const char* expected = "`card` is {heading: a group or function, or a list of them}.";
    std::vector<CardHeading> headings;
    if (card.is_none()) return headings;
    for (const auto& [heading, of] : converted<py::dict>(card, expected))
        headings.push_back({converted<std::string>(heading, expected), py::isinstance<py::str>(of) ? std::vector{of.cast<std::string>()} : converted<std::vector<std::string>>(of, expected)});
    return headings;
}

/// Metres, of the one that is given.
std::optional<double> metres(std::optional<double> m, std::optional<double> ft, const char* what) {
    if (m && ft) throw py::value_error(std::string("Give ") + what + "_m or " + what + "_ft, not both.");
    return ft ? std::optional(*ft * metres_a_foot) : m;
}

}  // namespace

void bind_plan(py::module_& m) {
    py::class_<Plan> result(m, "Plan", R"(What a state means for the landing: effects combined, each with its root causes, and the distance. Prints as a sheet.

    >>> brakes = ff.Network(ff.Model(name="Brakes", quantities={"landing_distance": {"unit": "factor"}},
    ...     elements={"line": {"kind": "manifold"}, "accumulator": {"kind": "accumulator"}},
    ...     functions={"braking": {"group": "stop", "modes": {
    ...         "line": {"rank": 1, "when": "line"},
    ...         "accumulator": {"rank": 2, "when": "accumulator", "effects": {"landing_distance": 1.6}}}}}))
    >>> plan = ff.plan(brakes.running_state().fail("line"), quantity="landing_distance", base_m=500, available_m=1000, rules="60 percent")
    >>> plan
    <Plan of Brakes: landing_distance 1.6; landing 800 m>
    >>> [(line["rule"], round(line["required_m"]), round(line["margin_m"])) for line in plan.landing["lines"]]
    [('actual distance, no operating factor', 800, 200), ('60 percent', 1333, -333)]
)");
    add_sheet_methods(result, [](const Plan& p) { return sheet_of(p); });
    result.def_property_readonly("quantities", &quantities_of, "One dict a quantity of the model: its effects, each with its root causes, and what they come to.")
        .def_property_readonly("landing", &landing_of, "The landing distance, in metres and feet, and a line for each rule; None where it was not asked for.")
        .def_property_readonly("card", &card_of, "The approach and landing card: headings, each with its functions.")
        .def_property_readonly("outcome", [](const Plan& p) { return p.outcome; }, "The outcome it was made of.")
        .def_property_readonly("tables", [](const Plan& p) { return tables(p); }, "The card, the effects, the quantities, and the landing distance where asked for.")
        .def("to_dict", [](const Plan& p) {
            py::dict d;
            d["quantities"] = quantities_of(p);
            d["landing"] = landing_of(p);
            d["card"] = card_of(p);
            return d;
        }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.plan(state).to_dict()
    {'quantities': [], 'landing': None, 'card': []}
)")
        .def("to_dataframe", &plan_frame, py::arg("of") = "effects", R"(to_dataframe(self, of='effects')
--

Give one row an effect, a quantity, or a line of the landing distance, as a pandas data frame.

    >>> ff.plan(state).to_dataframe("landing").columns.tolist()
    ['rule', 'factor', 'source', 'required_m', 'required_ft', 'margin_m', 'margin_ft']

Args:
    of: "effects", "quantities" or "landing".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__eq__", [](const Plan& a, const Plan& b) { return a.outcome.state() == b.outcome.state() && a.quantities == b.quantities && a.landing == b.landing && a.card == b.card; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Plan& p) { return text(p); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Plan& p) {
            std::string words;
            for (const PlannedQuantity& q : p.quantities) words += (words.empty() ? "" : ", ") + q.quantity + " " + (!q.unknown.empty() ? "unknown" : q.value ? number_text(*q.value) : "no effect");
            if (p.landing) words += "; landing " + (p.landing->actual_m ? number_text(*p.landing->actual_m) + " m" : "unknown");
            return "<Plan of " + p.outcome.network().model().name + ": " + (words.empty() ? "no quantities" : words) + ">";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("operating_rules", [] {
        py::list list;
        for (const OperatingRule& rule : operating_rules()) list.append(dict_of(rule));
        return list;
    }, R"(operating_rules()
--

Say which operating rules `plan` knows by name: what a landing distance is multiplied by, and where that is published.

    >>> [(rule["rule"], round(rule["factor"], 3)) for rule in ff.operating_rules()]
    [('60 percent', 1.667), ('70 percent', 1.429), ('80 percent', 1.25), ('60 percent wet', 1.917), ('115 percent at arrival', 1.15)]
)");

    m.def("plan", [](const py::object& asked, const std::optional<std::string>& quantity, std::optional<double> base_m, std::optional<double> base_ft,
                     std::optional<double> available_m, std::optional<double> available_ft, const py::object& rules, const py::object& card) {
        if (py::isinstance<py::bytes>(rules)) throw py::reference_cast_error();  // asks pybind11 for the other overload
        PlanOptions options{.landing = {}, .card = card_from(card)};
        const auto base = metres(base_m, base_ft, "base"), available = metres(available_m, available_ft, "available");
        std::vector<OperatingRule> named = rules_from(rules);
        if (quantity && base) options.landing = Landing{*quantity, *base, available, std::move(named)};
        else if (quantity || base || available || !named.empty())
            throw py::value_error("A landing distance needs `quantity`, which changes it, and `base_m` or `base_ft`, which is the distance with nothing failed.");
        return answered(asked, [&](const Outcome& out) { return plan(out, options); });
    }, py::arg("state"), py::kw_only(), py::arg("quantity") = py::none(), py::arg("base_m") = py::none(), py::arg("base_ft") = py::none(), py::arg("available_m") = py::none(),
       py::arg("available_ft") = py::none(), py::arg("rules") = py::none(), py::arg("card") = py::none(),
       R"(plan(state, *, quantity=None, base_m=None, base_ft=None, available_m=None, available_ft=None, rules=None, card=None)
--

Combine the effects of a state as the model's author says, each with its root causes, and hold the landing distance against the runway.

Effects are those of the mode each function is in. They are multiplied or added, or the greatest is taken; where a quantity
counts once per root, an effect that shares a root cause with a greater one is left out; a rule of the model that holds
replaces them. Where a function with effects is unknown, or lost without a rule that says what then, there is no value, and
`unknown` says why. No operating factor is applied that is not named. It is no performance data.

    >>> ff.plan(state).quantities
    []

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    quantity: The quantity that changes the landing distance: in factor it multiplies, in percent, m or ft it adds.
    base_m, base_ft: The actual distance with nothing failed, from the book, in metres or in feet.
    available_m, available_ft: The runway available, in metres or in feet.
    rules: Operating rules by name (see `operating_rules`), or (name, factor) of your own, a line each.
    card: {heading: group or function, or a list of them}, as for stop, steer, clear the runway, shut down, evacuate. None: each
        group that has a function with an effect on a quantity.

Raises:
    UnknownId: For a quantity, rule, group or function there is none of, naming the nearest.
    NotPossible: For a distance that is none, a factor below 1, or a quantity whose unit changes no distance.
)");
}

}  // namespace fedfrom::python
