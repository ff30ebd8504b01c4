/// What smaller combinations do to a goal already, so that only minimal ones count.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

namespace fedfrom::detail {

/// Which combinations of up to two events take a goal across a threshold: themselves, or a part of them.
/// Kept as 64 bits for each 8 × 8 events, only where there are any.
class Closure {
public:
    void add(std::uint32_t a, std::uint32_t b) {
        set(a, b);
        set(b, a);
    }
    void add(std::uint32_t a) { single_[a / 64] |= std::uint64_t{1} << (a % 64); }
    bool has(std::uint32_t a) const { return single_[a / 64] >> (a % 64) & 1; }
    std::uint64_t single_word(std::uint32_t word) const { return word < single_.size() ? single_[word] : 0; }
    /// Bit 8·a+b: events 8·ga+a and 8·gb+b.
    std::uint64_t pairs(std::uint32_t ga, std::uint32_t gb) const { return pair_.empty() ? 0 : pair_[std::size_t{ga} * groups_ + gb]; }
    bool has(std::uint32_t a, std::uint32_t b) const { return pairs(a / 8, b / 8) >> (8 * (a % 8) + b % 8) & 1; }
    /// Takes out of a set of events, as words, those that do it together with `a`.
    void take_out(std::vector<std::uint64_t>& set, std::uint32_t a) const {
        for (std::uint32_t g = 0; !pair_.empty() && g < groups_; ++g) set[g / 8] &= ~((pairs(a / 8, g) >> (8 * (a % 8)) & 0xff) << (8 * (g % 8)));
    }
    bool any_single() const { return some_single_; }
    /// Without any event it is crossed already.
    bool everything() const { return everything_; }
    void add_everything() { everything_ = true; }
    bool any_pair() const { return !pair_.empty(); }
    void resize(std::uint32_t events) {
        groups_ = (events + 7) / 8;
        single_.assign((events + 63) / 64 + 1, 0);
    }
    void single_done() { some_single_ = std::ranges::any_of(single_, [](std::uint64_t w) { return w != 0; }); }

private:
    std::uint32_t groups_ = 0;
    std::vector<std::uint64_t> single_, pair_;
    bool some_single_ = false, everything_ = false;

    void set(std::uint32_t a, std::uint32_t b) {
        if (pair_.empty()) pair_.assign(std::size_t{groups_} * groups_, 0);
        pair_[std::size_t{a / 8} * groups_ + b / 8] |= std::uint64_t{1} << (8 * (a % 8) + b % 8);
    }
};

}  // namespace fedfrom::detail
