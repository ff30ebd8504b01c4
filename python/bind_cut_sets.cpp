// Cut sets and path sets.
#include "answers.hpp"
#include "events_from.hpp"
#include "outcome_methods.hpp"
#include "watch.hpp"

#include <utility>

#include <fedfrom/study/cut_sets.hpp>

namespace fedfrom::python {

namespace {

py::list sets_of(const CutSets& s) {
    py::list list;
    for (const auto& set : s.sets) list.append(tuples_of(set));
    return list;
}

py::dict dict_of(const CutSets& s) {
    py::dict d;
    d["function"] = s.function;
    d["below"] = std::string(name_of(s.options.below));
    d["already"] = s.already;
    d["sets"] = sets_of(s);
    d["counts"] = s.counts;
    d["complete"] = s.complete;
    d["complete_to"] = s.complete_to;
    d["spreading_to"] = s.spreading_to;
    d["doubtful"] = tuples_of(s.doubtful);
    d["complete_from"] = s.complete_from;
    d["dropped"] = s.dropped;
    d["missing"] = tuples_of(s.missing);
    d["helping"] = s.helping_known ? py::object(tuples_of(s.helping)) : py::none();
    d["by"] = s.by;
    return d;
}

CutSetOptions options_from(const std::string& below, std::optional<int> order, const py::object& within, std::size_t most_sets, std::uint32_t nodes, double seconds) {
    CutSetOptions options{.below = below_from(below), .order = order, .most_sets = most_sets, .seconds = seconds};
    if (!within.is_none()) options.within = failures_from(within);
    options.budget.nodes = nodes;
    return options;
}

constexpr std::uint32_t usual_nodes = Budget{}.nodes;
const std::size_t usual_sets = CutSetOptions{}.most_sets;

}  // namespace

void bind_cut_sets(py::module_& m) {
    py::class_<CutSets> result(m, "CutSets", R"(Which failures, together, take a function below a level; or what is enough to keep it. Prints as a table.

    >>> cuts = ff.cut_sets(net, "talk")
    >>> cuts
    <CutSets of talk: 6 sets, complete to 3 failures>
    >>> cuts.sets[-1]
    [('battery', 'loss'), ('generator', 'short')]
)");
    add_sheet_methods(result, [](const CutSets& s) { return Sheet(table(s)); });
    result.def_readonly("function", &CutSets::function, "The function.")
        .def_property_readonly("sets", [](const CutSets& s) { return sets_of(s); }, "Lists of (element, mode), by how many, then ids.")
        .def_readonly("counts", &CutSets::counts, "How many sets there are of 0, 1, 2 … failures, listed or not.")
        .def_readonly("complete", &CutSets::complete, "Every minimal set is counted.")
        .def_readonly("complete_to", &CutSets::complete_to, "Every minimal set of up to so many failures is counted; None where not even that is known.")
        .def_readonly("spreading_to", &CutSets::spreading_to, "Every minimal set in which at most so many failures spread is counted, of any order; None where that is not known.")
        .def_property_readonly("doubtful", [](const CutSets& s) { return tuples_of(s.doubtful); }, "What `spreading_to` does not hold for: with these something may hunt, or was too much.")
        .def_readonly("complete_from", &CutSets::complete_from, "Every minimal set that is at least so probable is counted; None where that is not what limits them.")
        .def_readonly("dropped", &CutSets::dropped, "With hours: on no flight is it likelier that the function is below the level without all of any set that is counted.")
        .def_property_readonly("missing", [](const CutSets& s) { return tuples_of(s.missing); }, "With hours: failures with neither rate nor probability, that matter, or, where combinations are settled, any. Taken as certain.")
        .def_readonly("already", &CutSets::already, "The function is below the level as it is.")
        .def_property_readonly("helping", [](const CutSets& s) { return s.helping_known ? py::object(tuples_of(s.helping)) : py::none(); },
                               "Failures that, in some combination, keep the function where it would else be below; None where that was not found out.")
        .def_readonly("by", &CutSets::by, "How the sets were found.")
        .def_property_readonly("table", [](const CutSets& s) { return table(s); }, "The table that is printed.")
        .def("to_dataframe", [](const CutSets& s) {
            const auto record = [](std::size_t set, const FailureRef& f) {
                py::dict d;
                d["set"] = set;
                d["element"] = f.element;
                d["mode"] = f.mode;
                return d;
            };
            py::list rows;
            for (std::size_t i = 0; i < s.sets.size(); ++i)
                for (const FailureRef& f : s.sets[i]) rows.append(record(i, f));
            return frame(record(0, {}), rows);
        }, R"(to_dataframe(self)
--

Give one row a failure of a set as a pandas data frame.

    >>> ff.cut_sets(net, "talk").to_dataframe().values.tolist()[0]
    [0, 'bus', 'loss']

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const CutSets& s) { return dict_of(s); }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.cut_sets(net, "talk", within=["bus"]).to_dict()["counts"]
    [0, 1]
)")
        .def("__len__", [](const CutSets& s) { return s.sets.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const CutSets& s) { return py::iter(sets_of(s)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const CutSets& a, const CutSets& b) {
            return a.before.state() == b.before.state() && a.function == b.function && a.paths == b.paths && a.sets == b.sets && a.counts == b.counts && a.complete == b.complete;
        }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const CutSets& s) { return text(s); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const CutSets& s) {
            const std::string far = s.already ? "below as it is" : s.complete ? "complete" : s.complete_to ? "complete to " + std::to_string(*s.complete_to) + (*s.complete_to == 1 ? " failure" : " failures") : "not complete";
            return "<CutSets of " + s.function + ": " + std::to_string(s.sets.size()) + (s.sets.size() == 1 ? " set, " : " sets, ") + far + ">";
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its table.");

    m.def("cut_sets", [](const py::object& asked, const std::string& function, const std::string& below, std::optional<int> order, const py::object& within, double hours, double at_least, std::size_t most_sets, std::uint32_t nodes, double seconds, const py::object& progress) {
        CutSetOptions options = options_from(below, order, within, most_sets, nodes, seconds);
        options.hours = hours;
        options.at_least = at_least;
        return watched(progress, options, [&] { return answered(asked, [&](const Outcome& out) { return cut_sets(out.state(), function, options); }); });
    }, py::arg("state"), py::arg("function"), py::kw_only(), py::arg("below") = "normal", py::arg("order") = py::none(), py::arg("within") = py::none(), py::arg("hours") = 0.0, py::arg("at_least") = 0.0,
       py::arg("most_sets") = usual_sets, py::arg("nodes") = usual_nodes, py::arg("seconds") = 0.0, py::arg("progress") = py::none(),
       R"(cut_sets(state, function, *, below="normal", order=None, within=None, hours=0.0, at_least=0.0, most_sets=10000, nodes=4194304, seconds=0.0, progress=None)
--

Find the smallest sets of failures that, added in one step, take a function below a level.

Where no fault spreads and nothing hunts, all combinations are settled at once, or read from the formula of the function: all sets of any
order. Elsewhere every combination of up to three failures is settled, or of four with `order` 4, and all at once in which at
most one failure spreads; `complete_to` and `spreading_to` say so. Two modes of one element are never in one set.

    >>> ff.cut_sets(net, "talk", within=["battery", "generator", "radio"]).sets
    [[('radio', 'loss')], [('battery', 'loss'), ('generator', 'loss')]]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    function: The function.
    below: normal (it is not normal any more), or degraded (it is lost).
    order: Sets of at most so many failures; None: as many as it takes, or three where combinations are settled.
    within: The only failures to combine; None: every failure not present.
    hours: Of a flight, for `dropped` and `at_least`; 0: nothing is told of probabilities.
    at_least: Only sets that are so probable on some flight between checks; of less probable ones some may be there. Not with `order`.
    most_sets: How many to list; all are counted.
    nodes: A budget for the diagram of all combinations.
    seconds: A budget for settling combinations; 0: none.
    progress: Called with the part done of settling combinations; what returns False cancels.

Raises:
    UnknownId: Naming the nearest function or element.
    NotPossible: For a function that is not fitted, or `at_least` with an order or without hours.
)");
    m.def("path_sets", [](const py::object& asked, const std::string& function, const std::string& below, std::optional<int> order, const py::object& within, std::size_t most_sets, std::uint32_t nodes) {
        const CutSetOptions options = options_from(below, order, within, most_sets, nodes, 0);
        return answered(asked, [&](const Outcome& out) { return path_sets(out.state(), function, options); });
    }, py::arg("state"), py::arg("function"), py::kw_only(), py::arg("below") = "normal", py::arg("order") = py::none(), py::arg("within") = py::none(), py::arg("most_sets") = usual_sets,
       py::arg("nodes") = usual_nodes, R"(path_sets(state, function, *, below="normal", order=None, within=None, most_sets=10000, nodes=4194304)
--

Find the smallest sets of failures that must not be there so that a function stays, whatever else fails.

    >>> ff.path_sets(net, "talk", within=["battery", "generator", "radio"]).sets
    [[('battery', 'loss'), ('radio', 'loss')], [('generator', 'loss'), ('radio', 'loss')]]

Args:
    state: As of `cut_sets`.
    function: The function.
    below: The level it must not fall below: normal, or degraded.
    order: Sets of at most so many.
    within: What may fail; None: every failure not present.
    most_sets: How many to list; all are counted.
    nodes: A budget for the diagram of all combinations.

Raises:
    UnknownId: Naming the nearest function or element.
    NotPossible: Where combinations have to be settled one by one, or a failure can help.
)");
}

}  // namespace fedfrom::python
