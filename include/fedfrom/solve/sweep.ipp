// Bodies of sweep.hpp: how combinations are laid into blocks, and which of them count.
#pragma once

#include <bit>
#include <chrono>
#include <exception>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <tuple>

#include <fedfrom/solve/candidates.hpp>
#include <fedfrom/solve/sweep.hpp>
#include <fedfrom/solve/sweeper.hpp>
#include <fedfrom/solve/writes.hpp>

namespace fedfrom {
namespace detail {

inline bool worse(Level is, Level than) {
    const auto rank = [](Level l) { return l == Level::normal ? 0 : l == Level::degraded ? 1 : 2; };
    return rank(is) > rank(than);
}

/// Bit b of a byte drawn out to byte b of a word.
inline std::uint64_t drawn_out(std::uint64_t byte) {
    static constexpr auto table = [] {
        std::array<std::uint64_t, 256> words{};
        for (unsigned i = 0; i < 256; ++i)
            for (unsigned b = 0; b < 8; ++b)
                if (i >> b & 1) words[i] |= std::uint64_t{0xff} << (8 * b);
        return words;
    }();
    return table[byte];
}

/// How 512 lanes hold combinations of one, two (8 × 64) or three (8 × 8 × 8) events, or one lane that of none.
struct Layout {
    int order;
    std::uint32_t width(int axis) const { return order == 1 ? 512 : order == 2 && axis == 1 ? 64 : 8; }
    std::array<std::uint32_t, 3> place(std::uint32_t lane) const {
        if (order == 0) return {none, none, none};
        if (order == 1) return {lane, none, none};
        if (order == 2) return {lane / 64, lane % 64, none};
        return {lane / 64, lane / 8 % 8, lane % 8};
    }
    /// The lanes of one event of an axis, as eight words.
    std::array<std::uint64_t, 8> lanes(int axis, std::uint32_t place) const {
        std::array<std::uint64_t, 8> words{};
        if (order == 1) words[place / 64] = std::uint64_t{1} << (place % 64);
        else if (axis == 0) words[place] = ~std::uint64_t{0};
        else if (order == 2) words.fill(std::uint64_t{1} << place);
        else words.fill(axis == 1 ? std::uint64_t{0xff} << (8 * place) : std::uint64_t{0x0101010101010101} << place);
        return words;
    }
};

/// What all threads share and nobody changes while they run.
struct SweepWork {
    const State& from;
    const SweepOptions& options;
    const Outcome& before;
    const SweepPlan& plan;
    std::vector<Event> events;                        ///< those that reach anything judged
    std::vector<std::uint32_t> asked;                 ///< by event: its place among those asked for
    std::vector<std::vector<Write>> writes;           ///< by event
    std::vector<std::vector<Write>> always;           ///< what is in every combination
    std::vector<std::uint32_t> thing_of;              ///< by event: what it happens to, an element or a given
    std::vector<std::uint8_t> never_together;         ///< by event: with none other of the same thing
    std::vector<std::uint32_t> goals;                 ///< functions asked for
    std::vector<std::uint32_t> goal_at;               ///< by place in the plan: in `goals`, none: only read by one
    std::vector<std::array<Closure, 2>> closures;     ///< by goal: to degraded or beyond, and to the end, lost or normal
    bool one_by_one = false;                          ///< something hunts already
    std::optional<Candidates> candidates;             ///< where only what can be minimal is examined

    std::uint32_t count() const { return static_cast<std::uint32_t>(events.size()); }
    std::uint32_t groups() const { return (count() + 7) / 8; }

    /// The level a threshold is at, on the way down or up.
    Level level_at(std::uint32_t threshold) const { return threshold == 0 ? Level::degraded : options.restoring ? Level::normal : Level::lost; }
    bool beyond(Level is, Level than) const { return options.restoring ? worse(than, is) : worse(is, than); }
    Level at_rest(std::uint32_t goal) const { return before.judged()[goals[goal]].level; }

    bool together(std::uint32_t a, std::uint32_t b) const { return thing_of[a] != thing_of[b] || !(never_together[a] | never_together[b] || events[a].index == events[b].index); }
    bool valid(const std::array<std::uint32_t, 3>& e, int order) const {
        for (int i = 0; i < order; ++i)
            if (e[i] >= count() || (i > 0 && e[i - 1] >= e[i])) return false;
        for (int i = 0; i < order; ++i)
            for (int j = 0; j < i; ++j)
                if (!together(e[i], e[j])) return false;
        return true;
    }
};

/// What one task found.
struct SweepFound {
    std::vector<SweepHit> hits;
    std::uint64_t combinations = 0, alone = 0, evaluated = 0;
    struct Closed {
        std::uint32_t goal, threshold, a, b;  ///< b: none for a single event; a too where there is none
    };
    std::vector<Closed> closed;
    std::vector<Meetings::Coming> comings;
    std::vector<std::uint32_t> wild;      ///< events that meet everything
    bool done = false;
};

/// One thread's part: lays blocks, runs the kernel, keeps what counts.
template <class Isa>
class SweepWorker {
public:
    using W = Wide<Isa>;
    explicit SweepWorker(const SweepWork& work) : work_(work) {
        if (!work.one_by_one) sweeper_ = std::make_unique<Sweeper<W>>(work.plan, work.from.memory());
        if (!work.candidates) return;
        trace_.emplace(work.plan.c.program.variables() + work.plan.c.links.size());
        coming_.resize(work.candidates->meetings().places().count());
        where_.resize(work.count());
    }

