/// Which combinations of a sweep can be minimal, by where their events meet (meetings.hpp).
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/solve/closure.hpp>
#include <fedfrom/solve/meetings.hpp>

namespace fedfrom::detail {

inline void add(EventSet& set, const EventSet& more) {
    for (std::size_t w = 0; w < set.size(); ++w) set[w] |= more[w];
}
inline std::uint64_t size_of(const EventSet& set) {
    std::uint64_t n = 0;
    for (const std::uint64_t word : set) n += static_cast<std::uint64_t>(std::popcount(word));
    return n;
}
template <class Call>
void each_of(const EventSet& set, Call call) {
    for (std::uint32_t w = 0; w < set.size(); ++w)
        for (std::uint64_t rest = set[w]; rest; rest &= rest - 1) call(64 * w + static_cast<std::uint32_t>(std::countr_zero(rest)));
}

/// A combination is one where all its events come to some place together, or all to a goal, of which no part crosses a threshold yet.
class Candidates {
public:
    /// Whether there is room for what is known: it grows with the events, their square and the places.
    static bool fit(const Compiled& c, std::size_t events) { return events <= 4096 && (c.program.gates.size() + c.links.size()) * events <= std::size_t{1} << 30; }

    template <class Together>
    Candidates(const Compiled& c, std::span<const std::uint32_t> goals, std::uint32_t events, Together together)
        : events_(events), goals_(static_cast<std::uint32_t>(goals.size())), meetings_(c, goals, events), after_(events, EventSet((events + 63) / 64)) {
        for (std::uint32_t a = 0; a < events; ++a)
            for (std::uint32_t b = a + 1; b < events; ++b)
                if (together(a, b)) after_[a][b / 64] |= std::uint64_t{1} << (b % 64);
    }

    Meetings& meetings() { return meetings_; }
    const Meetings& meetings() const { return meetings_; }

    /// After a size: what the next goes by. `crossable(goal, threshold)`: a goal may still cross it.
    template <class Crossable>
    void gather(const std::vector<std::array<Closure, 2>>& closures, Crossable crossable) {
        meetings_.gather();
        open_.clear();
        open_at_.assign(events_, {});
        for (std::uint32_t goal = 0; goal < goals_; ++goal)
            for (std::uint32_t threshold = 0; threshold < 2; ++threshold) {
                const EventSet* coming = meetings_.at_goal(goal);
                if (!coming || !crossable(goal, threshold)) continue;
                EventSet events = *coming;
                each_of(*coming, [&](std::uint32_t e) {
                    if (closures[goal][threshold].has(e)) events[e / 64] &= ~(std::uint64_t{1} << (e % 64));
                    else open_at_[e].push_back(static_cast<std::uint32_t>(open_.size()));
                });
                open_.push_back({goal, threshold, std::move(events)});
            }
    }

    /// Events after `a` that may come with it.
    const EventSet& after(std::uint32_t a) const { return after_[a]; }
    bool may_meet(std::uint32_t a, std::uint32_t b) const { return has(after_[a], b); }

    /// Of those, the ones it meets before anything is judged.
    EventSet met_by(std::uint32_t a) const {
        EventSet met = has(meetings_.wild(), a) ? after_[a] : meetings_.wild();
        meetings_.each_with(a, [&](const EventSet& set) { add(met, set); });
        only(met, after_[a]);
        return met;
    }
    /// And those with which it may take a goal across a threshold.
    void add_judged_with(std::uint32_t a, EventSet& met) const {
        for (const std::uint32_t i : open_at_[a]) add(met, open_[i].events);
        only(met, after_[a]);
    }

    /// How many triples there are with this first event and these second ones.
    std::uint64_t triples(std::uint32_t a, std::uint32_t first_b, std::uint32_t last_b) const {
        std::uint64_t n = 0;
        for (std::uint32_t b = first_b; b < last_b; ++b)
            for (std::size_t w = 0; may_meet(a, b) && w < after_[a].size(); ++w) n += static_cast<std::uint64_t>(std::popcount(after_[a][w] & after_[b][w]));
        return n;
    }

    /// For a first event, by second event within limits: the third ones to examine.
    void find_thirds(std::uint32_t a, std::uint32_t first_b, std::uint32_t last_b, const std::vector<std::array<Closure, 2>>& closures, std::vector<EventSet>& thirds) const {
        thirds.resize(events_);
        for (std::uint32_t b = first_b; b < last_b; ++b) thirds[b].assign(after_[a].size(), 0);
        const auto each_second = [&](const EventSet& set, auto call) {
            each_of(set, [&](std::uint32_t b) {
                if (first_b <= b && b < last_b && may_meet(a, b)) call(b);
            });
        };
        meetings_.each_with(a, [&](const EventSet& set) { each_second(set, [&](std::uint32_t b) { add(thirds[b], set); }); });
        if (meetings_.any_wild())
            each_second(after_[a], [&](std::uint32_t b) { add(thirds[b], has(meetings_.wild(), a) || has(meetings_.wild(), b) ? after_[a] : meetings_.wild()); });
        for (const std::uint32_t i : open_at_[a]) {
            const Closure& closure = closures[open_[i].goal][open_[i].threshold];
            EventSet with_a = open_[i].events;
            closure.take_out(with_a, a);
            each_second(with_a, [&](std::uint32_t b) {
                EventSet with_both = with_a;
                closure.take_out(with_both, b);
                add(thirds[b], with_both);
            });
        }
        for (std::uint32_t b = first_b; b < last_b; ++b) {
            only(thirds[b], after_[a]);
            only(thirds[b], after_[b]);
        }
    }

private:
    /// A goal and a threshold, and the events that come to the goal and do not cross the threshold alone.
    struct Open {
        std::uint32_t goal, threshold;
        EventSet events;
    };
    std::uint32_t events_, goals_;
    Meetings meetings_;
    std::vector<EventSet> after_;
    std::vector<Open> open_;
    std::vector<std::vector<std::uint32_t>> open_at_;  // by event: in `open_`

    static void only(EventSet& set, const EventSet& those) {
        for (std::size_t w = 0; w < set.size(); ++w) set[w] &= those[w];
    }
};

}  // namespace fedfrom::detail
