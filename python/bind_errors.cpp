// Every exception of the module, and the diagnostics ModelError carries.
#include "bindings.hpp"

#include <fedfrom/model/diagnostic.hpp>

namespace fedfrom::python {

void bind_errors(py::module_& m) {
    py::class_<Diagnostic>(m, "Diagnostic", "One problem of a model: where it is, what is wrong, how to mend it.")
        .def_readonly("code", &Diagnostic::code, "Stable id of the kind of problem.")
        .def_readonly("pointer", &Diagnostic::pointer, "RFC 6901 JSON pointer into the model.")
        .def_readonly("message", &Diagnostic::message)
        .def_readonly("hint", &Diagnostic::hint)
        .def_readonly("file", &Diagnostic::file)
        .def_readonly("line", &Diagnostic::line, "From 1; 0 where the model did not come from text.")
        .def_readonly("column", &Diagnostic::column)
        .def("__str__", [](const Diagnostic& d) { return text(d); })
        .def("__repr__", [](const Diagnostic& d) { return "<Diagnostic " + text(d) + ">"; });

    // Kept for the life of the process: the translator below needs them until the interpreter ends.
    static PyObject* error = py::exception<Error>(m, "Error").release().ptr();
    static PyObject* model_error = py::exception<ModelError>(m, "ModelError", error).release().ptr();
    static PyObject* unknown_id = py::exception<UnknownId>(m, "UnknownId", error).release().ptr();
    static PyObject* not_possible = py::exception<NotPossible>(m, "NotPossible", error).release().ptr();
    py::handle(error).attr("__doc__") = "Base of every exception the module raises itself.";
    py::handle(model_error).attr("__doc__") = "A model with problems; `diagnostics` lists every one.";
    py::handle(unknown_id).attr("__doc__") = "An id no collection knows; the message names the nearest.";
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
        } catch (const NotPossible& e) {
            PyErr_SetString(not_possible, e.what());
        } catch (const Error& e) {
            PyErr_SetString(error, e.what());
        }
    });
}

}  // namespace fedfrom::python
