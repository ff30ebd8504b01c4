// Tables as values, with their written forms.
#include "sheet_methods.hpp"

#include <array>
#include <cstdint>

namespace fedfrom::python {

namespace {

constexpr std::array marks{Mark::none, Mark::kept, Mark::degraded, Mark::lost, Mark::unknown, Mark::not_fitted, Mark::changed, Mark::exceeded};

Mark mark_named(const std::string& name) {
    for (const Mark m : marks)
        if (word(m) == name) return m;
    throw py::value_error("`" + name + "` is not a mark; they are kept, degraded, lost, unknown, not fitted, changed and exceeded.");
}

py::object value_of(const Cell& c) {
    return std::visit([](const auto& v) -> py::object {
        if constexpr (std::is_same_v<std::decay_t<decltype(v)>, std::monostate>) return py::none();
        else return py::cast(v);
    }, c.value);
}

py::object python_of(const Cell& c) {
    if (c.mark == Mark::none) return value_of(c);
    return py::make_tuple(value_of(c), std::string(word(c.mark)));
}

Cell cell_from(const py::handle& value) {
    if (value.is_none()) return {};
    if (py::isinstance<py::str>(value)) return value.cast<std::string>();
    if (py::isinstance<py::float_>(value)) return value.cast<double>();
    if (PyIndex_Check(value.ptr()) && !py::isinstance<py::bool_>(value)) return value.cast<std::int64_t>();
    if (py::isinstance<py::tuple>(value) && py::len(value) == 2) {
        const auto pair = py::reinterpret_borrow<py::tuple>(value);
        Cell c = cell_from(pair[0]);
        c.mark = mark_named(pair[1].cast<std::string>());
        return c;
    }
    throw py::type_error("A cell is a str, an int, a float, None, or a pair of one of these and a mark.");
}

Column column_from(const py::handle& value) {
    if (py::isinstance<py::str>(value)) return {.name = value.cast<std::string>()};
    const auto [name, unit] = value.cast<std::pair<std::string, std::string>>();
    return {.name = name, .unit = unit};
}

using Pairs = std::vector<std::pair<std::string, std::string>>;

Table table_from(std::string title, const py::iterable& columns, const py::iterable& rows, const Pairs& captions, std::vector<std::string> footnotes) {
    Table t{.title = std::move(title), .footnotes = std::move(footnotes)};
    for (const py::handle column : columns) t.columns.push_back(column_from(column));
    for (const py::handle row : rows) {
        t.rows.emplace_back();
        for (const py::handle value : py::reinterpret_borrow<py::iterable>(row)) t.rows.back().push_back(cell_from(value));
    }
    for (const auto& [label, text] : captions) t.captions.push_back({label, text});
    return t;
}

Pairs captions_of(const Table& t) {
    Pairs list;
    for (const Caption& c : t.captions) list.emplace_back(c.label, c.text);
    return list;
}

py::list row_of(const std::vector<Cell>& row) {
    py::list list;
    for (const Cell& c : row) list.append(python_of(c));
    return list;
}

py::list rows_of(const Table& t) {
    py::list list;
    for (const auto& row : t.rows) list.append(row_of(row));
    return list;
}

py::tuple table_fields(const Table& t) {
    py::list columns, aligned;
    for (const Column& c : t.columns) {
        columns.append(py::make_tuple(c.name, c.unit));
        aligned.append(static_cast<int>(c.align));
    }
    return py::make_tuple(t.title, columns, rows_of(t), captions_of(t), t.footnotes, aligned);
}

Table table_of(const py::tuple& fields) {
    Table t = table_from(fields[0].cast<std::string>(), fields[1], fields[2], fields[3].cast<Pairs>(), fields[4].cast<std::vector<std::string>>());
    const auto aligned = fields[5].cast<std::vector<int>>();
    for (std::size_t i = 0; i < t.columns.size(); ++i) t.columns[i].align = static_cast<Align>(aligned[i]);
    return t;
}

/// A marked text as CSV has it, "degraded: backup"; numbers alone.
py::object to_dataframe(const Table& t) {
    py::list names, rows;
    for (const Column& c : t.columns) names.append(c.unit.empty() ? c.name : c.name + " (" + c.unit + ")");
    for (const auto& row : t.rows) {
        py::list values;
        for (std::size_t i = 0; i < t.columns.size(); ++i) {
            const Cell c = i < row.size() ? row[i] : Cell{};
            const auto* text = std::get_if<std::string>(&c.value);
            const std::string mark(word(c.mark));
            if (c.mark == Mark::none || (c.value.index() != 0 && !text)) values.append(value_of(c));
            else values.append(text && !text->empty() && *text != mark ? mark + ": " + *text : mark);
        }
        rows.append(values);
    }
    return py::module_::import("fedfrom._frames").attr("table_frame")(names, rows);
}

}  // namespace

void bind_table(py::module_& m) {
    py::class_<Table> table(m, "Table", R"(A table as a value: prints as text, and is written as Markdown, CSV, HTML or JSON.

Every form carries the caution. Results hand out tables; one of your own is made from columns and rows. It pickles.

    >>> table = ff.Table("Loads", [("Load", "A"), "Status"], [[3.5, ("radio", "kept")], [2, (None, "lost")]])
    >>> table
    <Table Loads: 2 rows>
    >>> table[0]
    [3.5, ('radio', 'kept')]

Args:
    title: What stands above it.
    columns: Names, or (name, unit); the first one heads its row.
    rows: Lists of cells: a str, an int, a float or None, or one of these with a mark, as in ("backup", "degraded").
        Marks are kept, degraded, lost, unknown, not fitted, changed and exceeded.
    captions: (label, text) of lines above the table.
    footnotes: Lines below it.
)");
    add_sheet_methods(table, [](const Table& t) { return Sheet(t); });
    table.def(py::init(&table_from), py::arg("title"), py::arg("columns"), py::arg("rows"), py::kw_only(), py::arg("captions") = Pairs(),
              py::arg("footnotes") = std::vector<std::string>(), "__init__(self, title, columns, rows, *, captions=[], footnotes=[])\n--\n\nMake a table.")
        .def_readonly("title", &Table::title, "What stands above it.")
        .def_property_readonly("captions", &captions_of, "The lines above the table: (label, text).")
        .def_property_readonly("columns", [](const Table& t) {
            std::vector<std::string> names;
            for (const Column& c : t.columns) names.push_back(c.name);
            return names;
        }, "Column names, the row heading first.")
        .def_property_readonly("units", [](const Table& t) {
            std::vector<std::string> units;
            for (const Column& c : t.columns) units.push_back(c.unit);
            return units;
        }, "The unit of each column; empty: none.")
        .def_property_readonly("rows", [](const Table& t) { return rows_of(t); }, "A list a row; a marked cell is a pair of value and mark.")
        .def_readonly("footnotes", &Table::footnotes, "Lines below the table.")
        .def("to_text", &to_text, py::arg("width") = 100, R"(to_text(self, width=100)
--

Write it as aligned plain text, wrapped to a width.

    >>> print(ff.indications(state).table.to_text(width=72))
    What is shown
    =============
    ...
)")
        .def("to_dataframe", [](const Table& t) { return to_dataframe(t); }, R"(to_dataframe(self)
--

Give its cells as a pandas data frame; numbers are numbers, a marked text reads "degraded: backup".

    >>> ff.impact_table(state).table.to_dataframe()["Talk on the radio"].tolist()
    ['lost', 'lost', 'lost', 'lost']

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const Table& t) { return py::module_::import("json").attr("loads")(to_json(t)); }, R"(to_dict(self)
--

Give the values of `to_json`.

    >>> ff.indications(state).table.to_dict()["title"]
    'What is shown'
)")
        .def("__len__", [](const Table& t) { return t.rows.size(); }, "__len__(self, /)\n--\n\n")
        .def("__getitem__", [](const Table& t, py::ssize_t row) {
            const auto n = static_cast<py::ssize_t>(t.rows.size());
            if (row < -n || row >= n) throw py::index_error("The table has " + std::to_string(n) + " rows.");
            return row_of(t.rows[static_cast<std::size_t>(row < 0 ? row + n : row)]);
        }, "__getitem__(self, row, /)\n--\n\n")
        .def("__iter__", [](const Table& t) { return py::iter(rows_of(t)); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", [](const Table& a, const Table& b) { return a == b; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Table& t) { return to_text(t); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Table& t) { return "<Table " + t.title + ": " + std::to_string(t.rows.size()) + " rows>"; }, "__repr__(self, /)\n--\n\n")
        .def(py::pickle(&table_fields, &table_of));

    m.def("to_html", [](const std::vector<Table>& tables, std::string_view title) { return to_html(tables, title); },
          py::arg("tables"), py::arg("title"), R"(to_html(tables, title)
--

Write several tables on one HTML page.

    >>> page = ff.to_html(ff.what_works(state).tables, "The radio")
    >>> ff.caution[:30] in page
    True
)");
}

}  // namespace fedfrom::python