    /// All blocks whose first groups are the task's.
    SweepFound run(int order, std::uint32_t task, bool collect) {
        found_ = {};
        order_ = order;
        collect_ = collect;
        const std::uint64_t before = sweeper_ ? sweeper_->evaluated() : 0;
        packed_ = work_.candidates.has_value();
        if (order == 0) without_events();
        else if (packed_ && order == 1) singles(task * singles_a_task);
        else if (packed_ && order == 2) pairs_that_meet(task * pair_row);
        else if (packed_) triples_that_meet(triple_task(work_, task));
        else if (order == 1) block({task * 512, none, none});
        else if (order == 2)
            for (std::uint32_t b = task * 8 / 64 * 64; b < work_.count(); b += 64) block({task * 8, b, none});
        else {
            std::vector<std::uint32_t> thirds;
            for (std::uint32_t gc = pair_of(task).second; gc < work_.groups(); ++gc) thirds.push_back(gc);
            triples(pair_of(task), thirds);
        }
        if (sweeper_) found_.evaluated = sweeper_->evaluated() - before;
        found_.done = true;
        return std::move(found_);
    }

    static std::uint32_t tasks(const SweepWork& work, int order) {
        const std::uint32_t events = work.count(), groups = work.groups();
        const auto rows = [&](std::uint32_t row) { return (events + row - 1) / row; };
        if (work.candidates && order > 0 && order < 3) return rows(order == 1 ? singles_a_task : pair_row);
        if (work.candidates && order == 3) {
            std::uint32_t tasks = 0;
            for (std::uint32_t ga = 0; ga < groups; ++ga) tasks += stretches(work, ga);
            return tasks;
        }
        return order == 0 ? 1 : order == 1 ? (events + 511) / 512 : order == 2 ? groups : groups * (groups + 1) / 2;
    }

    /// Whether the next task has later first events: then no hit still to be found comes before those of this one and the ones before it.
    bool ends_row(int order, std::uint32_t task) const { return order < 3 || (work_.candidates ? triple_task(work_, task).last_gb : pair_of(task).second + 1) == work_.groups(); }

private:
    const SweepWork& work_;
    std::unique_ptr<Sweeper<W>> sweeper_;
    SweepFound found_;
    int order_ = 1;
    bool collect_ = false;
    std::array<std::uint32_t, 3> first_{};
    W valid_{};

    // With meetings: lanes hold any combinations, one after the other.
    static constexpr std::uint32_t singles_a_task = 63 * W::words, in_table = 7, pair_row = 8 * in_table;
    static constexpr std::uint32_t stretch = 16;      // groups of second events in a task of triples
    bool packed_ = false;
    std::array<std::array<std::uint32_t, 3>, W::states> pack_{};
    std::uint32_t filled_ = 0;                        // lanes, or words of tables
    std::vector<W> where_;                            // by event: the lanes that have it
    std::vector<std::uint32_t> laid_;                 // events in any lane
    std::optional<Trace<W>> trace_;
    std::vector<W> coming_;                           // by place: where something comes to it
    std::vector<std::uint32_t> come_to_;              // places where it does
    std::array<std::vector<EventSet>, 8> thirds_;     // by first event of a group and second: those that come third

    /// Eight first events and a stretch of second ones.
    struct TripleTask {
        std::uint32_t ga, gb, last_gb;
    };
    static std::uint32_t stretches(const SweepWork& work, std::uint32_t ga) { return (work.groups() - ga + stretch - 1) / stretch; }
    static TripleTask triple_task(const SweepWork& work, std::uint32_t task) {
        std::uint32_t ga = 0;
        for (; task >= stretches(work, ga); ++ga) task -= stretches(work, ga);
        const std::uint32_t gb = ga + task * stretch;
        return {ga, gb, std::min(gb + stretch, work.groups())};
    }

    /// Task t of the triangle ga <= gb.
    std::pair<std::uint32_t, std::uint32_t> pair_of(std::uint32_t task) const {
        std::uint32_t ga = 0, row = work_.groups();
        while (task >= row) {
            task -= row--;
            ++ga;
        }
        return {ga, ga + task};
    }

    std::array<std::uint32_t, 3> events_of(std::uint32_t lane) const {
        if (packed_) return pack_[lane];
        auto e = Layout{order_}.place(lane);
        for (int i = 0; i < order_; ++i) e[i] += first_[i];
        return e;
    }

