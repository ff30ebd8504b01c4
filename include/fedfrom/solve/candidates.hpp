/// Which combinations of a sweep can be minimal, by where their events meet (meetings.hpp).
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include <fedfrom/solve/closure.hpp>
#include <fedfrom/solve/meetings.hpp>
#include <fedfrom/solve/on_top.hpp>

namespace fedfrom::detail {

/// A combination is one where all its events come to some place together, or all to a goal, of which no part crosses a threshold yet; of three, if
/// it is worth while to know, one where besides any two meet on top of the third (on_top.hpp).
class Candidates {
public:
    /// Whether there is room for what is known: it grows with the events, their square and the places.
    static bool fit(const Compiled& c, std::size_t events) { return events <= 4096 && (c.program.gates.size() + c.links.size()) * events <= std::size_t{1} << 30; }

    /// `triples`: they are examined too.
    template <class Together>
    Candidates(const Compiled& c, std::span<const std::uint32_t> goals, std::uint32_t events, bool triples, Together together)
        : events_(events), goals_(static_cast<std::uint32_t>(goals.size())), meetings_(c, goals, events), after_(events, EventSet((events + 63) / 64)) {
        for (std::uint32_t a = 0; a < events; ++a)
            for (std::uint32_t b = a + 1; b < events; ++b)
                if (together(a, b)) after_[a][b / 64] |= std::uint64_t{1} << (b % 64);
        if (triples && OnTop::fit(events)) on_top_.emplace(events, meetings_.places().count());
    }

    Meetings& meetings() { return meetings_; }
    const Meetings& meetings() const { return meetings_; }

    bool looks_on_top() const { return on_top_.has_value(); }
    OnTop& on_top() { return *on_top_; }
    const OnTop& on_top() const { return *on_top_; }

    /// After a size: what the next goes by. `crossable(goal, threshold)`: a goal may still cross it.
    template <class W, class Crossable>
    void gather(int size, const std::vector<std::array<Closure, 2>>& closures, Crossable crossable) {
        if (size == 1 && on_top_) begin_on_top();
        if (size == 2 && on_top_) {
            on_top_->gather<W>(wild_alone_, meetings_, [&](std::uint32_t base, BitRows& coming) { take_out_vain(base, closures, crossable, coming); });
            list_where();
        } else {
            meetings_.gather();
        }
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
    template <class W>
    void find_thirds(std::uint32_t a, std::uint32_t first_b, std::uint32_t last_b, const std::vector<std::array<Closure, 2>>& closures, std::vector<EventSet>& thirds) const {
        thirds.resize(events_);
        for (std::uint32_t b = first_b; b < last_b; ++b) thirds[b].assign(after_[a].size(), 0);
        const auto each_second = [&](const EventSet& set, auto call) {
            for (std::uint32_t w = first_b / 64; 64 * w < last_b; ++w)
                for (std::uint64_t rest = set[w] & after_[a][w]; rest; rest &= rest - 1) {
                    const std::uint32_t b = 64 * w + static_cast<std::uint32_t>(std::countr_zero(rest));
                    if (first_b <= b && b < last_b) call(b);
                }
        };
        if (on_top_) return run_hot<W>([&] { each_second(after_[a], [&](std::uint32_t b) { find_thirds_on_top(a, b, closures, thirds[b]); }); });
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
    std::optional<OnTop> on_top_;                      // of triples, where it is worth while
    std::vector<std::uint32_t> wild_alone_;
    std::optional<BitRows> where_;                     // with it: by event, the places it comes to
    std::vector<EventSet> after_;
    std::vector<Open> open_;
    std::vector<std::vector<std::uint32_t>> open_at_;  // by event: in `open_`

    /// It costs some for every two events, and spares of what comes to one place three by three. Of few events it costs next to nothing.
    void begin_on_top() {
        std::uint64_t most = 0;
        for (std::uint32_t place = 0; place < meetings_.places().first_goal(); ++place)
            if (const EventSet* coming = meetings_.at(place)) most = std::max(most, size_of(*coming));
        if (events_ > 32 && most * most * most < 8 * std::uint64_t{events_} * events_) return on_top_.reset();
        for (std::uint32_t e = 0; e < events_; ++e) on_top_->add_alone(e, meetings_.where(e));
        each_of(meetings_.wild(), [&](std::uint32_t e) { wild_alone_.push_back(e); });
    }

    /// What comes to a goal that has crossed every threshold without it, or by it alone, or by the two together.
    template <class Crossable>
    void take_out_vain(std::uint32_t base, const std::vector<std::array<Closure, 2>>& closures, Crossable crossable, BitRows& coming) const {
        for (std::uint32_t goal = 0; goal < goals_; ++goal) {
            EventSet open(after_.front().size());
            for (std::uint32_t threshold = 0; threshold < 2; ++threshold) {
                const Closure& closure = closures[goal][threshold];
                if (!crossable(goal, threshold) || closure.has(base)) continue;
                EventSet may_cross(open.size());
                for (std::uint32_t w = 0; w < open.size(); ++w) may_cross[w] = ~closure.single_word(w);
                closure.take_out(may_cross, base);
                add(open, may_cross);
            }
            const auto row = coming[meetings_.places().first_goal() + goal];
            for (std::uint32_t w = 0; w < open.size(); ++w) row[w] &= open[w];
        }
    }

    /// By event: where it comes to, but for goals.
    void list_where() {
        where_.emplace(events_, meetings_.places().first_goal());
        for (std::uint32_t place = 0; place < meetings_.places().first_goal(); ++place)
            if (const EventSet* coming = meetings_.at(place)) each_of(*coming, [&](std::uint32_t e) { (*where_)[e][place / 64] |= std::uint64_t{1} << (place % 64); });
    }

    /// The same for two events, by what meets on top of another too.
    void find_thirds_on_top(std::uint32_t a, std::uint32_t b, const std::vector<std::array<Closure, 2>>& closures, EventSet& thirds) const {
        const auto closed = [&](std::uint32_t i, std::uint32_t one, std::uint32_t other) { return closures[open_[i].goal][open_[i].threshold].has(one, other); };
        const auto on_top = on_top_->thirds(a, b), of_a = (*where_)[a], of_b = (*where_)[b];
        const auto meet_at = [&](std::span<const std::uint64_t> of_c) {
            for (std::size_t w = 0; w < of_c.size(); w += 8) {
                std::uint64_t common = 0;
                for (std::size_t i = w; i < w + 8; ++i) common |= of_a[i] & of_b[i] & of_c[i];
                if (common) return true;
            }
            return false;
        };
        const auto cross_at = [&](std::uint32_t i, std::uint32_t c) { return has(open_[i].events, b) && has(open_[i].events, c) && !closed(i, a, b) && !closed(i, a, c) && !closed(i, b, c); };
        for (std::uint32_t w = 0; w < thirds.size(); ++w)
            for (std::uint64_t rest = on_top[w] & after_[a][w] & after_[b][w]; rest; rest &= rest - 1) {
                const std::uint32_t c = 64 * w + static_cast<std::uint32_t>(std::countr_zero(rest));
                const bool wild = has(meetings_.wild(), a) || has(meetings_.wild(), b) || has(meetings_.wild(), c);
                if (wild || meet_at((*where_)[c]) || std::ranges::any_of(open_at_[a], [&](std::uint32_t i) { return cross_at(i, c); })) thirds[w] |= std::uint64_t{1} << (c % 64);
            }
    }

    static void only(EventSet& set, const EventSet& those) {
        for (std::size_t w = 0; w < set.size(); ++w) set[w] &= those[w];
    }
};

}  // namespace fedfrom::detail
