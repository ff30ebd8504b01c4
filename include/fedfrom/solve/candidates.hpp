/// Which combinations of a sweep can be minimal, by where their events meet (meetings.hpp).
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include <fedfrom/solve/closure.hpp>
#include <fedfrom/solve/goal_tables.hpp>
#include <fedfrom/solve/meetings.hpp>
#include <fedfrom/solve/on_top.hpp>

namespace fedfrom::detail {

/// A combination is one where all its events come to some place together, or all to a goal, of which no part crosses a threshold yet; of three, if
/// it is worth while to know, one where besides any two meet on top of the third (on_top.hpp). Those three are settled; but where they come whole to goals
/// alone, they are judged by what fewer of them do.
class Candidates {
public:
    /// Whether there is room for what is known: it grows with the events, their square and the places.
    static bool fit(const Compiled& c, std::size_t events) { return events <= 4096 && (c.program.gates.size() + c.links.size()) * events <= std::size_t{1} << 30; }

    /// `triples`: they are examined too.
    template <class Together>
    Candidates(const Compiled& c, std::span<const std::uint32_t> goals, std::uint32_t events, bool triples, Together together)
        : events_(events), goals_(static_cast<std::uint32_t>(goals.size())), tables_(tables_of(c, goals, triples && OnTop::fit(events))), meetings_(c, goals, events, leaves_of(tables_)), after_(events, EventSet((events + 63) / 64)) {
        for (std::uint32_t a = 0; a < events; ++a)
            for (std::uint32_t b = a + 1; b < events; ++b)
                if (together(a, b)) after_[a][b / 64] |= std::uint64_t{1} << (b % 64);
        if (triples && OnTop::fit(events)) on_top_.emplace(events, meetings_.places());
        for (std::uint32_t leaf = meetings_.places().first_leaf(); const GoalTable& table : tables_) {
            first_leaf_.push_back(leaf);
            leaf += static_cast<std::uint32_t>(table.leaves().size());
        }
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
            list_leaves();
        }
        meetings_.gather();
        if (size == 2 && on_top_) list_where();
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
                if (on_top_ && size == 2) open_.back().find_free(closures[goal][threshold], events_);
            }
    }

    /// Events after `a` that may come with it.
    const EventSet& after(std::uint32_t a) const { return after_[a]; }
    bool may_meet(std::uint32_t a, std::uint32_t b) const { return has(after_[a], b); }

    /// Of those, the ones it meets before anything is judged.
    EventSet met_by(std::uint32_t a) const {
        EventSet met = has(meetings_.wild(), a) ? after_[a] : meetings_.wild();
        meetings_.each_with(a, [&](const EventSet& set) { add(met, set); });
        keep_only(met, after_[a]);
        return met;
    }
    /// And those with which it may take a goal across a threshold.
    void add_judged_with(std::uint32_t a, EventSet& met) const {
        for (const std::uint32_t i : open_at_[a]) add(met, open_[i].events);
        keep_only(met, after_[a]);
    }

    /// What goals are judged by, where triples that meet at them alone are judged without being settled.
    std::span<const GoalTable> tables() const { return tables_; }
    std::uint32_t first_leaf(std::uint32_t goal) const { return first_leaf_[goal]; }

    /// For a first event: calls with each goal, second and third event, and which of the goal's thresholds they may cross. `left`: by second event, the third ones
    /// asked for; empty: none.
    template <class Call>
    void each_judged(std::uint32_t a, std::uint32_t first_b, std::uint32_t last_b, const std::vector<EventSet>& left, Call call) const {
        for (std::size_t i = 0; i < open_at_[a].size(); ++i) {
            const std::uint32_t goal = open_[open_at_[a][i]].goal;
            if (!has_table(goal) || (i > 0 && open_[open_at_[a][i - 1]].goal == goal)) continue;
            const Open* at[2]{};
            for (std::size_t j = i; j < open_at_[a].size() && open_[open_at_[a][j]].goal == goal; ++j)
                if (const Open& open = open_[open_at_[a][j]]; open.row[a] != none) at[open.threshold] = &open;
            for (std::uint32_t b = std::max(first_b, a + 1); b < last_b; ++b) {
                if (left[b - first_b].empty()) continue;
                std::span<const std::uint64_t> with_a[2], with_b[2];
                for (std::uint32_t t = 0; t < 2; ++t)
                    if (at[t] && at[t]->may_cross(a, b)) {
                        with_a[t] = at[t]->free[at[t]->row[a]];
                        with_b[t] = at[t]->free[at[t]->row[b]];
                    }
                if (with_a[0].empty() && with_a[1].empty()) continue;
                for (std::uint32_t w = b / 64; w < left[b - first_b].size(); ++w) {
                    std::uint64_t may[2]{};
                    for (std::uint32_t t = 0; t < 2; ++t)
                        if (!with_a[t].empty()) may[t] = with_a[t][w] & with_b[t][w] & left[b - first_b][w];
                    for (std::uint64_t rest = may[0] | may[1]; rest; rest &= rest - 1) {
                        const auto bit = static_cast<std::uint32_t>(std::countr_zero(rest));
                        call(goal, b, 64 * w + bit, std::array<bool, 2>{(may[0] >> bit & 1) != 0, (may[1] >> bit & 1) != 0});
                    }
                }
            }
        }
    }

    /// Of the third events of a pair, those that may be judged without being settled: all but the `settled` ones; empty: none.
    EventSet unsettled(std::uint32_t a, std::uint32_t b, const EventSet& settled) const {
        if (!may_meet(a, b)) return {};
        EventSet left(settled.size());
        bool some = false;
        const auto thirds = on_top_->thirds(a, b);
        for (std::size_t w = 0; w < left.size(); ++w) some |= (left[w] = thirds[w] & ~settled[w] & after_[a][w] & after_[b][w]) != 0;
        return some ? left : EventSet{};
    }

    /// The level of a goal with three events that come to no other place whole: each of its leaves is the sum of its coefficients, which are all of fewer events.
    /// `rest`: its leaves with none. Nothing where it is not known what those do.
    std::optional<Level> judged(std::uint32_t goal, std::uint32_t rest, const std::array<std::uint32_t, 3>& e) const {
        const std::uint32_t a = on_top_->final_alone(e[0]), c = on_top_->final_alone(e[2]);
        const std::uint32_t ab = on_top_->final_on_top(e[0], e[1]), ac = on_top_->final_on_top(e[0], e[2]), bc = on_top_->final_on_top(e[1], e[2]);
        if (!a || !c || !ab || !ac || !bc) return std::nullopt;
        const std::uint16_t* const leaves = leaves_.data() + std::size_t{goal} * on_top_->finals();
        return tables_[goal].level(rest ^ leaves[a] ^ leaves[c] ^ leaves[ab] ^ leaves[ac] ^ leaves[bc]);
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
        if (on_top_) return run_hot<W>([&] { each_second(after_[a], [&](std::uint32_t b) { find_thirds_on_top(a, b, thirds[b]); }); });
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
            keep_only(thirds[b], after_[a]);
            keep_only(thirds[b], after_[b]);
        }
    }

