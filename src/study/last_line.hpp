/// What stands between something that works and its loss.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include <fedfrom/study/why.hpp>

namespace fedfrom::detail {

/// A network too large for this many gates to be evaluated is not examined to the end, and that is said.
inline constexpr std::size_t most_gates = 500'000'000;

LastLine last_line_of_function(const Outcome& out, std::uint32_t function);
LastLine last_line_of_element(const Outcome& out, std::uint32_t element);

/// One sentence each.
std::vector<std::string> sentences(const Compiled& c, const LastLine& last);

}  // namespace fedfrom::detail
