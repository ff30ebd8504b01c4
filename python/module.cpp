// The module's table of contents; each family has a file of its own.
#include "bindings.hpp"

#include <fedfrom/table/caution.hpp>
#include <fedfrom/version.hpp>

PYBIND11_MODULE(_fedfrom, m) {
    using namespace fedfrom::python;
    m.attr("__version__") = std::string(fedfrom::version);
    m.attr("caution") = std::string(fedfrom::caution);
    bind_errors(m);
    bind_model(m);
    bind_network(m);
    bind_state(m);
    bind_outcome(m);
    bind_table(m);
    bind_study(m);
}