    /// The first two groups are laid once, and the third changes on top of them where they move nothing.
    void triples(std::pair<std::uint32_t, std::uint32_t> groups, std::span<const std::uint32_t> thirds) {
        first_ = {groups.first * 8, groups.second * 8, 0};
        if (sweeper_) {
            put_always();
            put(0);
            put(1);
            sweeper_->run();
        }
        // Of a layer only what it changed is told, which is all that can be minimal.
        const bool layered = sweeper_ && !work_.options.all && sweeper_->begin_layer();
        if (sweeper_ && !layered) sweeper_->undo();
        for (const std::uint32_t gc : thirds) {
            first_[2] = gc * 8;
            if (!count_valid()) continue;
            if (!sweeper_) each_alone(valid_);
            else if (layered) {
                put(2);
                judge();
                sweeper_->undo_layer();
            } else {
                whole_block();
            }
        }
        if (!layered) return;
        sweeper_->end_layer();
        sweeper_->undo();
    }

    /// What is in every combination, and nothing else.
    void without_events() {
        found_.combinations = 1;
        alone(0);
    }

    void block(std::array<std::uint32_t, 3> first) {
        first_ = first;
        if (!count_valid()) return;
        if (sweeper_) whole_block();
        else each_alone(valid_);
    }

    void whole_block() {
        put_always();
        for (int axis = 0; axis < order_; ++axis) put(axis);
        judge();
        sweeper_->undo();
    }

    void put_always() {
        for (const auto& writes : work_.always) sweeper_->put(writes, W::filled(true));
    }

    void put(int axis) {
        const Layout layout{order_};
        for (std::uint32_t p = 0; p < layout.width(axis) && first_[axis] + p < work_.count(); ++p) {
            W where;
            const auto words = layout.lanes(axis, p);
            std::copy(words.begin(), words.end(), where.bits);
            sweeper_->put(work_.writes[first_[axis] + p], where);
        }
    }

    // What follows examines only combinations that come to some place whole (meetings.hpp).

    void lay(std::uint32_t lane, const std::array<std::uint32_t, 3>& events) {
        pack_[lane] = events;
        for (const std::uint32_t e : events) {
            if (e == none) continue;
            if (!any(where_[e])) laid_.push_back(e);
            set_bit(where_[e], lane);
        }
    }
    static W only(std::uint32_t lane) {
        W w = W::filled(false);
        set_bit(w, lane);
        return w;
    }
    static void set_bit(W& w, std::uint32_t lane) { w.bits[lane / 64] |= std::uint64_t{1} << (lane % 64); }

    /// Of what was laid, the valid lanes. With a trace only of what the last `Trace::begin` says.
    void run_pack(bool traced) {
        for (const std::uint32_t e : laid_) sweeper_->put(work_.writes[e], where_[e]);
        judge();
        if (traced) keep_comings();
        sweeper_->undo();
        for (const std::uint32_t e : laid_) where_[e] = W::filled(false);
        laid_.clear();
        filled_ = 0;
        valid_ = W::filled(false);
    }

    void pack(const std::array<std::uint32_t, 3>& events) {
        set_bit(valid_, filled_);
        lay(filled_++, events);
        if (filled_ == W::states) run_pack(false);
    }
    void end_pack() {
        if (filled_) run_pack(false);
    }

    void begin_trace(typename Trace<W>::Lanes lanes) {
        trace_->begin(lanes);
        sweeper_->tell(&*trace_);
        valid_ = W::filled(false);
    }

    void singles(std::uint32_t first) {
        begin_trace(Trace<W>::Lanes::singles);
        const std::uint32_t last = std::min(first + singles_a_task, work_.count());
        for (std::uint32_t e = first, lane = 1; e < last; ++e, lane += lane % 64 == 63 ? 2 : 1) {
            set_bit(valid_, lane);
            lay(lane, {e, none, none});
        }
        found_.combinations = last - first;
        run_pack(true);
        sweeper_->tell(nullptr);
    }

    /// What comes where by one event alone, or by two together.
    void keep_comings() {
        const Meetings& known = work_.candidates->meetings();
        for (const std::uint32_t v : trace_->touched()) {
            const W lanes = trace_->changed(v) & valid_;
            if (!any(lanes)) continue;
            for (const std::uint32_t place : known.places().of(v)) {
                if (!any(coming_[place])) come_to_.push_back(place);
                coming_[place] |= lanes;
            }
        }
        for (const std::uint32_t place : come_to_) {
            each_lane(coming_[place], [&](std::uint32_t lane) {
                for (const std::uint32_t e : pack_[lane])
                    if (e != none && !known.comes(e, place)) found_.comings.push_back({place, e});
            });
            coming_[place] = W::filled(false);
        }
        come_to_.clear();
        each_lane(sweeper_->wild() & valid_, [&](std::uint32_t lane) {
            for (const std::uint32_t e : pack_[lane])
                if (e != none) found_.wild.push_back(e);
        });
    }

    void pairs_that_meet(std::uint32_t first) {
        const Candidates& candidates = *work_.candidates;
        const std::uint32_t last = std::min(first + pair_row, work_.count());
        std::vector<EventSet> meet, left;  // by first event
        for (std::uint32_t a = first; a < last; ++a) {
            found_.combinations += size_of(candidates.after(a));
            meet.push_back(candidates.met_by(a));
            left.push_back(meet.back());
            candidates.add_judged_with(a, left.back());
        }
        if (work_.options.order > 2) tables(first, last, meet, left);
        for (std::uint32_t a = first; a < last; ++a) each_of(left[a - first], [&](std::uint32_t b) { pack({a, b, none}); });
        end_pack();
    }

