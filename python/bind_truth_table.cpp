// Switch positions, failures, and what a target then does.
#include "answers.hpp"
#include "events_from.hpp"
#include "sheet_methods.hpp"

#include <utility>

#include <fedfrom/study/truth_table.hpp>

namespace fedfrom::python {

namespace {

using fedfrom::python::dict_of;

bool is_function(const TruthTable& t, std::size_t cell) { return index_of(t.before.network().compiled().functions, t.targets[cell % t.targets.size()]) != none; }

/// Of a function level and mode, of an element status and position.
py::dict dict_of(const TruthTable& t, const TruthRow& row, std::size_t i) {
    const TruthCell& cell = row.cells[i];
    const bool function = is_function(t, i);
    py::dict d;
    d["target"] = t.targets[i % t.targets.size()];
    d["block"] = i / t.targets.size();
    d["level"] = word_or_none(function ? std::optional(name_of(cell.level)) : std::nullopt);
    d["mode"] = cell.mode;
    d["mode_name"] = cell.mode_name;
    d["status"] = word_or_none(function ? std::nullopt : std::optional(name_of(cell.status)));
    d["position"] = cell.position;
    d["sources"] = cell.sources.ids;
    d["sources_sure"] = cell.sources.sure;
    return d;
}

py::dict positions_of(const TruthTable& t, const TruthRow& row) {
    py::dict d;
    for (std::size_t i = 0; i < row.at.size(); ++i) d[py::str(t.controls[i].id)] = row.at[i].empty() ? py::object(py::none()) : py::object(py::str(row.at[i]));
    return d;
}

py::list rows_of(const TruthTable& t) {
    py::list rows;
    for (const TruthRow& row : t.rows) {
        py::list cells;
        for (std::size_t i = 0; i < row.cells.size(); ++i) cells.append(dict_of(t, row, i));
        py::dict d;
        d["positions"] = positions_of(t, row);
        d["cells"] = cells;
        d["stands_for"] = row.stands_for;
        rows.append(d);
    }
    return rows;
}

py::list controls_of(const TruthTable& t) {
    py::list list;
    for (const TruthControl& c : t.controls) {
        py::dict d;
        d["id"] = c.id;
        d["name"] = c.name;
        d["positions"] = c.positions;
        d["all"] = c.all;
        list.append(d);
    }
    return list;
}

py::list blocks_of(const TruthTable& t) {
    py::list blocks;
    for (const std::vector<FailureRef>& block : t.options.failures) {
        py::list list;
        for (const FailureRef& f : block) list.append(dict_of(f));
        blocks.append(list);
    }
    return blocks;
}

/// One record a cell, with a column a control.
py::object truth_frame(const TruthTable& t) {
    const auto with = [](py::dict positions, const py::dict& cell) {
        for (const auto& [key, value] : cell) positions[key] = value;
        return positions;
    };
    py::dict blank;
    for (const TruthControl& c : t.controls) blank[py::str(c.id)] = py::none();
    blank = with(blank, dict_of(t, {.cells = {{}}}, 0));
    for (const char* of_one_kind : {"level", "status"}) blank[of_one_kind] = py::none();
    py::list records;
    for (const TruthRow& row : t.rows)
        for (std::size_t i = 0; i < row.cells.size(); ++i) records.append(with(positions_of(t, row), dict_of(t, row, i)));
    return frame(blank, records);
}

std::map<std::string, std::vector<std::string>> positions_from(const py::object& positions) {
    constexpr const char* expected = "`positions` is {control: [position, …]}, a list of controls (with all their positions), or None for all the target hangs on.";
    std::map<std::string, std::vector<std::string>> tried;
    if (positions.is_none()) return tried;
    if (!py::isinstance<py::dict>(positions)) {
        for (auto& id : converted<std::vector<std::string>>(positions, expected)) tried[id];
    } else {
        for (const auto& [id, words] : py::reinterpret_borrow<py::dict>(positions))
            tried[converted<std::string>(id, expected)] = words.is_none() ? std::vector<std::string>{} : converted<std::vector<std::string>>(words, expected);
    }
    if (tried.empty()) throw py::value_error(expected);
    return tried;
}

/// A list of sets; one failure alone is a set too.
std::vector<std::vector<FailureRef>> blocks_from(const py::object& failures) {
    if (failures.is_none()) return {{}};
    std::vector<std::vector<FailureRef>> blocks;
    for (const py::handle set : converted<py::iterable>(failures, "`failures` is a list of sets of failures, each a list of failures or one failed element."))
        blocks.push_back(py::isinstance<py::tuple>(set) ? std::vector{failure_from(set)} : failures_from(set));
    return blocks;
}

}  // namespace

void bind_truth_table(py::module_& m) {
    py::class_<TruthTable> result(m, "TruthTable", R"(Switch positions down, failures across, and what the target then does. Prints as a table.

    >>> truth = ff.truth_table(net, "talk", failures=[[], ["generator"]])
    >>> truth
    <TruthTable of talk: 2 rows, 2 blocks>
    >>> [(row["positions"], [cell["level"] for cell in row["cells"]]) for row in truth]
    [({'cb_radio': 'in'}, ['normal', 'normal']), ({'cb_radio': 'pulled'}, ['lost', 'lost'])]
)");
    add_sheet_methods(result, [](const TruthTable& t) { return Sheet(table(t)); });
    result.def_readonly("targets", &TruthTable::targets, "The functions and elements asked for.")
        .def_property_readonly("controls", [](const TruthTable& t) { return controls_of(t); }, "One dict a control, with the positions tried; `all` where it has no others.")
        .def_property_readonly("blocks", &blocks_of, "The sets of failures, one block of columns each.")
        .def_property_readonly("rows", [](const TruthTable& t) { return rows_of(t); }, "One dict a row: a position by control, None where it makes no difference, and a cell for each block and target.")
        .def_readonly("left_out", &TruthTable::left_out, "Controls the targets hang on that did not fit: they stand where they are.")
        .def_readonly("settled", &TruthTable::settled, "How many rows were settled, before any were joined.")
        .def_readonly("complete", &TruthTable::complete, "False where there are more rows, or controls were left out.")
        .def_property_readonly("before", [](const TruthTable& t) { return t.before; }, "The outcome as things stand.")
        .def_property_readonly("table", [](const TruthTable& t) { return table(t); }, "The table.")
        .def("to_dict", [](const TruthTable& t) {
            py::dict d;
            d["targets"] = t.targets;
            d["controls"] = controls_of(t);
            d["blocks"] = blocks_of(t);
            d["rows"] = rows_of(t);
            d["left_out"] = t.left_out;
            d["settled"] = t.settled;
            d["complete"] = t.complete;
            return d;
        }, R"(to_dict(self)
--

Give everything as plain Python values.

    >>> ff.truth_table(net, "bus", failures=["generator"]).to_dict()["rows"][0]["cells"][0]["sources"]
    ['battery']
)")
        .def("to_dataframe", &truth_frame, R"(to_dataframe(self)
--

Give one row a cell, with a column a control, as a pandas data frame.

    >>> ff.truth_table(net, "talk").to_dataframe()[["cb_radio", "level"]].values.tolist()
    [['in', 'normal'], ['pulled', 'lost']]

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("__len__", [](const TruthTable& t) { return t.rows.size(); }, "__len__(self, /)\n--\n\n")
        .def("__iter__", [](const TruthTable& t) { return py::iter(rows_of(t)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const TruthTable& a, const TruthTable& b) {
            return a.before.state() == b.before.state() && a.targets == b.targets && a.options.failures == b.options.failures && a.controls == b.controls && a.rows == b.rows;
        }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const TruthTable& t) { return text(t); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const TruthTable& t) {
            std::string targets;
            for (const std::string& id : t.targets) targets += (targets.empty() ? "" : ", ") + id;
            return "<TruthTable of " + targets + ": " + std::to_string(t.rows.size()) + " rows, " + std::to_string(t.options.failures.size()) + " blocks" + (t.complete ? ">" : ", incomplete>");
        }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(result, "Pickle its to_dict() or its table.");

    m.def("truth_table", [](const py::object& asked, const py::object& target, const py::object& positions, const py::object& failures, bool join, std::size_t most_rows) {
        if (py::isinstance<py::bytes>(target)) throw py::reference_cast_error();  // asks pybind11 for the other overload
        const auto targets = py::isinstance<py::str>(target) ? std::vector{target.cast<std::string>()} : converted<std::vector<std::string>>(target, "`target` is a function or an element, or a list of them.");
        const TruthTableOptions options{.positions = positions_from(positions), .failures = blocks_from(failures), .join = join, .most_rows = most_rows};
        return answered(asked, [&](const Outcome& out) { return truth_table(out.state(), targets, options); });
    }, py::arg("state"), py::arg("target"), py::arg("positions") = py::none(), py::arg("failures") = py::none(), py::kw_only(), py::arg("join") = false, py::arg("most_rows") = 128,
       R"(truth_table(state, target, positions=None, failures=None, *, join=False, most_rows=128)
--

Make the table pilots write by hand: switch positions down, failures across, and in each cell what the target then does.

Each cell is settled by itself: positions and failures are added to the settled state in one step, and nothing is carried
from row to row. Of a function it says level, mode and live sources, of an element status, position and live sources.
Where rows are joined, None (a dash in print) stands only for what makes no difference; what is unknown is never joined.

    >>> [row["positions"] for row in ff.truth_table(state.fail("radio"), "talk", join=True)]
    [{'cb_radio': None}]

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    target: A function or an element, or a list of them.
    positions: {control: positions to try}, or a list of controls, with all their positions. None: every control that
        crew in cockpit and cabin reach and the target hangs on, switches, selectors and handles first, as many as fit.
    failures: A list of sets of failures, a block of columns each; [] is nothing more failed, which is what None means.
    join: Draw rows together that do not differ.
    most_rows: How many rows are settled, before any are joined; where there would be more, `complete` is False.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: For what is not fitted, or cannot be set or fail so.
)");
}

}  // namespace fedfrom::python
