/// Variations of one settled state, 64 side by side: which elements are supplied, how functions stand.
///
/// A variation is what is written into the state's memory, in one step (rule 8 of the contract). Each is settled and
/// judged as `settle` does it; where something hunts in one, it is settled alone.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/solve/writes.hpp>

namespace fedfrom::detail {

using Writes = std::vector<Write>;

/// What it takes to make the first state's memory the second's.
Writes writes_between(const State& from, const State& to);

class Variations {
public:
    static constexpr std::size_t at_once = 64;

    /// Judges these functions, and those whose level they read.
    Variations(const State& settled, const std::vector<std::uint32_t>& functions);

    /// Up to 64 variations. What follows is of the last ones settled.
    void settle(std::span<const Writes> variations);

    /// In the state itself, no demand applied; no value: unknown.
    std::optional<bool> truth(Literal l, std::size_t variation) const;
    /// Level and mode; `now` is not asked.
    Judgement judged(std::uint32_t function, std::size_t variation) const;
    bool hunts(std::size_t variation) const { return alone_[variation] && !alone_[variation]->hunting().empty(); }

    std::size_t settled() const { return count_; }

private:
    const State base_;
    const Compiled& c_;
    Settler<Lanes> settler_;
    Frozen<Lanes> frozen_;
    std::vector<std::uint32_t> order_;                // functions judged, those read first
    std::vector<std::vector<Lanes>> values_;          // by demand; empty where no function asks for it
    std::vector<std::vector<Lanes>> holds_;           // by function, by mode: it is the best that holds
    std::vector<std::optional<Outcome>> alone_{at_once};
    std::size_t count_ = 0;

    Lanes settle_copy(std::span<const Lanes> memory, std::uint32_t demand);
    void judge(std::uint32_t function);
    Outcome settled_alone(const Writes& writes) const;
};

}  // namespace fedfrom::detail
