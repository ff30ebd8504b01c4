/// A copy of a settled state with demands applied and settled, kept up with it (rule M18).
///
/// A copy starts from the state's settled memory each time, so what its last settle
/// moved must be put back first. Most events change nothing of that: beside the copy
/// stands its *first pass*, the evaluation in which its moves are decided. Where an
/// event leaves those decisions alone, and the copy then moves nothing more, the copy
/// stays where it is and only takes the event. (Where things that may stick stand is not
/// remembered here: they stick where the state stood.)
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/solve/settler.hpp>

namespace fedfrom::detail {

/// Who is told what changed: of all in a cone, and of what decides moves there.
struct CopyReaders {
    Readers all, deciding;
    CopyReaders(const Compiled& c, const Cone& cone, std::span<const std::uint32_t> functions = {}) : all(c, cone, functions), deciding(c, deciding_moves(c, cone)) {}
};

template <class W>
class DemandCopy {
public:
    DemandCopy(const Compiled& c, const CopyReaders& readers)
        : c_(c), settler_(c, &readers.all), first_pass_(c, &readers.deciding), frozen_(c), slot_(c.memory_end), applied_(1), restarts_(c.memory_end) {
        moved_.reserve(c.memory_end);
        kept_moved_.reserve(c.memory_end);
    }

    /// In the states of `where` this copy has demand `d` applied.
    void apply(const DemandInfo& d, W where) {
        for (const HandSetting& s : d.set) {
            const ElementInfo& e = c_.elements[s.element];
            for (std::uint32_t p = 0; p < e.positions.size(); ++p) apply(e.at_hand + p, where, p == s.position);
        }
        for (const GivenSetting& s : d.given) apply(c_.givens[s.given].variable, where, s.value);
    }

    /// Starts from the whole of a settled state; `state(v)` is its memory.
    template <class StateOf>
    void load(StateOf state) {
        std::vector<W> memory(c_.memory_end);
        for (Variable v = 0; v < memory.size(); ++v) memory[v] = start(v, state(v));
        first_pass_.load(memory);
        decide_first_pass();
        settler_.load(memory);
        settle(state);
    }

    /// Takes over what changed in the state's memory and settles.
    template <class StateOf>
    void follow(std::span<const Variable> changed, StateOf state) {
        bool stays = simple_;
        for (const Variable v : changed) {
            if (v >= restarts_.size()) continue;
            const W value = start(v, state(v));
            if (first_pass_.values()[v] == value) continue;
            stays &= !restarts_[v];
            first_pass_.put(v, value);
            settler_.put(v, value);
        }
        stays &= decide_first_pass();
        stayed_ = stays && !traced_ && settler_.decide();
        if (stayed_) return;
        for (const Variable v : moved_) settler_.put(v, start(v, state(v)));
        settle(state);
    }

    /// Takes over what one variable now is in the state, where that can move nothing and reaches these gates of the cone.
    void follow_listed(Variable v, W in_state, std::span<const std::uint32_t> gates) {
        first_pass_.evaluation().put_untold(v, start(v, in_state));  // nothing there reads it
        settler_.evaluation().put_untold(v, start(v, in_state));
        settler_.evaluation().run_listed(gates);
    }

    /// From here on it follows another cone; `more`: a larger one.
    void follow_in(const CopyReaders& readers, bool more) {
        settler_.evaluation().tell(readers.all, more);
        first_pass_.evaluation().tell(readers.deciding, more);
    }

    /// The last `follow` moved nothing.
    bool stayed() const { return stayed_; }

    /// Tells `trace` of every value it takes from here on, which are those of a settle from the start; null: no more.
    void tell(Trace<W>* trace) {
        settler_.tell(trace);
        traced_ = trace != nullptr;
    }

    /// States in which something hunts.
    W hunting() const { return settler_.hunting(frozen_); }

    /// Gates evaluated so far, of the first pass too.
    std::uint64_t evaluated() const { return settler_.evaluation().evaluated() + first_pass_.evaluation().evaluated(); }

    Settler<W>& settler() { return settler_; }
    const Evaluation<W>& evaluation() const { return settler_.evaluation(); }

    /// From here on `undo` returns to what is now; all gates must have run.
    void keep() {
        settler_.keep();
        first_pass_.keep();
        kept_moved_ = moved_;
        kept_simple_ = simple_;
    }
    void undo() {
        settler_.free_frozen(frozen_);
        settler_.undo();
        first_pass_.undo();
        put_back_moved();
    }
    /// A layer on top, for a copy that stayed, that is undone alone.
    void begin_layer() {
        settler_.begin_layer();
        first_pass_.begin_layer();
    }
    void undo_layer() {
        settler_.free_frozen(frozen_);
        settler_.undo_layer();
        first_pass_.undo_layer();
        put_back_moved();
    }
    void end_layer() {
        settler_.end_layer();
        first_pass_.end_layer();
    }

private:
    struct Applied {
        W where{}, value{};
    };
    const Compiled& c_;
    Settler<W> settler_, first_pass_;
    Frozen<W> frozen_;
    std::vector<std::uint32_t> slot_;     // by memory variable: in `applied_`
    std::vector<Applied> applied_;        // what demands say of a variable; the first says nothing
    std::vector<Variable> moved_, kept_moved_;  // memory that differs from what the copy started with
    std::vector<std::uint8_t> restarts_;  // by memory variable: changing it may change where the copy starts to move from
    bool traced_ = false;
    bool stayed_ = false, simple_ = false, kept_simple_ = false;  // the last settle moved all it moved in its first pass, and had no fault

    void put_back_moved() {
        simple_ = kept_simple_;
        for (const Variable v : moved_) restarts_[v] = false;
        for (const Variable v : kept_moved_) restarts_[v] = true;
        moved_ = kept_moved_;
    }

    void apply(Variable v, W where, bool on) {
        if (slot_[v] == 0) {
            slot_[v] = static_cast<std::uint32_t>(applied_.size());
            applied_.emplace_back();
        }
        applied_[slot_[v]].where |= where;
        if (on) applied_[slot_[v]].value |= where;
    }

    W start(Variable v, const W& in_state) const {
        const Applied& a = applied_[slot_[v]];
        return (in_state & ~a.where) | a.value;
    }

    /// False: what decides its moves has changed.
    bool decide_first_pass() {
        const bool same = first_pass_.decide();
        first_pass_.forget_decisions();
        return same;
    }

    template <class StateOf>
    void settle(StateOf state) {
        settler_.free_frozen(frozen_);
        settler_.begin(frozen_);
        unsigned passes = 1;
        while (settler_.pass(frozen_)) ++passes;
        simple_ = passes <= 2 && !settler_.faulty() && !settler_.may_hunt();
        for (const Variable v : moved_) restarts_[v] = false;
        moved_.clear();
        for (const Variable v : settler_.evaluation().changes().changed()) {
            if (v >= restarts_.size() || restarts_[v] || settler_.values()[v] == start(v, state(v))) continue;
            moved_.push_back(v);
            restarts_[v] = true;
        }
    }
};

}  // namespace fedfrom::detail
