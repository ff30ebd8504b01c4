/// `settle`, over any word: the one place where the meaning runs.
///
///     Settler<One> settler(net.compiled());
///     settler.load(memory);
///     settler.settle(frozen);
///     settler.values();        // every variable; the first `memory_end` are the memory, settled
///
/// One pass finds supply, positions and zone for the memory as it stands, lets
/// trips and emptied stores act within the pass, then moves what has memory, all
/// together, until nothing moves (rules M11 to M15). A cell that would move a
/// third time is frozen: it hunts.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/model/resolve.hpp>
#include <fedfrom/solve/spread.hpp>

namespace fedfrom {

/// Memory cells that hunt, and every value each took or would have taken.
template <class W>
struct Frozen {
    std::vector<W> cells;    ///< by memory cell
    std::vector<W> holders;  ///< by holder
    std::vector<W> took;     ///< by memory cell and position, one after another

    explicit Frozen(const Compiled& c) : cells(c.memory_cells.size()), holders(c.holders.size()) {
        std::size_t positions = 0;
        for (const MemoryCell& cell : c.memory_cells) positions += cell.sent.size();
        took.resize(positions);
    }
    void clear() {
        for (auto* list : {&cells, &holders, &took}) list->assign(list->size(), W::filled(false));
    }
    bool operator==(const Frozen&) const = default;
};

template <class W>
class Settler {
public:
    /// With `readers`, a settle evaluates only what the changes since the last one can reach.
    explicit Settler(const Compiled& c, const detail::Readers* readers = nullptr)
        : c_(c), now_(c, readers), spreader_(c, now_), cell_moves_(c.memory_cells.size()), holder_moves_(c.holders.size()), looked_at_(c.memory_cells.size()), next_zone_(c.zones.size()) {
        for (const std::uint32_t e : c_.storing)
            for (std::uint32_t z = c.elements[e].zones.first; z < c.elements[e].zones.last; ++z)
                if (row(c.elements[e].element->kind).stores_fluid && is_fluid(c.media[c.zones[z].medium])) leaks_.push_back({z, c.elements[e].empty});
        std::uint32_t took = 0;
        for (const MemoryCell& cell : c_.memory_cells) {
            took_.push_back(took);
            took += static_cast<std::uint32_t>(cell.sent.size());
        }
        cells_looked_at_.reserve(cell_moves_.size());
        moves_.reserve(took + holder_moves_.size());
    }

    Settler(const Settler&) = delete;
    Settler& operator=(const Settler&) = delete;

    std::span<W> values() { return now_.values(); }
    std::span<const W> values() const { return now_.values(); }
    W value(Literal l) const { return now_.value(l); }
    detail::Evaluation<W>& evaluation() { return now_; }
    const detail::Evaluation<W>& evaluation() const { return now_; }
    detail::Evaluator<W>& evaluator() { return now_.evaluator(); }

    void load(std::span<const W> memory) {
        now_.load(memory);
        may_hunt_ = true;
    }

    /// Of what is timed, the cells that do not obey what commands them, by memory cell; empty: all obey. Without readers.
    void hold_back(std::vector<W> cells) { held_back_ = std::move(cells); }

    /// Changes one memory variable; frozen cells come free with any event.
    void put(Variable v, W value) { now_.put(v, value); }
    void free_frozen(Frozen<W>& frozen) {
        if (!std::exchange(may_hunt_, false)) return;
        for (std::size_t i = 0; now_.readers() && i < frozen.cells.size(); ++i)
            if (any(frozen.cells[i])) now_.look_again(now_.readers()->cells.first + static_cast<std::uint32_t>(i));
        for (std::size_t h = 0; now_.readers() && h < frozen.holders.size(); ++h)
            if (any(frozen.holders[h])) now_.look_again(now_.readers()->holders.first + static_cast<std::uint32_t>(h));
        frozen.clear();
    }

    /// Settles what is loaded or put; afterwards the memory variables are the settled memory.
    void settle(Frozen<W>& frozen) {
        begin(frozen);
        while (pass(frozen)) {}
        finish(frozen);
    }

