/// An element by whatever it is called.
#pragma once

#include <string_view>

#include <fedfrom/network/network.hpp>

namespace fedfrom::detail {

/// By id; else by id, name or alias in any case. UnknownId naming the nearest, or every one of several that bear the name.
ElementHandle element_named(const Network& net, std::string_view name);

/// Letters small (A to Z alone), for names that are the same in any case.
std::string in_small_letters(std::string_view text);

}  // namespace fedfrom::detail
