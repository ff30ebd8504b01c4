/// The caution every printed sheet carries. Written here and nowhere else.
#pragma once

#include <string_view>

namespace fedfrom {

inline constexpr std::string_view caution =
    "For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment "
    "list, and the authority's rules, govern.";

}  // namespace fedfrom
