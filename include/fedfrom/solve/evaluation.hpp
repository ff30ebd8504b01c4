/// The values of all variables, kept true while inputs change.
///
/// Without `Readers` every run evaluates all gates, which is the quickest way for
/// one state. With them only what a changed input can reach is evaluated again,
/// and a journal says what changed. A *trial* evaluates supply alone, with every
/// position as it stands, and is undone.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/solve/ascending_set.hpp>
#include <fedfrom/solve/evaluate.hpp>
#include <fedfrom/solve/gate_list.hpp>
#include <fedfrom/solve/journal.hpp>
#include <fedfrom/solve/readers.hpp>
#include <fedfrom/solve/trace.hpp>

namespace fedfrom::detail {

template <class W>
class Evaluation {
public:
    explicit Evaluation(const Compiled& c, const Readers* readers = nullptr)
        : p_(c.program), readers_(readers), evaluator_(c.program), values_(c.program.variables()), stale_(readers ? readers->end() : 0),
          changes_(readers ? p_.variables() : 0), layer_(readers ? p_.variables() : 0), trial_(readers ? p_.variables() : 0), component_(readers ? p_.logic_end : 0) {
        if (!readers) {
            values_before_trial_.reserve(values_.size());
            return;
        }
        for (std::uint32_t i = 0; i < p_.logic_components().size(); ++i) std::fill(component_.begin() + p_.components[i].first, component_.begin() + p_.components[i].last, i);
        before_loop_.reserve(p_.longest_loop());
    }

    std::span<W> values() { return values_; }
    std::span<const W> values() const { return values_; }
    W value(Literal l) const { return Evaluator<W>::read(values_, l); }
    Evaluator<W>& evaluator() { return evaluator_; }

    /// Takes all inputs anew: everything is stale.
    void load(std::span<const W> memory) {
        std::copy(memory.begin(), memory.end(), values_.begin());
        values_[0] = W::filled(true);
        fresh_to_ = 0;
        if (readers_) stale_.insert_range(static_cast<std::uint32_t>(p_.gates.size()), readers_->end());
    }

    /// Changes an input.
    void put(Variable v, W value) {
        if (values_[v] == value) return;
        if (readers_) write(v, value);
        else {
            values_[v] = value;
            fresh_to_ = 0;
        }
    }

    /// Changes an input that no result hangs on as things stand; evaluating everything again for it can wait.
    void put_for_later(Variable v, W value) {
        if (values_[v] == value) return;
        if (readers_) write(v, value);
        else values_[v] = value;
    }

    /// With readers: changes an input and tells nobody, until `tell_of_changes` or `run_listed` of all that reads it.
    void put_untold(Variable v, W value) {
        if (!(values_[v] == value)) set(v, value);
    }
    void tell_of_changes() {
        for (const Variable v : changes().changed()) tell_readers(v);
    }
    /// Makes the gates of a list (gate_list.hpp) true again, in ascending order and outside loops, and tells nobody.
    void run_listed(std::span<const std::uint32_t> list) {
        Journal<W>& changes = journal();
        W* const values = values_.data();
        each_listed(list, [&](const ListedGate& gate) {
            W value = W::filled(true);
            if (gate.index != none) value = evaluator_.gate(values_, p_.gates[gate.index]);
            for (const std::uint32_t code : gate.literals) value &= values[code >> 1] ^ W::filled(code & 1);
            value = value ^ W::filled(gate.opposite);
            if (values[gate.output] == value) return;
            changes.note(gate.output, values[gate.output]);
            values[gate.output] = value;
        });
    }

    /// Makes all gates below `end` true again; `end` is not inside the logic.
    void run(std::uint32_t end) {
        if (stale_.may_have_below(std::min(end, fresh_to_))) run_hot<W>([&] { run_stale<false>(std::min(end, fresh_to_)); });
        if (fresh_to_ >= end) return;
        if (fresh_to_ == 0) evaluator_.logic(values_);
        evaluator_.gates(values_, std::max(fresh_to_, p_.logic_end), end);
        fresh_to_ = end;
        if (readers_) stale_.remove_below(end);
    }

    /// Calls for each of a range of watchers whose variables changed, by its place in the range; without readers for all `count`.
    template <class Call>
    void each_stale(Range watchers, std::uint32_t count, Call call) {
        if (!readers_)
            for (std::uint32_t i = 0; i < count; ++i) call(i);
        else
            stale_.drain(watchers.first, watchers.last, [&](std::uint32_t i) { call(i - watchers.first); });
    }
    bool is_stale(std::uint32_t watcher) const { return stale_.has(watcher); }
    bool stale_in(Range watchers) const { return stale_.any_in(watchers.first, watchers.last); }
    void look_again(std::uint32_t watcher) { stale_.insert(watcher); }
    const Readers* readers() const { return readers_; }
    /// From here on others are told. Where they are more than before, what the others did not follow is out of date.
    void tell(const Readers& readers, bool more) {
        readers_ = &readers;
        if (more) stale_.insert_range(0, readers.end());
    }
    /// Tells `trace` of every value from here on; null: none. Only with readers.
    void tell(Trace<W>* trace) { trace_ = trace; }
    void note(std::uint32_t what, const W& value) {
        if (trace_) trace_->note(what, value);
    }
    /// Gates evaluated one by one so far.
    std::uint64_t evaluated() const { return evaluated_; }