    // The same in parts, for whoever limits the passes. False when nothing moved: the last pass.
    void begin(Frozen<W>& frozen) {
        keep_only_hunting(frozen);
        for (const std::uint32_t i : cells_looked_at_) {
            cell_moves_[i] = {};
            looked_at_[i] = false;
        }
        cells_looked_at_.clear();
        for (Moves& moves : holder_moves_) moves = {};
        came_back_ = W::filled(false);
    }
    bool pass(Frozen<W>& frozen) {
        evaluate();
        return move(frozen);
    }
    void finish(Frozen<W>& frozen) {
        keep_only_hunting(frozen);
        now_.run(c_.standing_gates.last);
        remember_positions();
    }

    /// With readers: a pass that moves nothing, to learn whether anything that decides moves has changed. False where it has, or a fault is about.
    bool decide() {
        if (fault_anywhere()) return false;  // and nothing is evaluated: a fault would trip things
        clear_zone();
        now_.run(c_.command_gates.last);
        return !now_.stale_in(now_.readers()->holders) && !now_.stale_in(now_.readers()->cells);
    }

    /// Whether a memory cell is sent elsewhere than it stands.
    bool sent_elsewhere(std::uint32_t cell) const {
        const MemoryCell& m = c_.memory_cells[cell];
        for (std::size_t p = 0; p < m.sent.size(); ++p)
            if (any(value(m.sent[p]) ^ values()[c_.elements[m.element].held + p])) return true;
        return false;
    }

    /// Where one of what may stick stands; false where that is remembered already.
    bool remember_position(std::uint32_t sticking) {
        const ElementInfo& e = c_.elements[c_.sticking[sticking]];
        bool moved = false;
        for (std::uint32_t p = 0; p < e.positions.size(); ++p) {
            moved |= !(values()[e.held + p] == value(e.stands[p]));
            now_.put_untold(e.held + p, value(e.stands[p]));
        }
        return moved;
    }

    void forget_decisions() {
        now_.each_stale(now_.readers()->holders, 0, [](std::uint32_t) {});
        now_.each_stale(now_.readers()->cells, 0, [](std::uint32_t) {});
    }

    /// A short, leak or jam is about.
    bool faulty() const { return !spreader_.seeds().empty(); }

    /// With readers: tells `trace` of every value from here on, and begins faults anew in all lanes together, with stores that wait for whatever trips in any; null: no more.
    void tell(detail::Trace<W>* trace) {
        now_.tell(trace);
        traced_ = trace != nullptr;
        spreader_.trace(traced_);
    }
    /// Where in this settle a zone came back.
    const W& came_back() const { return came_back_; }

    /// False: nothing is frozen. True: look.
    bool may_hunt() const { return may_hunt_; }
    W hunting(const Frozen<W>& frozen) const {
        W some = W::filled(false);
        if (!may_hunt_) return some;
        for (const auto* list : {&frozen.cells, &frozen.holders})
            for (const W& w : *list) some |= w;
        return some;
    }

    /// With readers: from here on `undo` returns to what is now; all gates must have run. What was frozen must be freed first.
    void keep() {
        now_.begin_changes();
        kept_zone_set_ = zone_set_;
        kept_reached_.assign(spreader_.reached().begin(), spreader_.reached().end());
        kept_seeds_.assign(spreader_.seeds().begin(), spreader_.seeds().end());
    }
    void undo() {
        now_.undo();
        put_back_flags();
    }
    /// A layer on top of it, without a fault in either, that is undone alone.
    void begin_layer() { now_.begin_layer(); }
    void undo_layer() {
        now_.undo_layer();
        put_back_flags();
    }
    void end_layer() { now_.end_layer(); }

    /// Supply, positions and zone for the memory as it stands; trips and emptied stores act at once, nothing moves.
    void evaluate() {
        clear_zone();
        history_used_ = 0;
        for (;;) {
            now_.run(c_.program.logic_end);
            if (!fault_anywhere()) return;
            const std::vector<W>& zone = spreader_.run();
            W restart = W::filled(false);
            for (const std::uint32_t e : spreader_.tripping()) restart |= raise(c_.elements[e].tripped, spreader_.trips(e));
            if (traced_ && any(restart)) restart = W::filled(true);
            const W tripped = restart;
            for (const auto& [z, empty] : leaks_) restart |= raise(empty, zone[z] & ~tripped);
            if (traced_ && any(restart)) restart = W::filled(true);
            if (!advance(zone, restart)) return;
        }
    }

