/// Text eight bytes at a time: what most of it is can be told without looking at each byte.
#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>

namespace fedfrom::io {

using EightBytes = std::uint64_t;

inline EightBytes eight_bytes_at(const char* text) {
    EightBytes eight = 0;
    std::memcpy(&eight, text, sizeof eight);
    return eight;
}

/// The same byte eight times.
constexpr EightBytes eight_times(unsigned char byte) { return 0x0101010101010101u * byte; }

/// Marks each byte that is zero, by its high bit.
constexpr EightBytes zero_bytes(EightBytes eight) {
    constexpr EightBytes low = eight_times(0x7F);
    return ~(((eight & low) + low) | eight | low);
}

/// How many bytes of the text stand before the first that is marked.
constexpr std::size_t before_first(EightBytes marks) {
    const int bits = std::endian::native == std::endian::little ? std::countr_zero(marks) : std::countl_zero(marks);
    return static_cast<std::size_t>(bits) / 8;
}

}  // namespace fedfrom::io
