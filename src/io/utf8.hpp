/// Checks text for UTF-8.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace fedfrom::io {

/// The offset of the first byte that is not well-formed UTF-8 (RFC 3629: no surrogates, no overlong
/// forms, nothing above U+10FFFF), or npos.
std::size_t find_invalid_utf8(std::string_view text);

/// Appends a code point.
void append_utf8(std::string& out, char32_t code);

}  // namespace fedfrom::io
