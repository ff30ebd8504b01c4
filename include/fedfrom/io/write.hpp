/// Writes a model as JSON, in one canonical form.
///
///     std::string json = write_model(m);
///     assert(parse_model(json) == m && write_model(parse_model(json)) == json);
///
/// Keys come in the order of the members in model/*.hpp, ids in id order.
/// What has its default is left out, and the shortest form is used: `"id"` for a
/// feed without `via`, a plain list for a priority port, `"follows": "handle"`
/// without a map. Indented by two spaces; what fits in 100 columns is on one line.
#pragma once

#include <filesystem>
#include <string>

#include <fedfrom/model/model.hpp>

namespace fedfrom {

/// The JSON text, ending in a newline. Throws ModelError if the model holds what JSON cannot: a number
/// that is not finite, text that is not UTF-8, a variant's patch that is not JSON.
std::string write_model(const Model& model);

/// Writes the text to a new file beside `path` and renames it, so that `path` is never half-written.
/// Throws Error if the file cannot be written.
void write_model_file(const Model& model, const std::filesystem::path& path);

}  // namespace fedfrom
