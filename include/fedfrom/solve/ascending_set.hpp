/// A set of small numbers that are taken out in ascending order.
#pragma once

#include <bit>
#include <cstdint>
#include <vector>

namespace fedfrom::detail {

/// A bit a number and a bit a word of those, so that a hole of 4,096 numbers costs one look.
class AscendingSet {
public:
    explicit AscendingSet(std::uint32_t size) : bits_((size + 63) / 64), words_((bits_.size() + 63) / 64) {}

    void insert(std::uint32_t i) {
        bits_[i >> 6] |= bit(i);
        words_[i >> 12] |= bit(i >> 6);
    }

    bool has(std::uint32_t i) const { return (bits_[i >> 6] & bit(i)) != 0; }

    void insert_range(std::uint32_t first, std::uint32_t last) {
        for (std::uint32_t i = first; i < last; ++i) insert(i);
    }

    void remove_below(std::uint32_t end) {
        for (std::uint32_t i = 0; (i = take(i, end)) < end;) {}
    }

    bool any_in(std::uint32_t from, std::uint32_t end) const {
        for (; from < end; from = (from | 63) + 1)
            if (const std::uint64_t here = bits_[from >> 6] & at_or_above(from)) return (from & ~63u) + static_cast<std::uint32_t>(std::countr_zero(here)) < end;
        return false;
    }

    /// Takes out the smallest number in [from, end); gives `end` where there is none.
    std::uint32_t take(std::uint32_t from, std::uint32_t end) {
        while (from < end) {
            const std::uint64_t in_word = bits_[from >> 6] & at_or_above(from);
            if (in_word) {
                const std::uint32_t found = (from & ~63u) + static_cast<std::uint32_t>(std::countr_zero(in_word));
                if (found >= end) return end;
                bits_[found >> 6] &= ~bit(found);
                return found;
            }
            if (!bits_[from >> 6]) words_[from >> 12] &= ~bit(from >> 6);
            from = next_word(from >> 6) << 6;
        }
        return end;
    }

private:
    std::vector<std::uint64_t> bits_, words_;

    static std::uint64_t bit(std::uint32_t i) { return std::uint64_t{1} << (i & 63); }
    static std::uint64_t at_or_above(std::uint32_t i) { return ~std::uint64_t{0} << (i & 63); }

    /// The next word after `word` that may have a bit.
    std::uint32_t next_word(std::uint32_t word) const {
        for (std::uint32_t w = word + 1; w < bits_.size(); w = (w | 63) + 1)
            if (const std::uint64_t filled = words_[w >> 6] & at_or_above(w)) return (w & ~63u) + static_cast<std::uint32_t>(std::countr_zero(filled));
        return static_cast<std::uint32_t>(bits_.size());
    }
};

}  // namespace fedfrom::detail
