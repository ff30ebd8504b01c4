/// What single events and pairs of a sweep come to: kept of blocks that are traced.
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/solve/ascending_set.hpp>
#include <fedfrom/solve/sweep_lanes.hpp>
#include <fedfrom/solve/sweep_work.hpp>
#include <fedfrom/solve/trace.hpp>

namespace fedfrom::detail {

template <class W>
class SweepComings {
public:
    /// What its lanes have, which of them count, and whether those have two events.
    struct Block {
        std::span<const std::array<std::uint32_t, 3>> events;
        const W& valid;
        bool pairs;
    };

    /// `sweeper`: at rest.
    SweepComings(const SweepWork& work, Sweeper<W>& sweeper)
        : work_(work), sweeper_(sweeper), trace_(Traced(work.plan.c).count, Traced(work.plan.c).zones), coming_(work.candidates->meetings().places().count()), come_to_(work.candidates->meetings().places().count()), leaves_at_rest_(work.goals.size()) {
        each_leaf([&](std::uint32_t goal, std::uint32_t i, std::uint32_t leaf, Variable v) { leaves_at_rest_[goal] |= std::uint32_t{any(sweeper_.value(i, v))} << leaf; });
    }

    /// What a goal is judged by, as bits, with no event.
    std::uint32_t leaves_at_rest(std::uint32_t goal) const { return leaves_at_rest_[goal]; }

    /// From here on, or anew, blocks are traced, until `end`.
    void begin(typename Trace<W>::Lanes lanes) {
        trace_.begin(lanes);
        sweeper_.tell(&trace_);
    }
    void end() { sweeper_.tell(nullptr); }

    /// What comes where by one event alone, or by two together, and by one on top of the other.
    void keep(const Block& block, SweepFound& found) {
        const Meetings& known = work_.candidates->meetings();
        for (const std::uint32_t v : trace_.touched()) {
            const auto& changes = trace_.changes(v);
            for (const std::uint32_t place : known.places().of(v)) {
                come_to_.insert(place);
                coming_[place].together |= changes.together;
                coming_[place].by_row |= changes.by_row;
                coming_[place].by_column |= changes.by_column;
            }
        }
        if (work_.candidates->looks_on_top()) find_changed_leaves();
        if (block.pairs && work_.candidates->looks_on_top()) keep_on_top(block, found.on_top);
        come_to_.drain(0, known.places().count(), [&](std::uint32_t place) {
            each_lane(coming_[place].together & block.valid, [&](std::uint32_t lane) {
                for (const std::uint32_t e : block.events[lane])
                    if (e != none && !known.comes(e, place)) found.comings.push_back({place, e});
            });
            coming_[place] = {};
        });
        each_lane(sweeper_.wild() & block.valid, [&](std::uint32_t lane) {
            for (const std::uint32_t e : block.events[lane])
                if (e != none) found.wild.push_back(e);
        });
    }

private:
    const SweepWork& work_;
    Sweeper<W>& sweeper_;
    Trace<W> trace_;
    std::vector<typename Trace<W>::Changes> coming_;  // by place: where something comes to it
    AscendingSet come_to_;                            // places where it does
    std::vector<std::uint32_t> leaves_at_rest_;       // by goal

    /// Calls with each goal, its place in the plan, and each leaf of its table.
    template <class Call>
    void each_leaf(Call call) const {
        const auto tables = work_.candidates->tables();
        for (std::uint32_t i = 0; i < work_.goal_at.size(); ++i)
            if (const std::uint32_t goal = work_.goal_at[i]; goal != none && goal < tables.size())
                for (std::uint32_t leaf = 0; leaf < tables[goal].leaves().size(); ++leaf) call(goal, i, leaf, tables[goal].leaves()[leaf]);
    }

    /// What goals are judged by, as it is in the end.
    void find_changed_leaves() {
        each_leaf([&](std::uint32_t goal, std::uint32_t i, std::uint32_t leaf, Variable v) {
            const std::uint32_t place = work_.candidates->first_leaf(goal) + leaf;
            coming_[place] = trace_.changes_in(sweeper_.value(i, v));
            come_to_.insert(place);
        });
    }

    /// Of each lane where one of its events comes on top of the other.
    void keep_on_top(const Block& block, OnTop::Found& found) {
        const std::uint32_t words = found.sets.words();
        const W wild = sweeper_.wild();
        std::vector<std::uint64_t> sets(std::size_t{64} * words);
        for (std::uint32_t word = 0; word < W::words; ++word)
            for (const bool by_row : {true, false}) {
                if (block.valid.bits[word] == 0) continue;
                run_hot<W>([&] { list_coming(word, by_row, sets); });
                for (std::uint64_t rest = block.valid.bits[word]; rest; rest &= rest - 1) {
                    const auto i = static_cast<std::uint32_t>(std::countr_zero(rest));
                    const auto [a, b, nothing] = block.events[64 * word + i];
                    const std::uint32_t set = bit(wild, 64 * word + i) ? PlaceSets::everywhere : found.sets.number_of({&sets[std::size_t{i} * words], words});
                    found.comings.push_back(by_row ? OnTop::Coming{b, a, set} : OnTop::Coming{a, b, set});
                }
            }
    }

    /// By lane of a word, the places its row's event comes to on top of its column's, or the other way round: turned from lanes by place, 64 places after the other.
    void list_coming(std::uint32_t word, bool by_row, std::vector<std::uint64_t>& sets) const {
        const std::size_t words = sets.size() / 64;
        for (std::uint32_t chunk = 0; chunk < words; ++chunk) {
            const std::uint32_t first = 64 * chunk, last = std::min(first + 64, static_cast<std::uint32_t>(coming_.size()));
            std::uint64_t bits[64]{}, some = 0;
            if (come_to_.any_in(first, last))
                for (std::uint32_t place = first; place < last; ++place) some |= bits[place - first] = (by_row ? coming_[place].by_row : coming_[place].by_column).bits[word];
            if (some) transpose(bits);
            for (std::uint32_t i = 0; i < 64; ++i) sets[i * words + chunk] = bits[i];
        }
    }
};

}  // namespace fedfrom::detail
