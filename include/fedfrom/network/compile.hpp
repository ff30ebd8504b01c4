/// Model to compiled network. The bodies stand in compile.ipp, so that a host
/// that links the library does not compile the compiler.
#pragma once

#include <memory>

#include <fedfrom/network/compiled.hpp>

namespace fedfrom::detail {

/// Validates and compiles. Linear in the size of the model, but for looking ids up (logarithmic).
/// Throws ModelError with every problem, naming the members of a loop that has no meaning.
std::shared_ptr<const Compiled> compile(Model model);

/// The same for a model that `validate` has found nothing wrong with, as `read_model` gives them.
std::shared_ptr<const Compiled> compile_valid(Model model);

}  // namespace fedfrom::detail