    /// Every position and show, for what `settle` or `evaluate` left; they are not kept up otherwise.
    void report() { now_.run(c_.report_gates.last); }

private:
    struct Moves {
        W once{}, twice{};
    };
    struct Move {
        Variable variable;
        W to, change;
    };
    struct Leak {
        std::uint32_t zone;
        Variable empty;
    };
    struct Used {
        std::vector<W> zone;     // by place among those reached, as far as they were then
        std::size_t reached = 0;
        W valid{};
    };
    const Compiled& c_;
    detail::Evaluation<W> now_;
    detail::Spreader<W> spreader_;
    std::vector<Moves> cell_moves_, holder_moves_;
    std::vector<std::uint32_t> cells_looked_at_;                // in this settle
    std::vector<bool> looked_at_;                               // by memory cell
    std::vector<Move> moves_;                                   // of this pass
    std::vector<std::uint32_t> took_;                           // by memory cell: its first place in Frozen::took
    std::vector<W> held_back_;                                  // by memory cell
    std::vector<W> next_zone_;                                  // as far as it is reached
    std::vector<std::uint32_t> kept_reached_, kept_seeds_;
    std::vector<Leak> leaks_;
    std::vector<Used> history_;  // zones used since the zone was last cleared, but for the empty one; kept for their room
    std::size_t history_used_ = 0;
    W came_back_{};
    bool traced_ = false;
    bool zone_set_ = false, may_hunt_ = true, kept_zone_set_ = false;

    /// Past this many rounds zones only grow, so that the search for one that stays must end.
    static constexpr std::size_t rounds_before_growing = 1000;

    void put_back_flags() {
        zone_set_ = kept_zone_set_;
        spreader_.forget();
        for (const std::uint32_t z : kept_reached_) spreader_.reach(z);
        spreader_.put_back_seeds(kept_seeds_);
    }

    bool fault_anywhere() {
        now_.each_stale(watched(&detail::Readers::seeds), spreader_.seeded(), [&](std::uint32_t i) { spreader_.look_at_seed(i); });
        return faulty();
    }

    void clear_zone() {
        if (!std::exchange(zone_set_, false)) return;
        for (const std::uint32_t z : spreader_.reached()) now_.put(c_.zones[z].variable, W::filled(false));
        spreader_.forget();
    }

    /// Sets a memory bit; returns where it was not set.
    W raise(Variable v, W on) {
        const W fresh = on & ~values()[v];
        if (any(fresh)) now_.put(v, values()[v] | on);
        return fresh;
    }

    W differs(std::span<const W> zone) const {
        W d = W::filled(false);
        for (const std::uint32_t z : spreader_.reached()) d |= zone[z] ^ values()[c_.zones[z].variable];
        return d;
    }

    /// The next zone to try (rule M12), the empty one where `restart`. False when every state has the zone it had.
    bool advance(const std::vector<W>& found, W restart) {
        W pending = differs(found) & ~restart;
        if (any(pending)) {
            for (const std::uint32_t z : spreader_.reached()) next_zone_[z] = found[z];
            join_what_came_back(found, pending);
            if (history_used_ > rounds_before_growing) came_back_ |= pending;
            if (history_used_ > rounds_before_growing)
                for (const std::uint32_t z : spreader_.reached()) next_zone_[z] |= values()[c_.zones[z].variable];
            pending &= differs(next_zone_);
        }
        for (const std::uint32_t z : spreader_.reached()) {
            const W zone = values()[c_.zones[z].variable];
            now_.put(c_.zones[z].variable, (zone & ~(restart | pending)) | (next_zone_[z] & pending));
        }
        zone_set_ = true;
        for (std::size_t i = 0; i < history_used_; ++i) history_[i].valid &= ~restart;
        if (any(pending)) remember_zone(pending);
        return any(pending | restart);
    }

