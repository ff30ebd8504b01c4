/// What a model, a network and a state show of themselves in a notebook.
#pragma once

#include <fedfrom/solve/state.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom::python {

Table summary(const Model& model);
Table summary(const Network& net);
Table summary(const State& state);

}  // namespace fedfrom::python
