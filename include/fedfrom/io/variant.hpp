/// Variants: an aircraft written as a patch on another.
///
///     Model b = variant_of(m, "b");   // b.variant == "b"
///
/// A patch is an RFC 7396 merge patch (an object) or a list of RFC 6902
/// operations; it is applied to the canonical JSON text of the model
/// (io/write.hpp), so that a path of an operation names a place in that text: a
/// key that has its default is not there and is added, not replaced. A variant
/// may build on another (`on`); a patch cannot change the variants themselves.
#pragma once

#include <string_view>
#include <vector>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/model/model.hpp>

namespace fedfrom {

/// The model with a variant's patches applied, validated, keeping its list of variants. "" or the name
/// of the base gives the model itself. Throws UnknownId with the nearest variant, and ModelError if a patch
/// does not apply or what comes of it is wrong. A model that is a variant already only gives itself.
Model variant_of(const Model& model, std::string_view variant);

/// Applies and validates every variant; lists what is wrong at `/variants/<id>`, each problem once: not
/// what the model itself, or the variant it builds on, has too. Reading a file does this.
std::vector<Diagnostic> check_variants(const Model& model);

}  // namespace fedfrom
