// Prime implicants.
#include "answers.hpp"
#include "events_from.hpp"
#include "outcome_methods.hpp"

#include <fedfrom/study/prime_implicants.hpp>

namespace fedfrom::python {

namespace {

py::list sets_of(const PrimeImplicants& p) {
    py::list list;
    for (const Implicant& i : p.sets) {
        py::dict d;
        d["failed"] = tuples_of(i.failed);
        d["working"] = tuples_of(i.working);
        list.append(d);
    }
    return list;
}

}  // namespace

void bind_implicants(py::module_& m) {
    py::class_<PrimeImplicants> result(m, "PrimeImplicants", R"(With what failed, and what working, a function is below a level whatever the rest do. Prints as a table.

    >>> primes = ff.prime_implicants(net, "talk", within=["battery", "generator", "radio"])
    >>> primes
    <PrimeImplicants of talk: 2 sets>
)");
    add_sheet_methods(result, [](const PrimeImplicants& p) { return Sheet(table(p)); });
    result.def_readonly("function", &PrimeImplicants::function, "The function.")
        .def_property_readonly("sets", [](const PrimeImplicants& p) { return sets_of(p); }, "Dicts of `failed` and `working`, lists of (element, mode), by how many they name, then ids.")
        .def_readonly("counts", &PrimeImplicants::counts, "How many name 0, 1, 2 … failures, listed or not.")
        .def_readonly("already", &PrimeImplicants::already, "The function is below the level as it is.")
        .def_property_readonly("table", [](const PrimeImplicants& p) { return table(p); }, "The table that is printed.")
        .def("to_dataframe", [](const PrimeImplicants& p) {
            const auto record = [](std::size_t set, const FailureRef& f, bool failed) {
                py::dict d;
                d["set"] = set;
                d["element"] = f.element;
                d["mode"] = f.mode;
                d["failed"] = failed;
                return d;
            };
            py::list rows;
            for (std::size_t i = 0; i < p.sets.size(); ++i) {
                for (const FailureRef& f : p.sets[i].failed) rows.append(record(i, f, true));
                for (const FailureRef& f : p.sets[i].working) rows.append(record(i, f, false));
            }
            return frame(record(0, {}, true), rows);
        }, R"(to_dataframe(self)
--

Give one row a failure of a set as a pandas data frame.

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const PrimeImplicants& p) {
            py::dict d;
            d["function"] = p.function;
            d["below"] = std::string(name_of(p.options.below));
            d["already"] = p.already;
            d["sets"] = sets_of(p);
            d["counts"] = p.counts;
            return d;
        }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.prime_implicants(net, "talk", within=["bus"]).to_dict()["counts"]
    [0, 1]
)")
        .def("__len__", [](const PrimeImplicants& p) { return p.sets.size(); }, "__len__(self, /)\n--\n\n")
        .def("__eq__", [](const PrimeImplicants& a, const PrimeImplicants& b) {
            return a.before.state() == b.before.state() && a.function == b.function && a.sets == b.sets && a.counts == b.counts;
        }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const PrimeImplicants& p) { return text(p); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const PrimeImplicants& p) {
            return "<PrimeImplicants of " + p.function + ": " + (p.already ? "below as it is>" : std::to_string(p.sets.size()) + (p.sets.size() == 1 ? " set>" : " sets>"));
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its table.");

    m.def("prime_implicants", [](const py::object& asked, const std::string& function, const std::string& below, const py::object& within, std::size_t most_sets, std::uint32_t nodes) {
        PrimeImplicantOptions options{.below = below_from(below), .most_sets = most_sets};
        if (!within.is_none()) options.within = failures_from(within);
        options.budget.nodes = nodes;
        return answered(asked, [&](const Outcome& out) { return prime_implicants(out.state(), function, options); });
    }, py::arg("state"), py::arg("function"), py::kw_only(), py::arg("below") = "normal", py::arg("within") = py::none(), py::arg("most_sets") = PrimeImplicantOptions{}.most_sets,
       py::arg("nodes") = Budget{}.nodes, R"(prime_implicants(state, function, *, below="normal", within=None, most_sets=10000, nodes=4194304)
--

Find, where a failure can help, with what failed and what working a function is below a level whatever the rest do.

Nothing can be left out of a set, and a state is below the level exactly where it holds all of one. Where no failure
can help they are the cut sets, and nothing need work. Of the modes of an element at most one happens.

    >>> ff.prime_implicants(net, "talk", within=["battery", "generator"]).sets
    [{'failed': [('battery', 'loss'), ('generator', 'loss')], 'working': []}]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    function: The function.
    below: normal (it is not normal any more), or degraded (it is lost).
    within: The only failures that may happen; None: every failure not present.
    most_sets: How many to list; all are counted.
    nodes: A budget for the diagram of all combinations.

Raises:
    UnknownId: Naming the nearest function or element.
    NotPossible: Where combinations have to be settled one by one, or the budget does not suffice.
)");
}

}  // namespace fedfrom::python
