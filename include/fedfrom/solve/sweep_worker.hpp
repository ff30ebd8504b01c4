/// One thread of a sweep: how combinations are laid into blocks, and which of them count.
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/solve/sweep_comings.hpp>
#include <fedfrom/solve/sweep_lanes.hpp>
#include <fedfrom/solve/sweep_work.hpp>

namespace fedfrom::detail {

/// One thread's part: lays blocks, runs the kernel, keeps what counts.
template <class Isa>
class SweepWorker {
public:
    using W = Wide<Isa>;
    explicit SweepWorker(const SweepWork& work) : work_(work) {
        if (!work.one_by_one) sweeper_ = std::make_unique<Sweeper<W>>(work.plan, work.from.memory());
        if (!work.candidates) return;
        comings_.emplace(work, *sweeper_);
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
        else if (packed_ && order == 2) pairs_that_meet(task * pair_row(work_));
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
        if (work.candidates && order > 0 && order < 3) return rows(order == 1 ? singles_a_task : pair_row(work));
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
    static constexpr std::uint32_t singles_a_task = 63 * W::words, in_table = 7;
    static constexpr std::uint32_t stretch = 16;      // groups of second events in a task of triples
    bool packed_ = false;
    std::array<std::array<std::uint32_t, 3>, W::states> pack_{};
    std::uint32_t filled_ = 0;                        // lanes, or words of tables
    std::vector<W> where_;                            // by event: the lanes that have it
    std::vector<std::uint32_t> laid_;                 // events in any lane
    std::optional<SweepComings<W>> comings_;
    std::array<std::vector<EventSet>, 8> thirds_;     // by first event of a group and second: those that come third

    /// First events in a task of pairs. Tables of them fill words; where nothing is traced, more tasks make more shards.
    static std::uint32_t pair_row(const SweepWork& work) { return work.options.order > 2 ? 8 * in_table : 8; }

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

    /// Of what was laid, the valid lanes. With a trace only of what the last `Trace::begin` says.
    void run_pack(bool traced) {
        for (const std::uint32_t e : laid_) sweeper_->put(work_.writes[e], where_[e]);
        judge();
        if (traced) comings_->keep({pack_, valid_, order_ == 2}, found_);
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
        comings_->begin(lanes);
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
        comings_->end();
    }

    void pairs_that_meet(std::uint32_t first) {
        const Candidates& candidates = *work_.candidates;
        const std::uint32_t last = std::min(first + pair_row(work_), work_.count());
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
        if (work_.candidates->looks_on_top()) found_.on_top = work_.candidates->on_top().begin();
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
        comings_->end();
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
        comings_->begin(Trace<W>::Lanes::tables);
    }

    void triples_that_meet(const TripleTask& task) {
        const Candidates& candidates = *work_.candidates;
        const std::uint32_t first_b = task.gb * 8, last_b = std::min(task.last_gb * 8, work_.count());
        for (std::uint32_t a = task.ga * 8; a < std::min(task.ga * 8 + 8, work_.count()); ++a) {
            found_.combinations += candidates.triples(a, first_b, last_b);
            candidates.template find_thirds<W>(a, first_b, last_b, work_.closures, thirds_[a % 8]);
        }
        std::vector<EventSet> whole;
        for (std::uint32_t gb = task.gb; gb < task.last_gb; ++gb) whole.push_back(examine_dense(task.ga, gb));
        if (candidates.looks_on_top())
            for (std::uint32_t a = task.ga * 8; a < std::min(task.ga * 8 + 8, work_.count()); ++a) run_hot<W>([&] { judge_unsettled(a, first_b, last_b, whole); });
        // Lanes that share events share most of what these change, so that a word of third events goes after the other.
        for (std::uint32_t word = first_b / 64; 64 * word < work_.count(); ++word)
            for (std::uint32_t b = first_b; b < last_b; ++b)
                for (std::uint32_t a = task.ga * 8; a < std::min(task.ga * 8 + 8, b); ++a)
                    for (std::uint64_t rest = thirds_[a % 8][b][word]; rest; rest &= rest - 1) pack({a, b, 64 * word + static_cast<std::uint32_t>(std::countr_zero(rest))});
        end_pack();
    }

    /// From so many lanes on a block of 8 × 8 × 8 is examined whole: sooner where two groups may be laid once for many blocks.
    std::uint32_t dense() const { return work_.plan.faults ? 448 : 128; }

    /// What meets at goals alone. Where it is not known what fewer events do, it is settled after all.
    void judge_unsettled(std::uint32_t a, std::uint32_t first_b, std::uint32_t last_b, const std::vector<EventSet>& whole) {
        const Candidates& candidates = *work_.candidates;
        std::vector<EventSet>& thirds = thirds_[a % 8];
        std::vector<EventSet> left(last_b - first_b);
        for (std::uint32_t b = std::max(a + 1, first_b); b < last_b; ++b) {
            EventSet settled = thirds[b];
            add(settled, whole[(b - first_b) / 8]);
            left[b - first_b] = candidates.unsettled(a, b, settled);
        }
        candidates.each_judged(a, first_b, last_b, left, [&](std::uint32_t goal, std::uint32_t b, std::uint32_t c, const std::array<bool, 2>& may_cross) {
            const std::optional<Level> level = candidates.judged(goal, comings_->leaves_at_rest(goal), {a, b, c});
            if (!level) {
                thirds[b][c / 64] |= std::uint64_t{1} << (c % 64);
                return;
            }
            for (std::uint32_t threshold = 0; threshold < 2; ++threshold)
                if (may_cross[threshold] && !beyond(level_at(threshold), *level)) {
                    found_.hits.push_back({{a, b, c}, work_.goals[goal], *level});
                    return;
                }
        });
    }

    /// Whole blocks, where most of one is to be examined: the third events of these.
    EventSet examine_dense(std::uint32_t ga, std::uint32_t gb) {
        const auto eight = [](std::uint32_t g) { return std::uint64_t{0xff} << (8 * (g % 8)); };
        const auto each_pair = [&](auto call) {
            for (std::uint32_t a = ga * 8; a < std::min(ga * 8 + 8, work_.count()); ++a)
                for (std::uint32_t b = std::max(a + 1, gb * 8); b < std::min(gb * 8 + 8, work_.count()); ++b) call(thirds_[a % 8][b]);
        };
        std::vector<std::uint32_t> lanes(work_.groups());
        each_pair([&](const EventSet& thirds) {
            for (std::uint32_t gc = gb; gc < work_.groups(); ++gc) lanes[gc] += static_cast<std::uint32_t>(std::popcount(thirds[gc / 8] & eight(gc)));
        });
        std::vector<std::uint32_t> whole;
        for (std::uint32_t gc = gb; gc < work_.groups(); ++gc)
            if (lanes[gc] >= dense()) whole.push_back(gc);
        EventSet examined((work_.count() + 63) / 64);
        if (whole.empty()) return examined;
        packed_ = false;
        triples({ga, gb}, whole);
        packed_ = true;
        valid_ = W::filled(false);
        each_pair([&](EventSet& thirds) {
            for (const std::uint32_t gc : whole) thirds[gc / 8] &= ~eight(gc);
        });
        for (const std::uint32_t gc : whole) examined[gc / 8] |= eight(gc);
        return examined;
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

}  // namespace fedfrom::detail
