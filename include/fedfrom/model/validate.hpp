/// What is wrong with a model, all of it at once.
///
///     Model m{.name = "One bus"};
///     m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "batery"}}}}};
///     for (const Diagnostic& d : validate(m)) std::cout << text(d) << '\n';
///     // /elements/bus/inputs/power/0: `batery` is not in the model. [dangling_id]
///
/// Reading a file does this too. What hangs on the evaluation order (negative
/// cycles, rings of logic positions) is found when the network is built, and
/// variants are applied and checked by io/variant.hpp.
#pragma once

#include <vector>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/model/model.hpp>

namespace fedfrom {

/// Lists every problem, in the order of the collections, ids and keys; empty for a good model. At most
/// `most_diagnostics` are listed, then one `more_follow`. Never throws on a bad model. The pointers name
/// the place in the JSON form of the model; file, line and column are left empty. Linear in the model.
std::vector<Diagnostic> validate(const Model& model);

}  // namespace fedfrom