    /// Traces those that meet before they are judged, seven events by seven, and takes them out of what is still to be examined.
    void tables(std::uint32_t first, std::uint32_t last, const std::vector<EventSet>& meet, std::vector<EventSet>& left) {
        begin_trace(Trace<W>::Lanes::tables);
        for (std::uint32_t row = first; row < last; row += in_table) {
            const std::uint32_t rows = std::min(in_table, last - row);
            EventSet some(meet[row - first].size());
            for (std::uint32_t i = 0; i < rows; ++i) add(some, meet[row + i - first]);
            for (std::uint32_t column = row; column < work_.count(); column += in_table) {
                const std::uint32_t columns = std::min(in_table, work_.count() - column);
                bool any_meet = false;
                for (std::uint32_t j = 0; j < columns; ++j) any_meet |= has(some, column + j);
                if (any_meet) table(row, rows, column, columns, first, left);
            }
        }
        if (filled_) run_tables();
        sweeper_->tell(nullptr);
    }

    void table(std::uint32_t row, std::uint32_t rows, std::uint32_t column, std::uint32_t columns, std::uint32_t first, std::vector<EventSet>& left) {
        const std::uint32_t lane = 64 * filled_;
        for (std::uint32_t i = 0; i <= rows; ++i)
            for (std::uint32_t j = 0; j <= columns; ++j) {
                const std::uint32_t a = row + i - 1, b = column + j - 1;
                lay(lane + 8 * i + j, {i ? a : none, j ? b : none, none});
                if (i == 0 || j == 0 || !work_.candidates->may_meet(a, b)) continue;
                set_bit(valid_, lane + 8 * i + j);
                left[a - first][b / 64] &= ~(std::uint64_t{1} << (b % 64));
            }
        if (++filled_ == W::words) run_tables();
    }

    void run_tables() {
        run_pack(true);
        trace_->begin(Trace<W>::Lanes::tables);
    }

    void triples_that_meet(const TripleTask& task) {
        const Candidates& candidates = *work_.candidates;
        const std::uint32_t first_b = task.gb * 8, last_b = std::min(task.last_gb * 8, work_.count());
        for (std::uint32_t a = task.ga * 8; a < std::min(task.ga * 8 + 8, work_.count()); ++a) {
            found_.combinations += candidates.triples(a, first_b, last_b);
            candidates.find_thirds(a, first_b, last_b, work_.closures, thirds_[a % 8]);
        }
        for (std::uint32_t gb = task.gb; gb < task.last_gb; ++gb) examine_thirds(task.ga, gb);
        end_pack();
    }

    /// From so many lanes on a block of 8 × 8 × 8 is examined whole: sooner where two groups may be laid once for many blocks.
    std::uint32_t dense() const { return work_.plan.faults ? 448 : 128; }

    /// Whole blocks where most of one is to be examined, the rest lane by lane.
    void examine_thirds(std::uint32_t ga, std::uint32_t gb) {
        const std::uint32_t last_a = std::min(ga * 8 + 8, work_.count()), last_b = std::min(gb * 8 + 8, work_.count());
        const auto byte_of = [](const EventSet& set, std::uint32_t g) { return set[g / 8] >> (8 * (g % 8)) & 0xff; };
        std::vector<std::uint32_t> lanes(work_.groups());
        for (std::uint32_t a = ga * 8; a < last_a; ++a)
            for (std::uint32_t b = std::max(a + 1, gb * 8); b < last_b; ++b)
                for (std::uint32_t gc = gb; gc < work_.groups(); ++gc) lanes[gc] += static_cast<std::uint32_t>(std::popcount(byte_of(thirds_[a % 8][b], gc)));
        std::vector<std::uint32_t> whole;
        for (std::uint32_t gc = gb; gc < work_.groups(); ++gc)
            if (lanes[gc] >= dense()) whole.push_back(gc);
        if (!whole.empty()) {
            end_pack();
            packed_ = false;
            triples({ga, gb}, whole);
            packed_ = true;
            valid_ = W::filled(false);
        }
        for (std::uint32_t a = ga * 8; a < last_a; ++a)
            for (std::uint32_t b = std::max(a + 1, gb * 8); b < last_b; ++b)
                each_of(thirds_[a % 8][b], [&](std::uint32_t c) {
                    if (lanes[c / 8] < dense()) pack({a, b, c});
                });
    }

    /// As `part_of`, among `asked`.
    W part_in_pack(std::uint32_t goal, std::uint32_t threshold, const W& asked) const {
        const Closure& closure = work_.closures[goal][threshold];
        W part = W::filled(false);
        if (order_ < 2) return part;
        for (const std::uint32_t e : laid_)
            if (closure.has(e)) part |= where_[e];
        if (order_ == 3 && closure.any_pair())
            each_lane(asked & ~part, [&](std::uint32_t lane) {
                const auto [a, b, c] = pack_[lane];
                if (closure.has(a, b) || closure.has(a, c) || closure.has(b, c)) set_bit(part, lane);
            });
        return part;
    }

