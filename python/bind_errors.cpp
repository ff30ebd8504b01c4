// Every exception of the module, and the diagnostics ModelError carries.
#include "bindings.hpp"

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/solve/snapshot.hpp>

namespace fedfrom::python {

namespace {

auto diagnostic_fields(const Diagnostic& d) { return py::make_tuple(d.code, d.pointer, d.message, d.hint, d.file, d.line, d.column); }

Diagnostic diagnostic_from(const py::tuple& fields) {
    return {fields[0].cast<std::string>(), fields[1].cast<std::string>(), fields[2].cast<std::string>(), fields[3].cast<std::string>(),
            fields[4].cast<std::string>(), fields[5].cast<int>(), fields[6].cast<int>()};
}

}  // namespace

void bind_errors(py::module_& m) {
    py::class_<Diagnostic>(m, "Diagnostic", R"(One problem of a model: where it is, what is wrong, how to mend it.

    >>> try:
    ...     ff.Model(name="Wrong", elements={"bus": {"kind": "bos"}})
    ... except ff.ModelError as error:
    ...     for problem in error.diagnostics:
    ...         print(problem.code, problem.pointer, problem.hint)
    bad_word /elements/bus/kind Did you mean `bus`?
)")
        .def_readonly("code", &Diagnostic::code, "Stable id of the kind of problem.")
        .def_readonly("pointer", &Diagnostic::pointer, "RFC 6901 JSON pointer into the model.")
        .def_readonly("message", &Diagnostic::message, "What is wrong, in a sentence.")
        .def_readonly("hint", &Diagnostic::hint, "How to mend it; empty where nothing is near.")
        .def_readonly("file", &Diagnostic::file, "The file it was read from; empty where the model did not come from one.")
        .def_readonly("line", &Diagnostic::line, "From 1; 0 where the model did not come from text.")
        .def_readonly("column", &Diagnostic::column, "From 1, in characters; 0 where the model did not come from text.")
        .def("__eq__", [](const Diagnostic& a, const Diagnostic& b) { return a == b; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__hash__", [](const Diagnostic& d) { return py::hash(diagnostic_fields(d)); }, "__hash__(self, /)\n--\n\n")
        .def("__str__", [](const Diagnostic& d) { return text(d); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Diagnostic& d) { return "<Diagnostic " + text(d) + ">"; }, "__repr__(self, /)\n--\n\n")
        .def(py::pickle(&diagnostic_fields, &diagnostic_from));

    // Kept for the life of the process: the translator below needs them until the interpreter ends.
    static PyObject* error = py::exception<Error>(m, "Error").release().ptr();
    static PyObject* model_error = py::exception<ModelError>(m, "ModelError", error).release().ptr();
    static PyObject* unknown_id = py::exception<UnknownId>(m, "UnknownId", error).release().ptr();
    static PyObject* not_possible = py::exception<NotPossible>(m, "NotPossible", error).release().ptr();
    static PyObject* snapshot_mismatch = py::exception<SnapshotMismatch>(m, "SnapshotMismatch", error).release().ptr();
    py::handle(error).attr("__doc__") = "Base of every exception the module raises itself.";
    py::handle(model_error).attr("__doc__") = "A model with problems; `diagnostics` lists every one.";
    py::handle(model_error).attr("diagnostics") = py::list();
    py::handle(unknown_id).attr("__doc__") = "An id no collection knows; the message names the nearest.";
    py::handle(snapshot_mismatch).attr("__doc__") = "Bytes that are no state of this network; the message says what differs.";
    py::handle(not_possible).attr("__doc__") = "An event or question the aircraft does not allow.";

    py::register_exception_translator([](std::exception_ptr p) {
        try {
            std::rethrow_exception(p);
        } catch (const ModelError& e) {
            py::object raised = py::handle(model_error)(e.what());
            raised.attr("diagnostics") = py::cast(e.diagnostics);
            PyErr_SetObject(model_error, raised.ptr());
        } catch (const UnknownId& e) {
            PyErr_SetString(unknown_id, e.what());
        } catch (const SnapshotMismatch& e) {
            PyErr_SetString(snapshot_mismatch, e.what());
        } catch (const NotPossible& e) {
            PyErr_SetString(not_possible, e.what());
        } catch (const Error& e) {
            PyErr_SetString(error, e.what());
        }
    });
}

}  // namespace fedfrom::python
