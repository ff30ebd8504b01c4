/// Sets of places, each kept once.
#pragma once

#include <algorithm>
#include <bit>
#include <cstdint>
#include <span>
#include <unordered_map>
#include <vector>

namespace fedfrom::detail {

// Sets as words of bits.
inline void add(std::span<std::uint64_t> to, std::span<const std::uint64_t> more) {
    for (std::size_t w = 0; w < to.size(); ++w) to[w] |= more[w];
}
inline void keep_only(std::span<std::uint64_t> of, std::span<const std::uint64_t> those) {
    for (std::size_t w = 0; w < of.size(); ++w) of[w] &= those[w];
}

/// A bit a place. Sets go by number; number 0 is everywhere, which is also said of a set there is no room for.
class PlaceSets {
public:
    static constexpr std::uint32_t everywhere = 0;

    PlaceSets() = default;
    /// `room`: so many words of sets.
    PlaceSets(std::uint32_t places, std::size_t room) : words_(places / 64 + 1), most_(room / words_) {}

    /// Of a set.
    std::uint32_t words() const { return words_; }
    std::uint32_t count() const { return count_ + 1; }
    /// Not of 0.
    std::span<const std::uint64_t> of(std::uint32_t number) const { return {bits_.data() + std::size_t{number - 1} * words_, words_}; }

    std::uint32_t number_of(std::span<const std::uint64_t> set) {
        std::uint64_t hash = 0, odd = 0x9e3779b97f4a7c15u;  // a factor a word, so that none waits for the other
        for (const std::uint64_t word : set) hash += (word ^ word >> 29) * odd, odd += 0x3c6ef372fe94f82au;
        const auto [known, added] = numbers_.try_emplace(hash, count_ + 1);
        if (!added && std::ranges::equal(of(known->second), set)) return known->second;
        if (count_ == most_) {
            if (added) numbers_.erase(known);
            return everywhere;
        }
        bits_.insert(bits_.end(), set.begin(), set.end());
        return ++count_;
    }

private:
    std::uint32_t words_ = 0, count_ = 0;
    std::size_t most_ = 0;
    std::vector<std::uint64_t> bits_;
    std::unordered_map<std::uint64_t, std::uint32_t> numbers_;  // by hash; of two sets with the same one the second may be kept again and again
};

/// Bit j of word i becomes bit i of word j.
inline void transpose(std::uint64_t (&words)[64]) {
    std::uint64_t low = 0x00000000ffffffffu;
    for (unsigned step = 32; step; step /= 2, low ^= low << step)
        for (unsigned i = 0; i < 64; i = (i + step + 1) & ~step) {
            const std::uint64_t swapped = ((words[i] >> step) ^ words[i + step]) & low;
            words[i] ^= swapped << step;
            words[i + step] ^= swapped;
        }
}

}  // namespace fedfrom::detail