    void judge() {
        sweeper_->run();
        const W hunting = sweeper_->hunting() & valid_;
        for (const std::uint32_t i : sweeper_->touched())
            if (work_.goal_at[i] != none) {
                if (work_.options.modes) look_at_modes(work_.goal_at[i], i, valid_ & ~hunting);
                else look_at(work_.goal_at[i], sweeper_->below(i), sweeper_->lost(i), valid_ & ~hunting);
            }
        if (any(hunting)) each_alone(hunting);
    }

    void each_alone(const W& lanes) {
        each_lane(lanes, [&](std::uint32_t lane) {
            alone(lane);
            ++found_.alone;
        });
    }

    bool count_valid() {
        find_valid();
        for (const std::uint64_t word : valid_.bits) found_.combinations += work_.candidates ? 0 : static_cast<std::uint64_t>(std::popcount(word));
        return any(valid_);
    }

    /// Combinations of distinct events, each once, that may come together.
    void find_valid() {
        const bool plain = order_ == 3 && first_[0] + 8 <= first_[1] && first_[1] + 8 <= first_[2] && first_[2] + 8 <= work_.count();
        valid_ = W::filled(plain);
        if (plain) {
            for (int i = 0; i < 3; ++i)
                for (int j = 0; j < i; ++j)
                    for (std::uint32_t a = 0; a < 8; ++a)
                        for (std::uint32_t b = 0; b < 8; ++b)
                            if (!work_.together(first_[i] + a, first_[j] + b)) remove(i, a, j, b);
            return;
        }
        for (std::uint32_t lane = 0; lane < W::states; ++lane)
            if (work_.valid(events_of(lane), order_)) valid_.bits[lane / 64] |= std::uint64_t{1} << (lane % 64);
    }

    void remove(int axis, std::uint32_t a, int other, std::uint32_t b) {
        const auto x = Layout{order_}.lanes(axis, a), y = Layout{order_}.lanes(other, b);
        for (std::uint32_t w = 0; w < W::words; ++w) valid_.bits[w] &= ~(x[w] & y[w]);
    }

    template <class Call>
    static void each_lane(const W& lanes, Call call) {
        for (std::uint32_t w = 0; w < W::words; ++w)
            for (std::uint64_t rest = lanes.bits[w]; rest; rest &= rest - 1) call(64 * w + static_cast<std::uint32_t>(std::countr_zero(rest)));
    }

    static bool bit(const W& w, std::uint32_t lane) { return w.bits[lane / 64] >> (lane % 64) & 1; }

    Level at_rest(std::uint32_t goal) const { return work_.at_rest(goal); }

    void look_at_modes(std::uint32_t goal, std::uint32_t place, const W& lanes) {
        const std::uint32_t function = work_.goals[goal];
        const std::vector<ModeInfo>& modes = work_.plan.c.functions[function].modes;
        const std::uint32_t before = work_.before.judged()[function].mode;
        const auto add = [&](const W& in, Level level, std::uint32_t mode) {
            each_lane(in & lanes, [&](std::uint32_t lane) { found_.hits.push_back({events_of(lane), function, level, mode}); });
        };
        for (std::uint32_t m = 0; m < modes.size(); ++m)
            if (m != before) add(sweeper_->in_mode(place, m), modes[m].mode->rank == 1 ? Level::normal : Level::degraded, m);
        if (before != none) add(sweeper_->lost(place), Level::lost, none);
    }

    void look_at(std::uint32_t goal, const W& below, const W& lost, const W& lanes) {
        const auto level = [&](std::uint32_t lane) { return bit(lost, lane) ? Level::lost : bit(below, lane) ? Level::degraded : Level::normal; };
        if (work_.options.all) {
            each_lane(lanes, [&](std::uint32_t lane) {
                if (level(lane) != at_rest(goal)) found_.hits.push_back({events_of(lane), work_.goals[goal], level(lane)});
            });
            return;
        }
        W fresh = W::filled(false);
        const bool up = work_.options.restoring;
        for (std::uint32_t threshold = 0; threshold < 2; ++threshold) {
            if (!beyond(level_at(threshold), at_rest(goal))) continue;
            const bool normal = (threshold == 0) != up;  // whether it is the border below normal that is crossed
            const W hit = (up ? ~(normal ? below : lost) : normal ? below : lost) & lanes;
            if (!any(hit)) continue;
            const W by_part = hit & (packed_ ? part_in_pack(goal, threshold, hit) : part_of(goal, threshold));
            fresh |= hit & ~by_part;
            if (collect_) each_lane(hit & ~by_part, [&](std::uint32_t lane) { close(goal, threshold, events_of(lane)); });
        }
        each_lane(fresh, [&](std::uint32_t lane) { found_.hits.push_back({events_of(lane), work_.goals[goal], level(lane)}); });
    }

    Level level_at(std::uint32_t threshold) const { return work_.level_at(threshold); }
    bool beyond(Level is, Level than) const { return work_.beyond(is, than); }

    void close(std::uint32_t goal, std::uint32_t threshold, const std::array<std::uint32_t, 3>& e) { found_.closed.push_back({goal, threshold, e[0], e[1]}); }