    /// What changed since `begin_changes` (with readers; a load is not in it).
    const Journal<W>& changes() const { return in_layer_ ? layer_ : changes_; }
    void begin_changes() { changes_.begin(); }

    /// Puts back what changed; all gates must have run before `begin_changes`.
    void undo() { put_back(changes_); }

    /// From here on `changes` is of a second layer, which is undone alone.
    void begin_layer() {
        in_layer_ = true;
        layer_.begin();
    }
    void undo_layer() { put_back(layer_); }
    void end_layer() { in_layer_ = false; }

    void begin_trial() {
        in_trial_ = true;
        if (readers_) trial_.begin();
        else values_before_trial_ = values_;
    }
    void put_in_trial(Variable v, W value) {
        if (!readers_) values_[v] = value;
        else if (!(values_[v] == value)) write(v, value);
    }
    void run_trial() {
        if (readers_) run_hot<W>([&] { run_stale<true>(p_.logic_end); });
        else evaluator_.supply(values_);
    }
    W before_trial(Literal l) const {
        const Variable v = l.variable();
        const W before = !readers_ ? values_before_trial_[v] : trial_.has(v) ? trial_.before(v) : values_[v];
        return before ^ W::filled(l.negated());
    }
    void end_trial() {
        in_trial_ = false;
        if (!readers_) std::swap(values_, values_before_trial_);
        else
            for (const Variable v : trial_.changed()) values_[v] = trial_.before(v);
    }

private:
    const Program& p_;
    const Readers* readers_;
    Evaluator<W> evaluator_;
    std::vector<W> values_;
    std::uint32_t fresh_to_ = 0;  ///< gates from here on are stale, all of them
    AscendingSet stale_;          ///< of those before, and watchers
    Journal<W> changes_, layer_, trial_;
    bool in_layer_ = false, in_trial_ = false;
    Trace<W>* trace_ = nullptr;
    std::uint64_t evaluated_ = 0;
    std::vector<std::uint32_t> component_;  // by logic gate
    std::vector<W> before_loop_, values_before_trial_;

    Journal<W>& journal() { return in_trial_ ? trial_ : in_layer_ ? layer_ : changes_; }

    void put_back(Journal<W>& journal) {
        for (const Variable v : journal.changed()) values_[v] = journal.before(v);
        journal.begin();
        stale_.remove_below(readers_->end());
    }

    void write(Variable v, W value) {
        set(v, value);
        note(v, value);
        tell_readers(v);
    }
    void set(Variable v, W value) {
        journal().note(v, values_[v]);
        values_[v] = value;
    }

    /// Nothing outside the logic is evaluated before a trial is undone.
    void tell_readers(Variable v) {
        for (const std::uint32_t reader : readers_->of(v))
            if (!in_trial_ || reader < p_.logic_end) stale_.insert(reader);
    }

    template <bool positions_stay>
    void run_stale(std::uint32_t end) {
        stale_.drain(0, end, [this](std::uint32_t g) {
            if (g < p_.logic_end && p_.components[component_[g]].cyclic) return run_loop<positions_stay>(p_.components[component_[g]]);
            if (positions_stay && p_.gates[g].position) return;
            ++evaluated_;
            const W value = evaluator_.gate(values_, p_.gates[g]);
            if (!(values_[p_.output(g)] == value)) write(p_.output(g), value);
        });
    }

    template <bool positions_stay>
    void run_loop(const Component& c) {
        before_loop_.assign(values_.begin() + p_.output(c.first), values_.begin() + p_.output(c.last));
        evaluated_ += c.last - c.first;
        if (trace_) evaluator_.template loop<positions_stay>(values_, c, Evaluator<W>::nothing, [this](Variable v, const W& value) { trace_->note(v, value); });
        else evaluator_.template loop<positions_stay>(values_, c);
        for (std::uint32_t g = c.first; g < c.last; ++g) {
            const W before = before_loop_[g - c.first], value = values_[p_.output(g)];
            if (value == before) continue;
            journal().note(p_.output(g), before);
            tell_readers(p_.output(g));
        }
    }
};

}  // namespace fedfrom::detail
