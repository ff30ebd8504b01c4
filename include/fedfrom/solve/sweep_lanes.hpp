/// The 512 lanes of a block: one by one, and which of them hold which combination.
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>

#include <fedfrom/network/compiled.hpp>

namespace fedfrom::detail {

template <class W>
bool bit(const W& w, std::uint32_t lane) { return w.bits[lane / 64] >> (lane % 64) & 1; }
template <class W>
void set_bit(W& w, std::uint32_t lane) { w.bits[lane / 64] |= std::uint64_t{1} << (lane % 64); }
template <class W, class Call>
void each_lane(const W& lanes, Call call) {
    for (std::uint32_t w = 0; w < W::words; ++w)
        for (std::uint64_t rest = lanes.bits[w]; rest; rest &= rest - 1) call(64 * w + static_cast<std::uint32_t>(std::countr_zero(rest)));
}

/// Bit b of a byte drawn out to byte b of a word.
inline std::uint64_t drawn_out(std::uint64_t byte) {
    static constexpr auto table = [] {
        std::array<std::uint64_t, 256> words{};
        for (unsigned i = 0; i < 256; ++i)
            for (unsigned b = 0; b < 8; ++b)
                if (i >> b & 1) words[i] |= std::uint64_t{0xff} << (8 * b);
        return words;
    }();
    return table[byte];
}

/// How 512 lanes hold combinations of one, two (8 × 64) or three (8 × 8 × 8) events, or one lane that of none.
struct Layout {
    int order;
    std::uint32_t width(int axis) const { return order == 1 ? 512 : order == 2 && axis == 1 ? 64 : 8; }
    std::array<std::uint32_t, 3> place(std::uint32_t lane) const {
        if (order == 0) return {none, none, none};
        if (order == 1) return {lane, none, none};
        if (order == 2) return {lane / 64, lane % 64, none};
        return {lane / 64, lane / 8 % 8, lane % 8};
    }
    /// The lanes of one event of an axis, as eight words.
    std::array<std::uint64_t, 8> lanes(int axis, std::uint32_t place) const {
        std::array<std::uint64_t, 8> words{};
        if (order == 1) words[place / 64] = std::uint64_t{1} << (place % 64);
        else if (axis == 0) words[place] = ~std::uint64_t{0};
        else if (order == 2) words.fill(std::uint64_t{1} << place);
        else words.fill(axis == 1 ? std::uint64_t{0xff} << (8 * place) : std::uint64_t{0x0101010101010101} << place);
        return words;
    }
};

}  // namespace fedfrom::detail
