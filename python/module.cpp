// The module's table of contents; each family has a file of its own.
#include "bindings.hpp"

#include <fedfrom/table/caution.hpp>
#include <fedfrom/version.hpp>

namespace {

namespace py = pybind11;

py::dict build_config() {
    py::dict config;
    config["version"] = std::string(fedfrom::version);
#ifdef __clang__
    config["compiler"] = "clang " __clang_version__;
#else
    config["compiler"] = "gcc " __VERSION__;
#endif
    config["cpp_standard"] = static_cast<long>(__cplusplus);
    config["build_type"] = FEDFROM_BUILD_TYPE;
    config["pybind11"] = PYBIND11_TOSTRING(PYBIND11_VERSION_MAJOR) "." PYBIND11_TOSTRING(PYBIND11_VERSION_MINOR) "." PYBIND11_TOSTRING(PYBIND11_VERSION_PATCH);
    config["python"] = PY_VERSION;
    config["platform"] = py::module_::import("sysconfig").attr("get_platform")();
    return config;
}

}  // namespace

PYBIND11_MODULE(_fedfrom, m) {
    using namespace fedfrom::python;
    py::options options;
    options.disable_function_signatures();  // each docstring begins with its own: see bindings.hpp
    m.attr("__version__") = std::string(fedfrom::version);
    m.attr("caution") = std::string(fedfrom::caution);
    m.def("build_config", &build_config, R"(build_config()
--

Say how this module was built, for a bug report.

Returns:
    A dict of version, compiler, cpp_standard, build_type, pybind11, python and platform.

    >>> ff.build_config()["version"] == ff.__version__
    True
)");
    bind_errors(m);
    bind_model(m);
    bind_network(m);
    bind_state(m);
    bind_session(m);
    bind_outcome(m);
    bind_table(m);
    bind_study(m);
    bind_why(m);
    bind_supply(m);
    bind_lint(m);
    bind_dispatch(m);
    bind_sweep(m);
    bind_cut_sets(m);
    bind_implicants(m);
    bind_risk(m);
    bind_crew(m);
    bind_controls(m);
    bind_timeline(m);
    bind_coverage(m);
    bind_diagnose(m);
    bind_load(m);
    bind_power_balance(m);
    bind_compare(m);
    bind_truth_table(m);
    bind_plan(m);
    // Users, error messages and pickles know one module.
    for (const auto& [name, member] : py::reinterpret_borrow<py::dict>(m.attr("__dict__")))
        if (PyCallable_Check(member.ptr())) member.attr("__module__") = "fedfrom";
}
