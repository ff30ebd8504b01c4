/// Finds where in a text the values are that JSON pointers name.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/model/diagnostic.hpp>

#include "reader.hpp"

namespace fedfrom::io {

/// Gives each diagnostic the offset of the value its pointer names, or of the nearest value above it that
/// is there. One pass over the text, which must be JSON.
std::vector<Found> locate(std::string_view text, std::vector<Diagnostic> diagnostics);

/// Orders by place in the text and fills in `file`, `line` and `column`. Columns count characters.
std::vector<Diagnostic> place(std::string_view text, std::string_view file, std::vector<Found> found);

}  // namespace fedfrom::io
