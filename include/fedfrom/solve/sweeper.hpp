/// The kernel of a sweep: 512 combinations, laid over one settled state, judged and undone.
///
/// A block is a few events, each with the lanes that have it. Only what they reach is
/// evaluated, for the state and for its copy under each demand; the memory of
/// every lane runs from the settled state. Afterwards everything is put back.
#pragma once

#include <algorithm>
#include <cstdint>
#include <deque>
#include <optional>
#include <span>
#include <vector>

#include <fedfrom/solve/demand_copy.hpp>
#include <fedfrom/solve/outcome.hpp>
#include <fedfrom/solve/writes.hpp>

namespace fedfrom::detail {

/// What all threads of a sweep share: which functions are judged where, and who tells whom.
struct SweepPlan {
    const Compiled& c;
    std::vector<std::uint32_t> judged;              ///< functions, those read first
    std::vector<std::uint32_t> demands;             ///< those used; 0 first
    std::vector<std::vector<std::uint32_t>> functions;  ///< by demand used
    std::optional<const Readers> state;             ///< who is told in the state: copies go by what changed there, so of all that any of them reads
    std::deque<CopyReaders> copies;                 ///< in the copies, by demand used but the first
    std::vector<std::uint32_t> demand_of, place_of; ///< by place in `judged`: demand used, place among its functions
    bool reads_levels = false;
    bool faults;                                    ///< some combination may have a short, leak or jam
    bool modes;                                     ///< also tell where only the mode differs

    /// `goals` and the functions whose level they read.
    SweepPlan(const Compiled& compiled, const std::vector<std::uint32_t>& goals, bool with_faults, bool tell_modes) : c(compiled), demands{0}, functions(1), faults(with_faults), modes(tell_modes) {
        std::vector<bool> wanted(c.functions.size(), false);
        for (const std::uint32_t f : goals) wanted[f] = true;
        for (std::size_t i = c.judging_order.size(); i-- > 0;)
            if (wanted[c.judging_order[i]])
                for (const std::uint32_t read : c.functions[c.judging_order[i]].reads) wanted[read] = reads_levels = true;
        for (const std::uint32_t f : c.judging_order)
            if (wanted[f] && !c.functions[f].modes.empty()) add(f);
        state.emplace(c, cone_of(c, judged, faults), functions.front());
        for (std::size_t d = 1; d < demands.size(); ++d) copies.emplace_back(c, cone_of(c, functions[d], faults), functions[d]);
    }

    /// Nothing that is judged hangs on this variable.
    bool inert(Variable v) const {
        return state->of(v).empty() && std::ranges::all_of(copies, [&](const CopyReaders& r) { return r.all.of(v).empty(); });
    }

    /// By demand used.
    const Readers& readers(std::size_t demand) const { return demand == 0 ? *state : copies[demand - 1].all; }

private:
    void add(std::uint32_t f) {
        const auto it = std::ranges::find(demands, c.functions[f].demand);
        const auto d = static_cast<std::uint32_t>(it - demands.begin());
        if (it == demands.end()) {
            demands.push_back(c.functions[f].demand);
            functions.emplace_back();
        }
        judged.push_back(f);
        demand_of.push_back(d);
        place_of.push_back(static_cast<std::uint32_t>(functions[d].size()));
        functions[d].push_back(f);
    }
};

template <class W>
class Sweeper {
public:
    /// `memory`: of the settled state, nothing of which hunts.
    Sweeper(const SweepPlan& plan, std::span<const One> memory)
        : plan_(plan), c_(plan.c), base_(plan.c, &*plan.state), frozen_(plan.c), below_(plan.judged.size()), lost_(plan.judged.size()) {
        std::vector<W> wide(memory.size());
        for (std::size_t v = 0; v < wide.size(); ++v) wide[v] = W::filled(any(memory[v]));
        base_.load(wide);
        settle_base();
        for (std::size_t d = 1; d < plan.demands.size(); ++d) {
            copies_.emplace_back(c_, plan.copies[d - 1]);
            copies_.back().apply(c_.demands[plan.demands[d]], W::filled(true));
            copies_.back().load([&](Variable v) { return base_.values()[v]; });
        }
        run_all();
        for (std::uint32_t i = 0; i < plan.judged.size(); ++i) {
            judge(i);
            tell_level(i);
            run_all();
        }
        forget_touched();
        base_.free_frozen(frozen_);
        base_.keep();
        for (auto& copy : copies_) copy.keep();
        at_rest_ = below_;
        lost_at_rest_ = lost_;
        for (std::uint32_t i = 0; i < plan.judged.size(); ++i) mode_at_rest_.push_back(first_mode(i));
    }

