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
    explicit Settler(const Compiled& c)
        : c_(c), evaluator_(c.program), spreader_(c, evaluator_), values_(c.program.variables()),
          cell_moves_(c.memory_cells.size()), holder_moves_(c.holders.size()), next_zone_(c.zones.size()) {
        for (const std::uint32_t e : c.storing)
            for (std::uint32_t z = c.elements[e].zones.first; z < c.elements[e].zones.last; ++z)
                if (row(c.elements[e].element->kind).stores_fluid && is_fluid(c.media[c.zones[z].medium])) leaks_.push_back({z, c.elements[e].empty});
    }

    std::span<W> values() { return values_; }
    std::span<const W> values() const { return values_; }
    W value(Literal l) const { return detail::Evaluator<W>::read(values_, l); }
    detail::Evaluator<W>& evaluator() { return evaluator_; }

    void load(std::span<const W> memory) {
        std::copy(memory.begin(), memory.end(), values_.begin());
        values_[0] = W::filled(true);
    }

    /// Settles what is loaded; afterwards the memory variables are the settled memory.
    void settle(Frozen<W>& frozen) {
        for (auto& moves : cell_moves_) moves = {};
        for (auto& moves : holder_moves_) moves = {};
        do evaluate();
        while (move(frozen));
        keep_only_hunting(frozen);
        evaluator_.gates(values_, c_.standing_gates.first, c_.standing_gates.last);
        remember_positions();
    }

    /// Supply, positions and zone for the memory as it stands; trips and emptied stores act at once, nothing moves.
    void evaluate() {
        for (const ZoneInfo& z : c_.zones) values_[z.variable] = W::filled(false);
        history_.clear();
        for (;;) {
            evaluator_.logic(values_);
            if (!fault_anywhere()) return;
            const std::vector<W>& zone = spreader_.run(values_);
            W restart = W::filled(false);
            for (const std::uint32_t e : c_.protecting) restart |= raise(c_.elements[e].tripped, spreader_.trips(e));
            const W tripped = restart;
            for (const auto& [z, empty] : leaks_) restart |= raise(empty, zone[z] & ~tripped);
            if (!advance(zone, restart)) return;
        }
    }

    /// Every position and show, for what `settle` or `evaluate` left; they are not kept up otherwise.
    void report() { evaluator_.gates(values_, c_.standing_gates.first, c_.report_gates.last); }