    /// Lanes a part of whose combination already does it.
    W part_of(std::uint32_t goal, std::uint32_t threshold) const {
        const Closure& closure = work_.closures[goal][threshold];
        W part = W::filled(closure.everything());
        if (order_ < 2 || closure.everything()) return part;
        if (closure.any_single()) {
            for (std::uint32_t a = 0; a < 8; ++a)
                if (first_[0] + a < work_.count() && closure.has(first_[0] + a)) part.bits[a] = ~std::uint64_t{0};
            if (order_ == 2)
                for (auto& word : part.bits) word |= closure.single_word(first_[1] / 64);
            else
                for (auto& word : part.bits) word |= drawn_out(closure.single_word(first_[1] / 64) >> (first_[1] % 64) & 0xff) | (closure.single_word(first_[2] / 64) >> (first_[2] % 64) & 0xff) * 0x0101010101010101u;
        }
        if (order_ == 3 && closure.any_pair()) {
            const std::uint64_t ab = closure.pairs(first_[0] / 8, first_[1] / 8), ac = closure.pairs(first_[0] / 8, first_[2] / 8), bc = closure.pairs(first_[1] / 8, first_[2] / 8);
            for (std::uint32_t a = 0; a < 8; ++a) part.bits[a] |= drawn_out(ab >> (8 * a) & 0xff) | (ac >> (8 * a) & 0xff) * 0x0101010101010101u | bc;
        }
        return part;
    }

    /// One combination by the one-state path.
    void alone(std::uint32_t lane) {
        const auto e = events_of(lane);
        State state = work_.from;
        for (const Event& event : work_.options.always) state.apply(event);
        for (int i = 0; i < order_; ++i) state.apply(work_.events[e[i]]);
        const Outcome out = settle(state);
        for (std::uint32_t goal = 0; goal < work_.goals.size(); ++goal) {
            const Judgement& judged = out.judged()[work_.goals[goal]];
            const Level level = judged.level;
            const bool asked_unknown = work_.options.unknown && level == Level::unknown;
            const bool other_mode = work_.options.modes && judged.mode != work_.before.judged()[work_.goals[goal]].mode;
            if (level == at_rest(goal) && !other_mode && !asked_unknown) continue;
            if (work_.options.all || asked_unknown) {
                found_.hits.push_back({e, work_.goals[goal], level, work_.options.modes ? judged.mode : none});
                continue;
            }
            bool fresh = false;
            for (std::uint32_t threshold = 0; threshold < 2; ++threshold) {
                const Level from = level_at(threshold);
                if (!beyond(from, at_rest(goal)) || beyond(from, level) || bit(packed_ ? part_in_pack(goal, threshold, only(lane)) : part_of(goal, threshold), lane)) continue;
                fresh = true;
                if (collect_) close(goal, threshold, e);
            }
            if (fresh) found_.hits.push_back({e, work_.goals[goal], level});
        }
    }
};

/// Runs the sizes of combination one after the other, each on all threads, and hands the hits on in their order.
class SweepRun {
public:
    using Visit = std::function<void(const SweepHit&)>;
    SweepRun(SweepWork& work, const Visit& visit) : work_(work), visit_(visit), begun_(std::chrono::steady_clock::now()) {}

    void run(SweepResult& result) {
        switch (work_.options.instructions) {
#if defined(__x86_64__)
            case InstructionSet::avx512: return run_on<Avx512>(result);
            case InstructionSet::avx2: return run_on<Avx2>(result);
#endif
            default: return run_on<Baseline>(result);
        }
    }

private:
    SweepWork& work_;
    const Visit& visit_;
    std::chrono::steady_clock::time_point begun_;
    std::atomic<bool> stop_{false};
    std::mutex telling_;             // guards what follows, and whom we tell
    std::vector<SweepFound> found_;  // by task
    std::uint32_t told_ = 0;         // tasks whose hits are handed on or wait in `row_`
    std::uint32_t done_ = 0;
    std::vector<SweepHit> row_;
    std::exception_ptr thrown_;

    template <class Isa>
    void run_on(SweepResult& result) {
        const int order = work_.options.order;
        const unsigned threads = work_.options.threads ? work_.options.threads : std::max(1u, std::thread::hardware_concurrency());
        std::vector<std::unique_ptr<SweepWorker<Isa>>> workers;
        for (unsigned t = 0; t < threads; ++t) workers.push_back(std::make_unique<SweepWorker<Isa>>(work_));
        for (int size = work_.options.always.empty() ? 1 : 0; size <= order && result.complete; ++size) {
            const std::uint32_t tasks = SweepWorker<Isa>::tasks(work_, size);
            found_.assign(tasks, {});
            told_ = done_ = 0;
            std::atomic<std::uint32_t> next{0};
            const auto part = [&](SweepWorker<Isa>& worker) {
                try {
                    for (std::uint32_t task; !stop_ && (task = next++) < tasks;) {
                        if (!examines(size, task)) continue;
                        SweepFound found = worker.run(size, task, size < order && !work_.options.all);
                        const std::lock_guard lock(telling_);
                        found_[task] = std::move(found);
                        hand_on(worker, size);
                        tell_progress(size);
                    }
                } catch (...) {
                    stop_ = true;
                    const std::lock_guard lock(telling_);
                    if (!thrown_) thrown_ = std::current_exception();
                }
            };
            std::vector<std::thread> running;
            for (unsigned t = 1; t < threads; ++t) running.emplace_back([&, t] { part(*workers[t]); });
            part(*workers[0]);
            for (std::thread& thread : running) thread.join();
            if (thrown_) std::rethrow_exception(thrown_);
            for (std::uint32_t task = 0; task < tasks; ++task)
                if (examines(size, task)) take(result, found_[task], mine(task));
            if (!result.complete) hand_on_rest();
            for (auto& both : work_.closures)
                for (Closure& closure : both) closure.single_done();
            if (work_.candidates && size < order)
                work_.candidates->gather(work_.closures, [&](std::uint32_t goal, std::uint32_t threshold) { return work_.beyond(work_.level_at(threshold), work_.at_rest(goal)); });
            if (result.complete) result.complete_to = size;
        }
    }