    /// In the lanes of `where` an event happens. All of a block's, then `run`.
    [[gnu::always_inline]] void put(std::span<const Write> writes, const W& where) {
        for (const Write& w : writes) base_.put(w.variable, w.value ? base_.values()[w.variable] | where : base_.values()[w.variable] & ~where);
    }

    /// Settles and judges the block. Afterwards `touched` names functions (by place in the plan) whose level, or where the plan tells modes whose mode, may differ.
    void run() {
        touched_.clear();
        settle_base();
        hunting_ = base_.hunting(frozen_);
        for (auto& copy : copies_) {
            copy.follow(base_.evaluation().changes().changed(), [&](Variable v) { return base_.values()[v]; });
            hunting_ |= copy.hunting();
        }
        run_all();
        if (plan_.reads_levels) judge_in_order();
        else
            for (std::uint32_t i = 0; i < plan_.judged.size(); ++i)
                if (stale(i)) judge_if_changed(i);
        forget_touched();
    }

    /// Tells `trace` of every value from here on; null: no more.
    void tell(Trace<W>* trace) {
        base_.tell(trace);
        for (auto& copy : copies_) copy.tell(trace);
    }
    /// Lanes in which something hunts or a zone came back.
    W wild() {
        W lanes = hunting_ | base_.came_back();
        for (auto& copy : copies_) lanes |= copy.settler().came_back();
        return lanes;
    }

    /// Puts everything back.
    void undo() {
        base_.free_frozen(frozen_);
        base_.undo();
        for (auto& copy : copies_) copy.undo();
        below_ = at_rest_;
        lost_ = lost_at_rest_;
    }

    /// Where the block has moved nothing, what is put from here on is a layer that `undo_layer` takes away again; then `end_layer`.
    bool begin_layer() {
        const auto stayed = [](const auto& copy) { return copy.stayed(); };
        if (moved_ || base_.faulty() || base_.may_hunt() || !std::ranges::all_of(copies_, stayed)) return false;
        base_.begin_layer();
        for (auto& copy : copies_) copy.begin_layer();
        below_layer_ = below_;
        lost_layer_ = lost_;
        return true;
    }
    void undo_layer() {
        base_.free_frozen(frozen_);
        base_.undo_layer();
        for (auto& copy : copies_) copy.undo_layer();
        for (const std::uint32_t i : touched_) {
            below_[i] = below_layer_[i];
            lost_[i] = lost_layer_[i];
        }
    }
    void end_layer() {
        base_.end_layer();
        for (auto& copy : copies_) copy.end_layer();
    }