private:
    struct Moves {
        W once{}, twice{};
    };
    struct Leak {
        std::uint32_t zone;
        Variable empty;
    };
    struct Used {
        std::vector<W> zone;
        W valid;
    };
    const Compiled& c_;
    detail::Evaluator<W> evaluator_;
    detail::Spreader<W> spreader_;
    std::vector<W> values_;
    std::vector<Moves> cell_moves_, holder_moves_;
    std::vector<W> next_zone_;
    std::vector<Leak> leaks_;
    std::vector<Used> history_;  // zones used since the zone was last cleared, but for the empty one

    /// Past this many rounds zones only grow, so that the search for one that stays must end.
    static constexpr std::size_t rounds_before_growing = 1000;

    bool fault_anywhere() const {
        for (const ZoneInfo& z : c_.zones)
            if (z.seed != never && any(value(z.seed))) return true;
        return false;
    }

    /// Sets a memory bit; returns where it was not set.
    W raise(Variable v, W on) {
        const W fresh = on & ~values_[v];
        values_[v] |= on;
        return fresh;
    }

    W differs(std::span<const W> zone) const {
        W d = W::filled(false);
        for (std::size_t z = 0; z < zone.size(); ++z) d |= zone[z] ^ values_[c_.zones[z].variable];
        return d;
    }

    /// The next zone to try (rule M12), the empty one where `restart`. False when every state has the zone it had.
    bool advance(const std::vector<W>& found, W restart) {
        W pending = differs(found) & ~restart;
        if (any(pending)) {
            next_zone_ = found;
            join_what_came_back(found, pending);
            if (history_.size() > rounds_before_growing)
                for (std::size_t z = 0; z < next_zone_.size(); ++z) next_zone_[z] |= values_[c_.zones[z].variable];
            pending &= differs(next_zone_);
        }
        for (std::size_t z = 0; z < found.size(); ++z) {
            W& zone = values_[c_.zones[z].variable];
            zone = (zone & ~(restart | pending)) | (next_zone_[z] & pending);
        }
        for (Used& used : history_) used.valid &= ~restart;
        if (any(pending)) remember_zone(pending);
        return any(pending | restart);
    }

    void join_what_came_back(const std::vector<W>& found, W pending) {
        W empty_again = pending;
        for (const W z : found) empty_again &= ~z;
        W matched = empty_again;
        for (const Used& used : history_) {
            W same = used.valid & pending;
            for (std::size_t z = 0; z < found.size() && any(same); ++z) same &= ~(found[z] ^ used.zone[z]);
            matched |= same;
            const W join = matched & used.valid;
            if (!any(join)) continue;
            for (std::size_t z = 0; z < found.size(); ++z) next_zone_[z] |= used.zone[z] & join;
        }
    }

    void remember_zone(W valid) {
        Used used{.zone = {}, .valid = valid};
        used.zone.reserve(c_.zones.size());
        for (const ZoneInfo& z : c_.zones) used.zone.push_back(values_[z.variable]);
        history_.push_back(std::move(used));
    }

    /// Of what wants to change: what may. The third time it is frozen instead.
    static W allowed(W wants, W& frozen, Moves& moves) {
        wants &= ~frozen;
        frozen |= wants & moves.twice;
        wants &= ~moves.twice;
        moves.twice |= wants & moves.once;
        moves.once |= wants;
        return wants;
    }

    /// Moves holders and memory cells, all together. True if any did.
    bool move(Frozen<W>& frozen) {
        evaluator_.gates(values_, c_.command_gates.first, c_.command_gates.last);
        W moved = W::filled(false);
        for (std::size_t h = 0; h < c_.holders.size(); ++h) {
            const ElementInfo& e = c_.elements[c_.holders[h]];
            const W change = allowed(values_[e.holding] ^ value(e.supplied), frozen.holders[h], holder_moves_[h]);
            values_[e.holding] = values_[e.holding] ^ change;
            moved |= change;
        }
        std::size_t base = 0;
        for (std::size_t i = 0; i < c_.memory_cells.size(); ++i) {
            const MemoryCell& cell = c_.memory_cells[i];
            const Variable held = c_.elements[cell.element].held;
            W wants = W::filled(false);
            for (std::size_t p = 0; p < cell.sent.size(); ++p) {
                const W sent = value(cell.sent[p]), stands = values_[held + p];
                frozen.took[base + p] |= sent | stands;
                wants |= sent ^ stands;
            }
            const W change = allowed(wants, frozen.cells[i], cell_moves_[i]);
            if (any(change))
                for (std::size_t p = 0; p < cell.sent.size(); ++p)
                    values_[held + p] = (values_[held + p] & ~change) | (value(cell.sent[p]) & change);
            moved |= change;
            base += cell.sent.size();
        }
        return any(moved);
    }

    void keep_only_hunting(Frozen<W>& frozen) const {
        std::size_t base = 0;
        for (std::size_t i = 0; i < c_.memory_cells.size(); ++i)
            for (std::size_t p = 0; p < c_.memory_cells[i].sent.size(); ++p) frozen.took[base++] &= frozen.cells[i];
    }

    /// Where things stand is where they will be if they stick now.
    void remember_positions() {
        for (const ElementInfo& e : c_.elements) {
            if (!e.held || e.memory) continue;
            for (std::size_t p = 0; p < e.positions.size(); ++p) values_[e.held + p] = value(e.stands[p]);
        }
    }
};

}  // namespace fedfrom
