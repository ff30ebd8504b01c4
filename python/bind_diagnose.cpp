// From symptoms to candidates, and the same as a quiz.
#include "answers.hpp"
#include "effect_dicts.hpp"
#include "events_from.hpp"
#include "sheet_methods.hpp"
#include "watch.hpp"

#include <fedfrom/study/diagnose.hpp>
#include <fedfrom/study/quiz.hpp>

namespace fedfrom::python {

namespace {

constexpr const char* an_observation_is = "An observation is (id, seen), (id, seen, {\"set\": {…}, \"given\": {…}}), or a dict of id, seen, set and given.";

void put_when(Demand& when, std::string_view key, const py::handle& value) {
    if (key == "set") when.set = converted<std::map<std::string, std::string>>(value, an_observation_is);
    else if (key == "given") when.given = converted<std::map<std::string, bool>>(value, an_observation_is);
    else throw py::value_error("`" + std::string(key) + "` is not part of an observation. " + an_observation_is);
}

Observation observation_from(const py::handle& value) {
    Observation o;
    if (py::isinstance<py::dict>(value)) {
        for (const auto& [key, part] : value.cast<py::dict>()) {
            const auto name = converted<std::string>(key, an_observation_is);
            if (name == "id") o.id = converted<std::string>(part, an_observation_is);
            else if (name == "seen") o.seen = converted<std::string>(part, an_observation_is);
            else put_when(o.when, name, part);
        }
        return o;
    }
    const auto parts = converted<py::sequence>(value, an_observation_is);
    if (py::isinstance<py::str>(value) || py::len(parts) < 2 || py::len(parts) > 3) throw py::value_error(an_observation_is);
    o.id = converted<std::string>(parts[0], an_observation_is);
    o.seen = converted<std::string>(parts[1], an_observation_is);
    if (py::len(parts) == 3)
        for (const auto& [key, part] : dict_from(parts[2], an_observation_is)) put_when(o.when, converted<std::string>(key, an_observation_is), part);
    return o;
}

/// A list of observations, or a dict {id: seen} of what is seen as things stand.
std::vector<Observation> observations_from(const py::object& values) {
    std::vector<Observation> list;
    if (py::isinstance<py::dict>(values)) {
        for (const auto& [id, seen] : values.cast<py::dict>()) list.push_back({.id = converted<std::string>(id, an_observation_is), .seen = converted<std::string>(seen, an_observation_is)});
        return list;
    }
    for (const py::handle value : converted<py::iterable>(values, an_observation_is)) list.push_back(observation_from(value));
    return list;
}

py::dict dict_of(const Observation& o) {
    py::dict d;
    d["id"] = o.id;
    d["seen"] = o.seen;
    d["set"] = o.when.set;
    d["given"] = o.when.given;
    return d;
}

py::dict dict_of(const Candidate& x) {
    py::dict d;
    d["failures"] = tuples_of(x.failures);
    d["contradicts"] = x.contradicts;
    d["undecided"] = x.undecided;
    d["likely"] = x.likely;
    d["missing"] = tuples_of(x.missing);
    return d;
}

py::dict dict_of(const NextLook& x) {
    py::dict d;
    d["id"] = x.id;
    d["set"] = x.with.set;
    d["given"] = x.with.given;
    d["bits"] = x.bits;
    d["worse"] = x.worse;
    py::list results;
    for (const NextLook::Result& r : x.results) {
        py::dict result;
        result["reading"] = r.reading;
        result["share"] = r.share;
        result["leaves"] = r.leaves;
        results.append(result);
    }
    d["results"] = results;
    return d;
}

py::dict to_dict(const Diagnosis& d) {
    py::dict all;
    all["observations"] = list_of(d.observations, dict_of);
    all["unexpected"] = d.unexpected;
    all["undecided"] = d.undecided;
    all["candidates"] = list_of(d.candidates, dict_of);
    all["found"] = d.found;
    all["looks"] = list_of(d.looks, dict_of);
    all["considered"] = d.considered;
    all["by_rates"] = d.by_rates;
    all["combinations"] = d.combinations;
    all["complete"] = d.complete;
    all["complete_to"] = d.complete_to;
    return all;
}

py::object diagnosis_frame(const Diagnosis& d, std::string_view of) {
    const auto words = [](const std::vector<FailureRef>& failures) {
        std::vector<std::string> list;
        for (const FailureRef& f : failures) list.push_back(f.element + " " + f.mode);
        return list;
    };
    if (of == "candidates") {
        const auto record = [&](const Candidate& x) {
            py::dict one;
            one["failures"] = words(x.failures);
            one["size"] = x.failures.size();
            one["contradicts"] = x.contradicts.size();
            one["undecided"] = x.undecided.size();
            one["likely"] = x.likely;
            one["missing"] = words(x.missing);
            return one;
        };
        Candidate blank;
        blank.likely = 0.0;
        py::list records;
        for (const Candidate& x : d.candidates) records.append(record(x));
        return frame(record(blank), records);
    }
    if (of != "looks") throw py::value_error("`of` is candidates or looks.");
    const auto record = [](const NextLook& x, const NextLook::Result& r) {
        py::dict one;
        one["id"] = x.id;
        std::vector<std::string> set;
        for (const auto& [id, position] : x.with.set) set.push_back(id + " " + position);
        one["set"] = set;
        one["bits"] = x.bits;
        one["worse"] = x.worse;
        one["reading"] = r.reading;
        one["share"] = r.share;
        one["leaves"] = r.leaves.size();
        return one;
    };
    py::list records;
    for (const NextLook& x : d.looks)
        for (const NextLook::Result& r : x.results) records.append(record(x, r));
    return frame(record({}, {}), records);
}

std::map<std::pair<std::string, std::string>, double> prior_from(const py::object& prior) {
    std::map<std::pair<std::string, std::string>, double> map;
    if (prior.is_none()) return map;
    constexpr const char* a_prior_is = "`prior` is {\"id\": number} or {(\"id\", \"mode\"): number}.";
    for (const auto& [failure, how] : dict_from(prior, a_prior_is)) {
        const FailureRef f = failure_from(failure);
        map[{f.element, f.mode}] = converted<double>(how, a_prior_is);
    }
    return map;
}

void bind_diagnosis(py::module_& m) {
    py::class_<Diagnosis> result(m, "Diagnosis", R"(Which failures explain what was seen, and what to look at next. Prints as a sheet.

    >>> diagnosis = ff.diagnose(net, {"radio": "dead", "bus_light": "out"})
    >>> diagnosis
    <Diagnosis of One bus: 6 sets explain all, 1 contradict one>
    >>> [c["failures"] for c in diagnosis][0]
    [('bus', 'loss')]
)");
    add_sheet_methods(result, [](const Diagnosis& d) { return Sheet{"Diagnosis: " + d.before.network().model().name, tables(d)}; });
    result.def_property_readonly("candidates", [](const Diagnosis& d) { return list_of(d.candidates, dict_of); }, "One dict a set: fewest contradictions first, then what surely explains, smallest, most likely, ids.")
        .def_property_readonly("looks", [](const Diagnosis& d) { return list_of(d.looks, dict_of); }, "What tells the candidates apart best, with what each result would leave.")
        .def_property_readonly("observations", [](const Diagnosis& d) { return list_of(d.observations, dict_of); }, "What was seen, in the order given.")
        .def_readonly("unexpected", &Diagnosis::unexpected, "Places of observations that the aircraft as it stands contradicts.")
        .def_readonly("undecided", &Diagnosis::undecided, "Places of those whose prediction is unknown as it stands.")
        .def_readonly("found", &Diagnosis::found, "How many sets there are with no and with one contradiction, listed or not.")
        .def_readonly("considered", &Diagnosis::considered, "How many candidates the next looks tell apart.")
        .def_readonly("by_rates", &Diagnosis::by_rates, "Whether these were weighed by rates; False: equally, since rates are missing.")
        .def_readonly("combinations", &Diagnosis::combinations, "How many sets were examined; those that can reach nothing observed are not.")
        .def_readonly("complete", &Diagnosis::complete, "False where it was cancelled or out of budget; what is listed holds all the same.")
        .def_readonly("complete_to", &Diagnosis::complete_to, "Every set of up to so many failures was examined.")
        .def_property_readonly("before", [](const Diagnosis& d) { return d.before; }, "The outcome as things stand.")
        .def_property_readonly("tables", [](const Diagnosis& d) { return tables(d); }, "What was seen, what explains it, what to look at next.")
        .def("to_dict", [](const Diagnosis& d) { return to_dict(d); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.diagnose(net, {"radio": "dead"}).to_dict()["unexpected"]
    [0]
)")
        .def("to_dataframe", &diagnosis_frame, py::arg("of") = "candidates", R"(to_dataframe(self, of='candidates')
--

Give one row a candidate, or a next look and result, as a pandas data frame.

    >>> len(ff.diagnose(net, {"radio": "dead"}, mistaken=False).to_dataframe())
    6

Args:
    of: "candidates" or "looks".

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__len__", [](const Diagnosis& d) { return d.candidates.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const Diagnosis& d) { return py::iter(list_of(d.candidates, dict_of)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const Diagnosis& a, const Diagnosis& b) { return a.before.state() == b.before.state() && a.observations == b.observations && a.candidates == b.candidates && a.looks == b.looks; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Diagnosis& d) { return text(d); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Diagnosis& d) {
            return "<Diagnosis of " + d.before.network().model().name + ": " + std::to_string(d.found[0]) + " sets explain all, " + std::to_string(d.found[1]) + " contradict one" + (d.complete ? ">" : ", incomplete>");
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its tables.");

    m.def("diagnose", [](const py::object& asked, const py::object& observations, const py::object& prior, int most_failures, const py::object& within, bool mistaken, bool next, std::string_view reach,
                         std::size_t most_listed, std::optional<double> seconds, const py::object& progress) {
        const std::vector<Observation> seen = observations_from(observations);
        DiagnoseOptions options{.most_failures = most_failures, .within = {}, .prior = prior_from(prior), .mistaken = mistaken, .next = next, .reach = reach_from(reach), .most_listed = most_listed, .seconds = seconds.value_or(0), .progress = {}};
        if (!within.is_none()) options.within = failures_from(within);
        return watched(progress, options, [&] { return answered(asked, [&](const Outcome& out) { return diagnose(out.state(), seen, options); }); });
    }, py::arg("state"), py::arg("observations"), py::arg("prior") = py::none(), py::kw_only(), py::arg("most_failures") = 2, py::arg("within") = py::none(), py::arg("mistaken") = true, py::arg("next") = true,
       py::arg("reach") = "cockpit", py::arg("most_listed") = 1000, py::arg("seconds") = py::none(), py::arg("progress") = py::none(),
       R"(diagnose(state, observations, prior=None, *, most_failures=2, within=None, mistaken=True, next=True, reach='cockpit', most_listed=1000, seconds=None, progress=None)
--

Find every smallest set of failures that explains what was seen, dead and alive, and what to look at next.

Of an element, what is seen is a text it shows ("" is nothing), else "works" or "dead", else a position; of a function "works", "dead" or a level. An
observation may have been made with hands and givens set otherwise. A set is smallest where no part of it explains as much. A prediction that is
unknown neither explains nor contradicts. Sets that contradict one observation, and explain all the others, come last.

    >>> seen = [("radio", "dead"), ("radio", "dead", {"set": {"cb_radio": "in"}}), ("bus_light", "out")]
    >>> [c["failures"] for c in ff.diagnose(net, seen, most_failures=1, mistaken=False)]
    [[('bus', 'loss')], [('bus', 'short')], [('cb_radio', 'loss')], [('radio', 'loss')]]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    observations: (id, seen) or (id, seen, {"set": …, "given": …}), in any order; or a dict {id: seen}.
    prior: How likely failures are, {"id": number} or {("id", "mode"): number}, instead of the author's rates.
    most_failures: How many at once, 1 to 3.
    within: The only failures to think of; None: every one.
    mistaken: Also sets that contradict one observation.
    next: Also what tells the candidates apart best.
    reach: How far somebody goes to try something: "cockpit", "cabin" too, or "ground" too.
    most_listed: How many candidates are listed; all are counted.
    seconds: A budget for the search; None: no limit.
    progress: Called with the part done; what returns False cancels.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: For what cannot be observed so, or set.
)");
}

Demand when_from(const py::object& set, const py::object& given) {
    Demand when;
    if (!set.is_none()) put_when(when, "set", set);
    if (!given.is_none()) put_when(when, "given", given);
    return when;
}

void bind_quiz(py::module_& m) {
    py::class_<Quiz> result(m, "Quiz", R"(A quiz: what has failed is hidden, symptoms are given, guesses are taken. Prints as a table of what was seen.

    >>> quiz = ff.quiz(net, ["generator"])
    >>> quiz.symptoms
    [{'id': 'bus_light', 'seen': 'lit', 'set': {}, 'given': {}}]
    >>> quiz.guess(["bus"])["contradicts"], quiz.guess(["generator"])["right"]
    ([0], True)
)");
    add_sheet_methods(result, [](const Quiz& q) { return Sheet(table(q)); });
    result.def_property_readonly("symptoms", [](const Quiz& q) {
            py::list list;
            for (std::size_t o = 0; o < q.symptoms(); ++o) list.append(dict_of(q.seen()[o]));
            return list;
        }, "The indications that surely changed.")
        .def_property_readonly("seen", [](const Quiz& q) { return list_of(q.seen(), dict_of); }, "The symptoms, then what was looked at since: observations for `diagnose`.")
        .def_property_readonly("answer", [](const Quiz& q) { return tuples_of(q.answer()); }, "What is hidden.")
        .def_property_readonly("before", [](const Quiz& q) { return q.before(); }, "The outcome without what is hidden.")
        .def_property_readonly("table", [](const Quiz& q) { return table(q); }, "The table that is printed.")
        .def("look", [](Quiz& q, const std::string& id, const py::object& set, const py::object& given) {
            const auto seen = q.look(id, when_from(set, given));
            return seen ? py::object(py::str(seen->seen)) : py::object(py::none());
        }, py::arg("id"), py::arg("set") = py::none(), py::arg("given") = py::none(), R"(look(self, id, set=None, given=None)
--

Look at one thing more, and give what is seen: what an element shows, whether it works or where it stands, or the level of a function.

What is seen is in `seen` from then on. None where it is unknown.

    >>> quiz = ff.quiz(net, ["generator"])
    >>> quiz.look("talk"), quiz.look("radio", set={"cb_radio": "pulled"})
    ('normal', 'dead')

Args:
    id: An element or a function.
    set: Hands set for it, {id: position}; they are put back afterwards.
    given: Givens for it, {name: bool}.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: For what is not fitted, or set by nobody.
)")
        .def("guess", [](const Quiz& q, const py::object& failures) {
            const Guess g = q.guess(failures_from(failures));
            py::dict d;
            d["failures"] = tuples_of(g.failures);
            d["explains"] = g.explains;
            d["contradicts"] = g.contradicts;
            d["undecided"] = g.undecided;
            d["right"] = g.right;
            d["looks_the_same"] = g.looks_the_same;
            return d;
        }, py::arg("failures"), R"(guess(self, failures)
--

Say what a guess explains of all that was seen, what it contradicts, and whether it is what is hidden or looks exactly like it.

    >>> ff.quiz(net, ["generator"]).guess(["generator"])["explains"]
    [0]

Args:
    failures: A list of failures, each "id", ("id", "mode") or ("id", "stuck", "position").

Raises:
    UnknownId: Naming the nearest.
    NotPossible: For a failure the element does not have, or has already.
)")
        .def("to_dict", [](const Quiz& q) { return list_of(q.seen(), dict_of); }, R"(to_dict(self)
--

Give `seen`.
)")
        .def("to_dataframe", [](const Quiz& q) { 
            const auto record = [](const Observation& o) {
                py::dict d;
                std::vector<std::string> set;
                for (const auto& [id, position] : o.when.set) set.push_back(id + " " + position);
                d["id"] = o.id;
                d["seen"] = o.seen;
                d["set"] = set;
                return d;
            };
            py::list records;
            for (const Observation& o : q.seen()) records.append(record(o));
            return frame(record({}), records);
         }, R"(to_dataframe(self)
--

Give one row a thing seen as a pandas data frame.

    >>> ff.quiz(net, ["generator"]).to_dataframe()[["id", "seen"]].values.tolist()
    [['bus_light', 'lit']]

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__str__", [](const Quiz& q) { return text(q); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Quiz& q) { return "<Quiz of " + q.before().network().model().name + ": " + std::to_string(q.seen().size()) + " things seen>"; }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Make it again: the same seed or failures give the same quiz.");

    m.def("quiz", [](const py::object& asked, const py::object& hidden, std::uint64_t seed, int failures, const py::object& within) {
        QuizOptions options{.hidden = {}, .seed = seed, .failures = failures, .within = {}};
        if (!hidden.is_none()) options.hidden = failures_from(hidden);
        if (!within.is_none()) options.within = failures_from(within);
        return answered(asked, [&](const Outcome& out) { return quiz(out.state(), options); });
    }, py::arg("state"), py::arg("hidden") = py::none(), py::kw_only(), py::arg("seed") = 0, py::arg("failures") = 1, py::arg("within") = py::none(), R"(quiz(state, hidden=None, *, seed=0, failures=1, within=None)
--

Hide failures and give the symptoms: given ones, or drawn ones that show on some indication. The same seed hides the same.

    >>> ff.quiz(net, seed=1).answer
    [('generator', 'short')]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    hidden: The failures to hide; None: drawn.
    seed: What is drawn hangs on it alone.
    failures: How many are drawn, 1 to 3.
    within: The failures drawn from; None: every one.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: Where nothing that shows can be drawn.
)");
}

}  // namespace

void bind_diagnose(py::module_& m) {
    bind_diagnosis(m);
    bind_quiz(m);
}

}  // namespace fedfrom::python
