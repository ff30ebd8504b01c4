/// A set of small numbers that are taken out in ascending order.
#pragma once

#include <algorithm>
#include <bit>
#include <cstdint>
#include <limits>
#include <vector>

namespace fedfrom::detail {

/// A bit a number, and a bit for each word of those that has any: a hole of 4,096 numbers costs one look. Most
/// looks find nothing; where all there is lies above, a bound says so at once.
class AscendingSet {
public:
    explicit AscendingSet(std::uint32_t size) : bits_((size + 63) / 64), filled_((bits_.size() + 63) / 64) {}

    void insert(std::uint32_t i) {
        bits_[i >> 6] |= bit(i);
        filled_[i >> 12] |= bit(i >> 6);
        bound_ = std::min(bound_, i);
    }

    bool has(std::uint32_t i) const { return (bits_[i >> 6] & bit(i)) != 0; }

    void insert_range(std::uint32_t first, std::uint32_t last) {
        for (std::uint32_t i = first; i < last; ++i) insert(i);
    }

    void remove_below(std::uint32_t end) {
        drain(0, end, [](std::uint32_t) {});
    }

    /// False: none. True: look.
    bool may_have_below(std::uint32_t end) const { return bound_ < end; }
    bool any_in(std::uint32_t from, std::uint32_t end) const {
        if (!may_have_below(end)) return false;
        from = std::max(from, bound_);
        return from < end && find(from, end) < end;
    }

    /// Takes out all numbers in [from, end) and calls with each, in ascending order. What a call inserts from its own number on is met too.
    template <class Call>
    void drain(std::uint32_t from, std::uint32_t end, Call call) {
        if (!may_have_below(end)) return;
        bool none_below = from <= bound_;
        std::uint32_t i = std::max(from, bound_);
        while (i < end && (i = find(i, end)) < end) {
            if (none_below) bound_ = i;
            std::uint64_t& word = bits_[i >> 6];
            word &= ~bit(i);
            if (word == 0) filled_[i >> 12] &= ~bit(i >> 6);
            call(i);
            none_below = none_below && bound_ == i;  // the call may insert below too
        }
        if (none_below) bound_ = i;
    }

private:
    std::vector<std::uint64_t> bits_, filled_;
    std::uint32_t bound_ = std::numeric_limits<std::uint32_t>::max();  // there is none below

    static std::uint64_t bit(std::uint32_t i) { return std::uint64_t{1} << (i & 63); }
    static std::uint64_t at_or_above(std::uint32_t i) { return ~std::uint64_t{0} << (i & 63); }

    /// The smallest number from `from` on, or something from `end` on below which there is none from `from` on.
    std::uint32_t find(std::uint32_t from, std::uint32_t end) const {
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
