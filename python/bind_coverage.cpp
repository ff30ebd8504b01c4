// What a set of checks reveals.
#include "answers.hpp"
#include "events_from.hpp"
#include "sheet_methods.hpp"

#include <fedfrom/model/nearest.hpp>
#include <fedfrom/study/check_coverage.hpp>

namespace fedfrom::python {

namespace {

using Pair = std::pair<std::string, std::string>;

constexpr const char* checks_are = "`checks` are ids of the model's checks, or a dict of own ones, {id: {\"name\": …, \"steps\": [{\"do\": {\"set\": {…}, \"given\": {…}}, \"look_at\": id, \"expect\": text}]}}.";

Demand act_from(const py::handle& value) {
    Demand act;
    for (const auto& [key, part] : dict_from(value, checks_are)) {
        const auto name = converted<std::string>(key, checks_are);
        if (name == "set") act.set = converted<std::map<std::string, std::string>>(part, checks_are);
        else if (name == "given") act.given = converted<std::map<std::string, bool>>(part, checks_are);
        else throw py::value_error("`" + name + "` is not part of what a step does. " + checks_are);
    }
    return act;
}

CheckStep check_step_from(const py::handle& value) {
    CheckStep step;
    for (const auto& [key, part] : dict_from(value, checks_are)) {
        const auto name = converted<std::string>(key, checks_are);
        if (name == "do") step.act = act_from(part);
        else if (name == "look_at") step.look_at = converted<std::string>(part, checks_are);
        else if (name == "expect") step.expect = converted<std::string>(part, checks_are);
        else throw py::value_error("`" + name + "` is not part of a step. " + checks_are);
    }
    if (step.look_at.empty() && !step.expect.empty()) throw py::value_error("`expect` needs `look_at` beside it.");
    return step;
}

Check check_from(const py::handle& value) {
    Check check;
    for (const auto& [key, part] : dict_from(value, checks_are)) {
        const auto name = converted<std::string>(key, checks_are);
        if (name == "name") check.name = converted<std::string>(part, checks_are);
        else if (name == "steps")
            for (const py::handle step : converted<py::iterable>(part, checks_are)) check.steps.push_back(check_step_from(step));
        else throw py::value_error("`" + name + "` is not part of a check. " + checks_are);
    }
    return check;
}

std::optional<std::map<std::string, Check>> checks_from(const py::object& value, const Model& model) {
    if (value.is_none()) return std::nullopt;
    std::map<std::string, Check> checks;
    if (py::isinstance<py::dict>(value)) {
        for (const auto& [id, check] : value.cast<py::dict>()) checks[converted<std::string>(id, checks_are)] = check_from(check);
        return checks;
    }
    const auto asked = py::isinstance<py::str>(value) ? std::vector<std::string>{value.cast<std::string>()} : converted<std::vector<std::string>>(value, checks_are);
    for (const std::string& id : asked) {
        const auto it = model.checks.find(id);
        std::vector<std::string_view> known;
        for (const auto& [other, check] : model.checks) known.push_back(other);
        if (it == model.checks.end()) throw UnknownId("There is no check `" + id + "`." + did_you_mean(id, known));
        checks.insert(*it);
    }
    return checks;
}

Pair pair_of(const Coverage& c, std::size_t failure) { return {c.failures[failure].element, c.failures[failure].mode}; }

std::vector<Pair> pairs_of(const Coverage& c, const std::vector<std::size_t>& failures) {
    std::vector<Pair> list;
    for (const std::size_t f : failures) list.push_back(pair_of(c, f));
    return list;
}

py::dict dict_of(const Demand& act) {
    py::dict d;
    if (!act.set.empty()) d["set"] = act.set;
    if (!act.given.empty()) d["given"] = act.given;
    return d;
}

py::dict dict_of(const Coverage& c, const CoverageStep& s) {
    py::dict d, wrong;
    for (const WrongReading& w : s.wrong) wrong[py::str(w.reading)] = pairs_of(c, w.failures);
    d["check"] = s.check;
    d["number"] = s.number;
    d["do"] = dict_of(s.act);
    d["look_at"] = s.look_at;
    d["expect"] = s.expect;
    d["reads"] = word_or_none(s.reads);
    d["met"] = s.met;
    d["wrong"] = wrong;
    d["unknown"] = pairs_of(c, s.unknown);
    d["proves"] = s.proves;
    return d;
}

py::dict dict_of(const CoverageFailure& f) {
    py::dict d;
    d["element"] = f.element;
    d["mode"] = f.mode;
    d["checks"] = f.checks;
    d["shows"] = f.shows;
    return d;
}

py::dict dict_of(const Coverage& c, const Path& p) {
    py::dict d;
    std::vector<std::pair<std::string, std::size_t>> proved;
    for (const std::size_t s : p.proved_by) proved.emplace_back(c.steps[s].check, c.steps[s].number);
    d["element"] = p.element;
    d["port"] = p.port;
    d["upstream"] = p.upstream;
    d["through"] = p.through;
    d["tie"] = p.tie;
    d["proved_by"] = proved;
    d["shows"] = p.shows;
    return d;
}

py::list step_dicts(const Coverage& c) {
    py::list list;
    for (const CoverageStep& s : c.steps) list.append(dict_of(c, s));
    return list;
}
py::list failure_dicts(const Coverage& c) {
    py::list list;
    for (const CoverageFailure& f : c.failures) list.append(dict_of(f));
    return list;
}
py::list path_dicts(const Coverage& c) {
    py::list list;
    for (const Path& p : c.paths) list.append(dict_of(c, p));
    return list;
}
std::vector<std::vector<Pair>> alike_pairs(const Coverage& c) {
    std::vector<std::vector<Pair>> list;
    for (const auto& group : c.alike) list.push_back(pairs_of(c, group));
    return list;
}

py::object coverage_frame(const Coverage& c, std::string_view of) {
    if (of == "failures") return frame(dict_of(CoverageFailure{}), failure_dicts(c));
    if (of == "paths") {
        const auto record = [&](const Path& p) {
            py::dict d = dict_of(c, p);
            std::vector<std::string> proved;
            for (const std::size_t s : p.proved_by) proved.push_back(c.steps[s].check + " " + std::to_string(c.steps[s].number));
            d["proved_by"] = proved;
            return d;
        };
        py::list records;
        for (const Path& p : c.paths) records.append(record(p));
        return frame(record(Path{}), records);
    }
    if (of != "readings") throw py::value_error("`of` is failures, readings or paths.");
    const auto record = [](const CoverageStep& s, const std::string& reading, const Pair& failure) {
        py::dict d;
        d["check"] = s.check;
        d["number"] = s.number;
        d["look_at"] = s.look_at;
        d["expect"] = s.expect;
        d["reading"] = reading;
        d["element"] = failure.first;
        d["mode"] = failure.second;
        return d;
    };
    py::list records;
    for (const CoverageStep& s : c.steps)
        for (const WrongReading& w : s.wrong)
            for (const std::size_t f : w.failures) records.append(record(s, w.reading, pair_of(c, f)));
    return frame(record({}, {}, {}), records);
}

}  // namespace

void bind_coverage(py::module_& m) {
    py::class_<Coverage> result(m, "Coverage", R"(What a set of checks reveals, what stays hidden, what looks alike, which path each step proves. Prints as a sheet.

    >>> checks = {"light": {"steps": [{"look_at": "bus_light", "expect": "out"}]}}
    >>> coverage = ff.check_coverage(net, checks)
    >>> coverage
    <Coverage of One bus: 1 checks reveal 2 of 9 failures>
    >>> coverage.hidden
    [('battery', 'loss'), ('bus', 'loss'), ('bus', 'short'), ('bus_light', 'loss'), ('cb_radio', 'loss'), ('cb_radio', 'no_trip'), ('radio', 'loss')]
)");
    add_sheet_methods(result, [](const Coverage& c) { return Sheet{"What the checks reveal: " + c.before.network().model().name, tables(c)}; });
    result.def_property_readonly("steps", &step_dicts, "One dict a step: what it reads, which wrong reading comes from which failures, which paths it proves.")
        .def_property_readonly("failures", &failure_dicts, "One dict a failure: the checks that reveal it, and what shows it without any.")
        .def_property_readonly("hidden", [](const Coverage& c) { return pairs_of(c, c.hidden()); }, "Failures that no check reveals, as (element, mode).")
        .def_property_readonly("silent", [](const Coverage& c) { return pairs_of(c, c.silent()); }, "Those of them that no indication shows by itself either.")
        .def_property_readonly("alike", &alike_pairs, "Groups of revealed failures that read the same in every step of every check.")
        .def_readonly("adds_nothing", &Coverage::adds_nothing, "Checks that reveal nothing that the others together do not.")
        .def_readonly("smallest", &Coverage::smallest, "A smallest set of checks that reveals the same.")
        .def_readonly("smallest_exact", &Coverage::smallest_exact, "False where the search for it ran out, and there may be a smaller one.")
        .def_property_readonly("paths", &path_dicts, "One dict a feed or tie of a port with several: the steps that prove it, and what shows where it is cut.")
        .def_property_readonly("before", [](const Coverage& c) { return c.before; }, "The outcome as things stand.")
        .def_property_readonly("tables", [](const Coverage& c) { return tables(c); }, "Steps, paths, what no check reveals, what looks alike, failures and checks.")
        .def("to_dict", [](const Coverage& c) {
            py::dict d;
            d["steps"] = step_dicts(c);
            d["failures"] = failure_dicts(c);
            d["hidden"] = pairs_of(c, c.hidden());
            d["silent"] = pairs_of(c, c.silent());
            d["alike"] = alike_pairs(c);
            d["adds_nothing"] = c.adds_nothing;
            d["smallest"] = c.smallest;
            d["smallest_exact"] = c.smallest_exact;
            d["paths"] = path_dicts(c);
            return d;
        }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.check_coverage(net, []).to_dict()["paths"][0]["upstream"]
    'generator'
)")
        .def("to_dataframe", &coverage_frame, py::arg("of") = "failures", R"(to_dataframe(self, of='failures')
--

Give one row a failure, a failure and step that reads wrong with it, or a path, as a pandas data frame.

    >>> ff.check_coverage(net, []).to_dataframe()[["element", "mode"]].values.tolist()[0]
    ['battery', 'loss']

Args:
    of: "failures", "readings" or "paths".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__len__", [](const Coverage& c) { return c.failures.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const Coverage& c) { return py::iter(failure_dicts(c)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const Coverage& a, const Coverage& b) { return a.before.state() == b.before.state() && a.checks == b.checks; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Coverage& c) { return text(c); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Coverage& c) {
            return "<Coverage of " + c.before.network().model().name + ": " + std::to_string(c.checks.size()) + " checks reveal " + std::to_string(c.failures.size() - c.hidden().size()) + " of " +
                   std::to_string(c.failures.size()) + " failures>";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("check_coverage", [](const py::object& asked, const py::object& checks) {
        const Outcome out = answered(asked, [](const Outcome& settled) { return settled; });
        const CoverageOptions options{.checks = checks_from(checks, out.network().model())};
        const py::gil_scoped_release released;
        return check_coverage(out.state(), options);
    }, py::arg("state"), py::arg("checks") = py::none(), R"(check_coverage(state, checks=None)
--

Say which single failures a set of checks reveals, which stay hidden, which look alike, and which path each step proves.

A failure is revealed by a step that then surely reads other than expected. A step whose expectation the aircraft does not
meet as it stands proves nothing (`met` is False). A path is one of several feeds or ties of a port; a step proves it where its reading
would be wrong with that path alone cut.

    >>> ff.check_coverage(net, {"light": {"steps": [{"look_at": "bus_light", "expect": "out"}]}}).steps[0]["wrong"]
    {'lit': [('generator', 'loss'), ('generator', 'short')]}

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    checks: Ids of the model's checks, or a dict of own ones, written as in a model; None: all of the model's.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: For a check that sets what nobody sets, or expects what is never shown.
)");
}

}  // namespace fedfrom::python
