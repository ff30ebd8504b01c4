/// The version of the library. The one place it is written: CMake and the
/// Python package read it from this line.
#pragma once

#include <string_view>

namespace fedfrom {

inline constexpr std::string_view version = "0.1.0";

}  // namespace fedfrom