    bool mine(std::uint32_t task) const { return task % work_.options.shards == work_.options.shard; }
    /// Smaller combinations decide what is minimal, so every shard examines all of them and tells of its own.
    bool examines(int size, std::uint32_t task) const { return size < work_.options.order || mine(task); }

    static std::tuple<int, std::uint32_t, std::uint32_t, std::uint32_t, std::uint32_t> order_of(const SweepHit& h) {
        return {(h.events[0] != none) + (h.events[1] != none) + (h.events[2] != none), h.events[0], h.events[1], h.events[2], h.goal};
    }
    friend SweepResult fedfrom::join(const std::vector<SweepResult>&);

    /// As far as every task up to there is done, row by row.
    template <class Worker>
    void hand_on(const Worker& worker, int size) {
        for (; told_ < found_.size() && (found_[told_].done || !examines(size, told_)); ++told_) {
            keep(told_);
            if (worker.ends_row(size, told_)) hand_on_row();
        }
    }

    /// What was found before the work was broken off.
    void hand_on_rest() {
        for (; told_ < found_.size(); ++told_) keep(told_);
        hand_on_row();
    }

    void keep(std::uint32_t task) {
        if (mine(task)) row_.insert(row_.end(), found_[task].hits.begin(), found_[task].hits.end());
        found_[task].hits = {};
    }

    void hand_on_row() {
        std::ranges::sort(row_, {}, [](const SweepHit& h) { return order_of(h); });
        for (SweepHit& hit : row_) {
            for (std::uint32_t& e : hit.events)
                if (e != none) e = work_.asked[e];
            visit_(hit);
        }
        row_.clear();
    }

    void take(SweepResult& result, SweepFound& found, bool mine) {
        result.complete &= found.done;
        for (const auto& closed : found.closed) {
            Closure& closure = work_.closures[closed.goal][closed.threshold];
            if (closed.a == none) closure.add_everything();
            else if (closed.b == none) closure.add(closed.a);
            else closure.add(closed.a, closed.b);
        }
        for (const Meetings::Coming& coming : found.comings) work_.candidates->meetings().add(coming);
        for (const std::uint32_t e : found.wild) work_.candidates->meetings().add_wild(e);
        if (!mine) return;
        result.combinations += found.combinations;
        result.alone += found.alone;
        result.evaluated += found.evaluated;
    }

    void tell_progress(int size) {
        ++done_;
        if (work_.options.seconds > 0 && std::chrono::duration<double>(std::chrono::steady_clock::now() - begun_).count() > work_.options.seconds) stop_ = true;
        if (stop_ || !work_.options.progress) return;
        const auto to_do = (static_cast<std::uint32_t>(found_.size()) - work_.options.shard + work_.options.shards - 1) / work_.options.shards;
        if (!work_.options.progress(size < work_.options.order ? 0.0 : static_cast<double>(done_) / to_do)) stop_ = true;
    }
};

/// Givens are counted after the elements, then what is reset, which goes with everything, then the uses, which are one thing:
/// each writes what its stores hold after it alone.
inline std::uint32_t thing_of(const Compiled& c, const Event& e) {
    const auto elements = static_cast<std::uint32_t>(c.elements.size()), givens = static_cast<std::uint32_t>(c.givens.size());
    switch (e.kind) {
        case Event::Kind::fail: return c.failures[e.index].element;
        case Event::Kind::set: return e.index;
        case Event::Kind::given: return elements + e.index;
        case Event::Kind::reset: return elements + givens + e.index;
        default: return 2 * elements + givens;
    }
}

inline bool with_none_other(const SweepOptions& options, const Event& e) { return options.one_mode_an_element || e.kind != Event::Kind::fail; }

/// Whether an event may be combined with those that are always there.
inline bool may_come_with(const Compiled& c, const SweepOptions& options, const Event& e) {
    return std::ranges::none_of(options.always, [&](const Event& there) {
        return there == e || (thing_of(c, there) == thing_of(c, e) && (with_none_other(options, there) || with_none_other(options, e)));
    });
}

}  // namespace detail

InstructionSet best_instruction_set() {
#if defined(__x86_64__)
    if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512vl")) return InstructionSet::avx512;
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("bmi2")) return InstructionSet::avx2;
#endif
    return InstructionSet::baseline;
}