    const std::vector<std::uint32_t>& touched() const { return touched_; }
    /// Lanes in which a function is below normal; in which it is lost.
    const W& below(std::uint32_t i) const { return below_[i]; }
    const W& lost(std::uint32_t i) const { return lost_[i]; }
    /// Lanes in which a function is in a mode: it holds, and no better one. Until `undo`.
    W in_mode(std::uint32_t i, std::uint32_t mode) {
        const Evaluation<W>& e = evaluation(i);
        const std::vector<ModeInfo>& modes = c_.functions[plan_.judged[i]].modes;
        W in = e.value(modes[mode].when);
        for (std::uint32_t better = 0; better < mode; ++better) in &= ~e.value(modes[better].when);
        return in;
    }
    /// In the copy in which a function is judged. Until `undo`.
    W value(std::uint32_t i, Variable v) { return evaluation(i).values()[v]; }
    /// Lanes to be settled alone: there the rest means nothing.
    const W& hunting() const { return hunting_; }
    std::uint64_t evaluated() const {
        std::uint64_t gates = base_.evaluation().evaluated();
        for (const auto& copy : copies_) gates += copy.evaluated();
        return gates;
    }

private:
    const SweepPlan& plan_;
    const Compiled& c_;
    Settler<W> base_;
    Frozen<W> frozen_;
    std::deque<DemandCopy<W>> copies_;
    std::vector<W> below_, lost_, at_rest_, lost_at_rest_, below_layer_, lost_layer_;  // by place in the plan
    std::vector<std::uint32_t> mode_at_rest_;  // likewise
    bool moved_ = false;
    W hunting_{};
    std::vector<std::uint32_t> touched_;

    /// Where things that may stick stand is not remembered: nothing sticks after the block.
    void settle_base() {
        base_.begin(frozen_);
        moved_ = false;
        while (base_.pass(frozen_)) moved_ = true;
    }

    void run_all() {
        const auto all = static_cast<std::uint32_t>(c_.program.gates.size());
        base_.evaluation().run(all);
        for (auto& copy : copies_) copy.settler().evaluation().run(all);
    }

    Evaluation<W>& evaluation(std::uint32_t i) { return plan_.demand_of[i] == 0 ? base_.evaluation() : copies_[plan_.demand_of[i] - 1].settler().evaluation(); }
    std::uint32_t watcher(std::uint32_t i) const { return plan_.readers(plan_.demand_of[i]).judged.first + plan_.place_of[i]; }
    bool stale(std::uint32_t i) { return evaluation(i).is_stale(watcher(i)); }

    void forget_touched() {
        base_.evaluation().each_stale(plan_.state->judged, 0, [](std::uint32_t) {});
        for (std::size_t d = 1; d < plan_.demands.size(); ++d) copies_[d - 1].settler().evaluation().each_stale(plan_.readers(d).judged, 0, [](std::uint32_t) {});
    }

    void judge(std::uint32_t i) {
        const Evaluation<W>& e = evaluation(i);
        W normal = W::filled(false), some = normal;
        for (const ModeInfo& m : c_.functions[plan_.judged[i]].modes) {
            const W holds = e.value(m.when);
            some |= holds;
            if (m.mode->rank == 1) normal |= holds;
        }
        below_[i] = ~normal;
        lost_[i] = ~some;
    }

    void judge_if_changed(std::uint32_t i) {
        judge(i);
        if (below_[i] != at_rest_[i] || lost_[i] != lost_at_rest_[i] || (plan_.modes && in_other_mode(i))) touched_.push_back(i);
    }

    /// At rest all lanes are alike.
    std::uint32_t first_mode(std::uint32_t i) {
        const std::vector<ModeInfo>& modes = c_.functions[plan_.judged[i]].modes;
        for (std::uint32_t m = 0; m < modes.size(); ++m)
            if (any(evaluation(i).value(modes[m].when))) return m;
        return none;
    }

    bool in_other_mode(std::uint32_t i) { return mode_at_rest_[i] == none ? any(~lost_[i]) : any(~in_mode(i, mode_at_rest_[i])); }

    /// Functions that read levels come after those they read.
    void judge_in_order() {
        for (std::uint32_t i = 0; i < plan_.judged.size(); ++i) {
            if (!stale(i)) continue;
            judge_if_changed(i);
            tell_level(i);
            run_all();
        }
    }

    void tell_level(std::uint32_t i) {
        for (const LevelInput& in : c_.level_inputs) {
            if (in.function != plan_.judged[i]) continue;
            const W at_least = in.at_least == Level::normal ? ~below_[i] : ~lost_[i];
            base_.put(in.variable, at_least);
            for (auto& copy : copies_) copy.settler().put(in.variable, at_least);
        }
    }
};

}  // namespace fedfrom::detail
