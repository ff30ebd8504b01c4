/// What somebody who looks sees: a lamp that is not lit looks the same, whether it has nothing to say or no supply.
#pragma once

#include <optional>
#include <string>

#include <fedfrom/solve/outcome.hpp>

namespace fedfrom::detail {

/// Whether its look without supply is also its look in order with nothing to show: of a lamp with a reading
/// for each case, or with no conditions but the switches on its own supply, it is not.
bool shows_as_nothing(const Element& e);

/// What is seen of a text shown: of a lamp that shows nothing, its word without supply.
std::string seen_as(const Element& e, std::string text);

/// What is seen of an element with `shows`; no value where unknown.
std::optional<std::string> seen(const Outcome& out, ElementHandle element);

}  // namespace fedfrom::detail
