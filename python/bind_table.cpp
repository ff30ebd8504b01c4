// Tables as values, with their written forms.
#include "bindings.hpp"

#include <fedfrom/table/table.hpp>

namespace fedfrom::python {

void bind_table(py::module_& m) {
    py::class_<Table>(m, "Table", "A table as a value: prints as text, and is written as Markdown, CSV, HTML or JSON. Every form carries the caution.")
        .def_readonly("title", &Table::title)
        .def_property_readonly("columns", [](const Table& t) {
            std::vector<std::string> names;
            for (const Column& c : t.columns) names.push_back(c.name);
            return names;
        }, "Column names, the row heading first.")
        .def("__len__", [](const Table& t) { return t.rows.size(); })
        .def("to_text", &to_text, py::arg("width") = 100)
        .def("to_markdown", &to_markdown)
        .def("to_csv", &to_csv, "RFC 4180; text a spreadsheet would run as a formula is neutralised.")
        .def("to_html", py::overload_cast<const Table&>(&to_html), "A page that needs nothing else; prints on A4 and Letter.")
        .def("to_json", &to_json)
        .def("to_dict", [](const Table& t) { return py::module_::import("json").attr("loads")(to_json(t)); })
        .def("__str__", [](const Table& t) { return to_text(t); })
        .def("__repr__", [](const Table& t) { return "<Table " + t.title + ": " + std::to_string(t.rows.size()) + " rows>"; });

    m.def("to_html", [](const std::vector<Table>& tables, std::string_view title) { return to_html(tables, title); },
          py::arg("tables"), py::arg("title"), "Several tables on one page.");
}

}  // namespace fedfrom::python
