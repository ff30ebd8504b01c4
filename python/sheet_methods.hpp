/// What every result that prints as a sheet can do beside its own: show itself in a notebook, be written. Added here for all.
#pragma once

#include "bindings.hpp"

#include <filesystem>

#include <fedfrom/table/table.hpp>

namespace fedfrom::python {

/// What is printed of a value: tables under one title.
struct Sheet {
    std::string title;
    std::vector<Table> tables;

    Sheet(Table table) : title(table.title), tables{std::move(table)} {}
    Sheet(std::string name, std::vector<Table> list) : title(std::move(name)), tables(std::move(list)) {}

    // A table alone is written as in C++.
    std::string markdown() const { return tables.size() == 1 ? to_markdown(tables.front()) : to_markdown(tables, title); }
    std::string json() const { return tables.size() == 1 ? to_json(tables.front()) : to_json(tables); }
};

/// For what is looked at and not handed out: models, networks, states.
template <class Class, class SheetOf>
void add_notebook_methods(Class& c, SheetOf sheet_of) {
    using T = typename Class::type;
    c.def("_repr_html_", [=](const T& t) {
        const Sheet sheet = sheet_of(t);
        return to_html_fragment(sheet.tables, sheet.title);
    }, "_repr_html_(self)\n--\n\nWhat a notebook shows.")
        .def("_repr_markdown_", [=](const T& t) { return sheet_of(t).markdown(); }, "_repr_markdown_(self)\n--\n\nWhat a notebook without HTML shows.");
}

template <class Class, class SheetOf>
void add_written_forms(Class& c, SheetOf sheet_of) {
    using T = typename Class::type;
    c.def("to_markdown", [=](const T& t) { return sheet_of(t).markdown(); }, R"(to_markdown(self)
--

Write it as Markdown, with pipe tables.

    >>> ff.indications(state).to_markdown().splitlines()[0]
    '### What is shown'
)")
        .def("to_csv", [=](const T& t) { return to_csv(sheet_of(t).tables); }, R"(to_csv(self)
--

Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution.

Several tables follow one another, an empty line between them. Text a spreadsheet would run as a formula is
neutralised. Write it to a file opened with newline="".

    >>> ff.indications(state).to_csv().splitlines()[1]
    'bus_light,,,,,no,'
)")
        .def("to_html", [=](const T& t) {
            const Sheet sheet = sheet_of(t);
            return to_html(sheet.tables, sheet.title);
        }, R"(to_html(self)
--

Write it as an HTML page that needs nothing else; it prints on A4 and Letter.

    >>> ff.indications(state).to_html()[:15]
    '<!DOCTYPE html>'
)")
        .def("to_excel", [=](const T& t, const std::filesystem::path& path) {
            py::module_::import("fedfrom._frames").attr("write_excel")(py::cast(path), py::cast(sheet_of(t).tables));
        }, py::arg("path"), R"(to_excel(self, path)
--

Write it as an Excel workbook, a sheet a table, through pandas.

Each sheet ends with title, captions, footnotes and the caution. Text a spreadsheet would run as a formula is neutralised.

    >>> import os, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     ff.indications(state).to_excel(os.path.join(folder, "shown.xlsx"))

Raises:
    ImportError: Where pandas, or what it writes workbooks with, is not installed.
)")
        .def("to_json", [=](const T& t) { return sheet_of(t).json(); }, R"(to_json(self)
--

Write its table as JSON, or the list of its tables where it has several.

    >>> import json
    >>> json.loads(ff.indications(state).to_json())["rows"]
    [['bus_light', '', '', '', '', 'no', '']]
)");
}

template <class Class, class SheetOf>
void add_sheet_methods(Class& c, SheetOf sheet_of) {
    add_notebook_methods(c, sheet_of);
    add_written_forms(c, sheet_of);
}

/// A data frame of `records`, whose keys and kinds of value are those of `blank`.
inline py::object frame(const py::dict& blank, const py::list& records) {
    return py::module_::import("fedfrom._frames").attr("frame")(blank, records);
}

}  // namespace fedfrom::python