    void join_what_came_back(const std::vector<W>& found, W pending) {
        W empty_again = pending;
        for (const std::uint32_t z : spreader_.reached()) empty_again &= ~found[z];
        W matched = empty_again;
        came_back_ |= empty_again;
        const auto reached = spreader_.reached();
        for (std::size_t h = 0; h < history_used_; ++h) {
            const Used& used = history_[h];
            W same = used.valid & pending;
            for (std::size_t i = 0; i < reached.size() && any(same); ++i) same &= ~(i < used.reached ? found[reached[i]] ^ used.zone[i] : found[reached[i]]);
            matched |= same;
            came_back_ |= same;
            const W join = matched & used.valid;
            if (!any(join)) continue;
            for (std::size_t i = 0; i < used.reached; ++i) next_zone_[reached[i]] |= used.zone[i] & join;
        }
    }

    void remember_zone(W valid) {
        if (history_used_ == history_.size()) history_.push_back({.zone = std::vector<W>(c_.zones.size())});
        Used& used = history_[history_used_++];
        used.valid = valid;
        const auto reached = spreader_.reached();
        used.reached = reached.size();
        for (std::size_t i = 0; i < reached.size(); ++i) used.zone[i] = values()[c_.zones[reached[i]].variable];
    }

    /// Of what wants to change: what may. The third time it is frozen instead.
    W allowed(W wants, W& frozen, Moves& moves) {
        wants &= ~frozen;
        frozen |= wants & moves.twice;
        may_hunt_ |= any(wants & moves.twice);
        wants &= ~moves.twice;
        moves.twice |= wants & moves.once;
        moves.once |= wants;
        return wants;
    }

    /// Moves holders and memory cells, all together: all are read before any is moved. True if any did.
    bool move(Frozen<W>& frozen) {
        now_.run(c_.command_gates.last);
        moves_.clear();
        now_.each_stale(watched(&detail::Readers::holders), static_cast<std::uint32_t>(c_.holders.size()), [&](std::uint32_t h) { read_holder(h, frozen); });
        now_.each_stale(watched(&detail::Readers::cells), static_cast<std::uint32_t>(c_.memory_cells.size()), [&](std::uint32_t i) { read_cell(i, frozen); });
        for (const Move& m : moves_) now_.put(m.variable, (values()[m.variable] & ~m.change) | (m.to & m.change));
        return !moves_.empty();
    }

    void read_holder(std::uint32_t h, Frozen<W>& frozen) {
        const ElementInfo& e = c_.elements[c_.holders[h]];
        const W to = value(e.supplied);
        const W change = allowed(values()[e.holding] ^ to, frozen.holders[h], holder_moves_[h]);
        if (any(change)) moves_.push_back({e.holding, to, change});
    }

    void read_cell(std::uint32_t i, Frozen<W>& frozen) {
        const MemoryCell& cell = c_.memory_cells[i];
        const Variable held = c_.elements[cell.element].held;
        if (!looked_at_[i]) cells_looked_at_.push_back(i);
        looked_at_[i] = true;
        W wants = W::filled(false);
        for (std::size_t p = 0; p < cell.sent.size(); ++p) {
            const W sent = value(cell.sent[p]), stands = values()[held + p];
            frozen.took[took_[i] + p] |= sent | stands;
            wants |= sent ^ stands;
        }
        if (!held_back_.empty()) wants &= ~(held_back_[i] & value(cell.commanded));
        const W change = allowed(wants, frozen.cells[i], cell_moves_[i]);
        for (std::uint32_t p = 0; any(change) && p < cell.sent.size(); ++p) moves_.push_back({held + p, value(cell.sent[p]), change});
    }

    void keep_only_hunting(Frozen<W>& frozen) const {
        for (const std::uint32_t i : cells_looked_at_)
            for (std::size_t p = 0; p < c_.memory_cells[i].sent.size(); ++p) frozen.took[took_[i] + p] &= frozen.cells[i];
    }

    /// Where things stand is where they will be if they stick now.
    void remember_positions() {
        now_.each_stale(watched(&detail::Readers::standing), static_cast<std::uint32_t>(c_.sticking.size()), [&](std::uint32_t i) {
            const ElementInfo& e = c_.elements[c_.sticking[i]];
            for (std::uint32_t p = 0; p < e.positions.size(); ++p) now_.put_for_later(e.held + p, value(e.stands[p]));
        });
    }

    Range watched(Range detail::Readers::* watchers) const { return now_.readers() ? now_.readers()->*watchers : Range{}; }
};

}  // namespace fedfrom