private:
    /// A goal and a threshold, and the events that come to the goal and do not cross the threshold alone; before triples, by event in `row`, those that do
    /// not cross it with that one either.
    struct Open {
        std::uint32_t goal, threshold;
        EventSet events;
        std::vector<std::uint32_t> row{};
        BitRows free{0, 0};

        bool may_cross(std::uint32_t a, std::uint32_t b) const { return row[a] != none && row[b] != none && (free[row[a]][b / 64] >> (b % 64) & 1); }

        void find_free(const Closure& closure, std::uint32_t all) {
            row.assign(all, none);
            free = BitRows(size_of(events), all);
            std::uint32_t rows = 0;
            each_of(events, [&](std::uint32_t e) {
                EventSet with = events;
                closure.take_out(with, e);
                std::ranges::copy(with, free[rows].begin());
                row[e] = rows++;
            });
        }
    };
    std::uint32_t events_, goals_;
    std::vector<GoalTable> tables_;                    // by goal; only with `on_top_`
    Meetings meetings_;
    std::optional<OnTop> on_top_;                      // of triples, where it is worth while
    std::vector<std::uint32_t> wild_alone_;
    std::vector<std::uint32_t> first_leaf_;            // by goal
    std::vector<std::uint16_t> leaves_;                // by goal and set of leaves: those of the goal
    std::optional<BitRows> where_;                     // with it: by event, what it comes together in
    std::vector<EventSet> after_;
    std::vector<Open> open_;
    std::vector<std::vector<std::uint32_t>> open_at_;  // by event: in `open_`

    bool has_table(std::uint32_t goal) const { return !tables_.empty() && tables_[goal].known(); }
    static std::vector<GoalTable> tables_of(const Compiled& c, std::span<const std::uint32_t> goals, bool some) {
        std::vector<GoalTable> tables;
        for (std::size_t goal = 0; some && goal < goals.size(); ++goal) tables.emplace_back(c, goals[goal]);
        return tables;
    }
    static std::uint32_t leaves_of(const std::vector<GoalTable>& tables) {
        std::uint32_t leaves = 0;
        for (const GoalTable& table : tables) leaves += static_cast<std::uint32_t>(table.leaves().size());
        return leaves;
    }

    /// By goal and set of leaves that change: those of the goal, as bits.
    void list_leaves() {
        for (std::uint32_t goal = 0; goal < goals_; ++goal)
            for (std::uint32_t set = 0; set < on_top_->finals(); ++set) {
                std::uint32_t bits = 0;
                for (std::uint32_t l = 0; set != PlaceSets::everywhere && l < tables_[goal].leaves().size(); ++l) bits |= std::uint32_t{on_top_->changes(set, first_leaf_[goal] + l)} << l;
                leaves_.push_back(static_cast<std::uint16_t>(bits));
            }
    }

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

    /// By event: which of the sets of events that come together somewhere it is in.
    void list_where() {
        where_.emplace(events_, meetings_.together());
        for (std::uint32_t e = 0; e < events_; ++e)
            for (const std::uint32_t set : meetings_.with(e)) (*where_)[e][set / 64] |= std::uint64_t{1} << (set % 64);
    }

    /// The same for two events, by what meets on top of another too.
    void find_thirds_on_top(std::uint32_t a, std::uint32_t b, EventSet& thirds) const {
        const auto on_top = on_top_->thirds(a, b), of_a = (*where_)[a], of_b = (*where_)[b];
        for (const std::uint32_t i : open_at_[a])
            if (const Open& open = open_[i]; !has_table(open.goal) && open.may_cross(a, b))
                for (std::size_t w = 0; w < thirds.size(); ++w) thirds[w] |= open.free[open.row[a]][w] & open.free[open.row[b]][w] & on_top[w];
        const auto meet_at = [&](std::span<const std::uint64_t> of_c) {
            std::uint64_t common = 0;
            for (std::size_t w = 0; w < of_c.size(); ++w) common |= of_a[w] & of_b[w] & of_c[w];
            return common != 0;
        };
        for (std::uint32_t w = 0; w < thirds.size(); ++w)
            for (std::uint64_t rest = on_top[w] & ~thirds[w] & after_[a][w] & after_[b][w]; rest; rest &= rest - 1) {
                const std::uint32_t c = 64 * w + static_cast<std::uint32_t>(std::countr_zero(rest));
                const bool wild = has(meetings_.wild(), a) || has(meetings_.wild(), b) || has(meetings_.wild(), c);
                if (wild || meet_at((*where_)[c])) thirds[w] |= std::uint64_t{1} << (c % 64);
            }
        keep_only(thirds, after_[a]);
        keep_only(thirds, after_[b]);
    }
};

}  // namespace fedfrom::detail
