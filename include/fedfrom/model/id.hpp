/// What an id is.
#pragma once

#include <array>
#include <cstddef>
#include <string_view>

namespace fedfrom::model {

/// The most characters of an id.
inline constexpr std::size_t longest_id = 128;

/// By character: it may stand in an id. A table, as all ids of a model are checked twice.
inline constexpr std::array<bool, 256> may_stand_in_id = [] {
    std::array<bool, 256> table{};
    for (const char c : std::string_view("abcdefghijklmnopqrstuvwxyz0123456789_")) table[static_cast<unsigned char>(c)] = true;
    return table;
}();

/// Whether it matches `[a-z][a-z0-9_]*` and is not absurdly long.
constexpr bool is_id(std::string_view text) {
    if (text.empty() || text.size() > longest_id || text[0] < 'a' || text[0] > 'z') return false;
    for (const char c : text)
        if (!may_stand_in_id[static_cast<unsigned char>(c)]) return false;
    return true;
}

}  // namespace fedfrom::model
