// Counts of sets that may be more than can be counted, which 2^64 - 1 stands for.
#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <string>

namespace fedfrom::detail {

inline constexpr std::uint64_t uncounted = std::numeric_limits<std::uint64_t>::max();

inline std::string count_text(std::uint64_t n) { return n == uncounted ? "more than can be counted" : std::to_string(n); }

inline std::uint64_t sum_of(std::span<const std::uint64_t> counts) {
    std::uint64_t sum = 0;
    for (const std::uint64_t n : counts) sum = n > uncounted - sum ? uncounted : sum + n;
    return sum;
}

/// A sentence where not all are listed, else empty.
inline std::string how_many_listed(std::span<const std::uint64_t> counts, std::size_t listed) {
    const std::uint64_t all = sum_of(counts);
    return all > listed ? "Only the first " + std::to_string(listed) + " of " + count_text(all) + " sets are listed." : std::string();
}

}  // namespace fedfrom::detail
