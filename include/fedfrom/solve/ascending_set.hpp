/// A set of small numbers that are taken out in ascending order.
#pragma once

#include <bit>
#include <cstdint>
#include <vector>

namespace fedfrom::detail {

/// A bit a number, and a bit for each word of those that has any: a hole of 4,096 numbers costs one look.
class AscendingSet {
public:
    explicit AscendingSet(std::uint32_t size) : bits_((size + 63) / 64), filled_((bits_.size() + 63) / 64) {}

    void insert(std::uint32_t i) {
        bits_[i >> 6] |= bit(i);
        filled_[i >> 12] |= bit(i >> 6);
    }

    bool has(std::uint32_t i) const { return (bits_[i >> 6] & bit(i)) != 0; }

    void insert_range(std::uint32_t first, std::uint32_t last) {
        for (std::uint32_t i = first; i < last; ++i) insert(i);
    }

    void remove_below(std::uint32_t end) {
        for (std::uint32_t i = 0; (i = take(i, end)) < end;) {}
    }

    bool any_in(std::uint32_t from, std::uint32_t end) const { return find(from, end) < end; }

    /// Takes out the smallest number in [from, end); gives `end` where there is none.
    std::uint32_t take(std::uint32_t from, std::uint32_t end) {
        const std::uint32_t found = find(from, end);
        if (found >= end) return end;
        std::uint64_t& word = bits_[found >> 6];
        word &= ~bit(found);
        filled_[found >> 12] &= ~(std::uint64_t{word == 0} << (found >> 6 & 63));
        return found;
    }

private:
    std::vector<std::uint64_t> bits_, filled_;

    static std::uint64_t bit(std::uint32_t i) { return std::uint64_t{1} << (i & 63); }
    static std::uint64_t at_or_above(std::uint32_t i) { return ~std::uint64_t{0} << (i & 63); }

    /// The smallest number from `from` on, or something from `end` on.
    std::uint32_t find(std::uint32_t from, std::uint32_t end) const {
        if (from >= end) return end;
        if (const std::uint64_t here = bits_[from >> 6] & at_or_above(from)) return (from & ~63u) + static_cast<std::uint32_t>(std::countr_zero(here));
        for (std::uint32_t word = (from >> 6) + 1; word << 6 < end; word = (word | 63) + 1)
            if (const std::uint64_t filled = filled_[word >> 6] & at_or_above(word)) {
                word = (word & ~63u) + static_cast<std::uint32_t>(std::countr_zero(filled));
                return (word << 6) + static_cast<std::uint32_t>(std::countr_zero(bits_[word]));
            }
        return end;
    }
};

}  // namespace fedfrom::detail
