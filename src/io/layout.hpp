/// Lays out compact JSON for people.
#pragma once

#include <string>
#include <string_view>

namespace fedfrom::io {

/// Breaks compact JSON into lines, indented by two spaces. The document and its own objects always get a line
/// for each member; anything else stays on one line if that ends within 100 columns. Ends in a newline.
std::string lay_out(std::string_view compact);

}  // namespace fedfrom::io
