/// Reading with the steps apart, for the rooms of io.
#pragma once

#include <string_view>

#include <fedfrom/io/read.hpp>

namespace fedfrom::io {

inline constexpr std::string_view format_tag = "fedfrom/1";

enum class Variants : bool { leave, check };

/// As `try_parse_model`; with `Variants::leave` no variant is applied.
ReadResult parse(std::string_view text, std::string_view file, Variants variants);

}  // namespace fedfrom::io