Sweep::Sweep(State from, SweepOptions options) : options_(std::move(options)), before_(settle(from)) {
    if (options_.order < 1 || options_.order > 3) throw NotPossible("A sweep combines 1, 2 or 3 events at once, not " + std::to_string(options_.order) + ".");
    if (options_.modes && !options_.all) throw NotPossible("A sweep tells modes of all combinations, not only of minimal ones.");
    if (options_.shards == 0 || options_.shard >= options_.shards)
        throw NotPossible("There is no shard " + std::to_string(options_.shard) + " of " + std::to_string(options_.shards) + "; shards count from 0.");
    if (options_.instructions > best_instruction_set()) throw NotPossible("This processor does not have the instruction set asked for.");
    for (const auto* events : {&options_.events, &options_.always})
        for (const Event& e : *events)
            if (e.kind == Event::Kind::repair || e.kind == Event::Kind::clear_all)
                throw NotPossible("A sweep combines failures, positions, givens, resets and uses.");
}

SweepResult Sweep::run() const {
    std::vector<SweepHit> hits;
    SweepResult result = run([&](const SweepHit& hit) { hits.push_back(hit); });
    result.hits = std::move(hits);
    return result;
}

SweepResult Sweep::run(const std::function<void(const SweepHit&)>& visit) const {
    const State& from = before_.state();
    const Compiled& c = from.network().compiled();
    std::vector<std::uint32_t> goals;
    for (const FunctionHandle goal : options_.goals) goals.push_back(goal.index);
    for (std::uint32_t f = 0; options_.goals.empty() && f < c.functions.size(); ++f) goals.push_back(f);
    std::ranges::sort(goals);
    goals.erase(std::unique(goals.begin(), goals.end()), goals.end());
    std::vector<Event> events = options_.events;
    for (std::uint32_t f = 0; options_.events.empty() && f < c.failures.size(); ++f)
        if (!from.failed({f})) events.push_back(Event::fail({f}));
    std::vector<std::vector<detail::Write>> writes, always;
    for (const Event& e : options_.always) always.push_back(detail::writes_of(from, e));
    for (const Event& e : events) writes.push_back(detail::writes_of(from, e));
    const detail::SweepPlan plan(c, goals, detail::faults_in(from, writes) || detail::faults_in(from, always), options_.modes);
    detail::SweepWork work{.from = from, .options = options_, .before = before_, .plan = plan, .events = {}, .asked = {}, .writes = {}, .always = std::move(always), .thing_of = {},
                           .never_together = {}, .goals = goals, .goal_at = {}, .closures = {}, .candidates = {}};
    SweepResult result{.events = events};
    for (std::uint32_t e = 0; e < events.size(); ++e) {
        if (!detail::may_come_with(c, options_, events[e])) continue;
        if (!options_.all && std::ranges::all_of(writes[e], [&](const detail::Write& w) { return plan.inert(w.variable); })) {
            ++result.inert;
            continue;
        }
        work.events.push_back(events[e]);
        work.asked.push_back(e);
        work.writes.push_back(std::move(writes[e]));
        work.thing_of.push_back(detail::thing_of(c, events[e]));
        work.never_together.push_back(detail::with_none_other(options_, events[e]));
    }
    for (const std::uint32_t f : plan.judged) {
        const auto it = std::ranges::find(goals, f);
        work.goal_at.push_back(it == goals.end() ? none : static_cast<std::uint32_t>(it - goals.begin()));
    }
    work.closures.resize(goals.size());
    for (auto& both : work.closures)
        for (detail::Closure& closure : both) closure.resize(work.count());
    for (std::uint32_t d = 0; d < c.demands.size(); ++d) work.one_by_one |= before_.worlds(d).values.size() > 1 || before_.worlds(d).all_unknown;
    // Of what is always there, or begins with a fault, coefficients would have to be counted from there; and where everything is told nothing can be left out.
    if (options_.order > 1 && !options_.all && options_.always.empty() && !work.one_by_one && !detail::faults_in(from, {}) && detail::Candidates::fit(c, work.count()))
        work.candidates.emplace(c, goals, work.count(), [&](std::uint32_t a, std::uint32_t b) { return work.together(a, b); });
    detail::SweepRun(work, visit).run(result);
    return result;
}

SweepResult join(const std::vector<SweepResult>& shards) {
    SweepResult all;
    for (const SweepResult& s : shards) {
        if (&s == &shards.front()) {
            all.events = s.events;
            all.inert = s.inert;
            all.complete_to = s.complete_to;
        }
        all.hits.insert(all.hits.end(), s.hits.begin(), s.hits.end());
        all.combinations += s.combinations;
        all.alone += s.alone;
        all.evaluated += s.evaluated;
        all.complete &= s.complete;
        all.complete_to = std::min(all.complete_to, s.complete_to);
    }
    std::ranges::sort(all.hits, {}, [](const SweepHit& h) { return detail::SweepRun::order_of(h); });
    return all;
}

}  // namespace fedfrom
