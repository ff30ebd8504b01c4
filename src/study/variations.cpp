#include "variations.hpp"

#include <algorithm>

namespace fedfrom::detail {

Writes writes_between(const State& from, const State& to) {
    Writes list;
    for (Variable v = 0; v < to.memory().size(); ++v)
        if (to.memory()[v] != from.memory()[v]) list.push_back({v, any(to.memory()[v])});
    return list;
}

Variations::Variations(const State& settled, const std::vector<std::uint32_t>& functions)
    : base_(settled), c_(base_.network().compiled()), settler_(c_), frozen_(c_), values_(c_.demands.size()), holds_(c_.functions.size()) {
    std::vector<bool> wanted(c_.functions.size(), false);
    for (const std::uint32_t f : functions) wanted[f] = true;
    for (auto f = c_.judging_order.rbegin(); f != c_.judging_order.rend(); ++f)
        if (wanted[*f])
            for (const std::uint32_t read : c_.functions[*f].reads) wanted[read] = true;
    std::ranges::copy_if(c_.judging_order, std::back_inserter(order_), [&](std::uint32_t f) { return wanted[f]; });
}

void Variations::settle(std::span<const Writes> variations) {
    std::vector<Lanes> memory(c_.memory_end);
    for (Variable v = 0; v < memory.size(); ++v) memory[v] = Lanes::filled(any(base_.memory()[v]));
    for (std::size_t i = 0; i < variations.size(); ++i)
        for (const Write& w : variations[i]) {
            const Lanes lane{std::uint64_t{1} << i};
            memory[w.variable] = w.value ? memory[w.variable] | lane : memory[w.variable] & ~lane;
        }
    Lanes hunting = settle_copy(memory, 0);
    memory.assign(values_[0].begin(), values_[0].begin() + c_.memory_end);
    for (std::uint32_t d = 1; d < c_.demands.size(); ++d)
        if (std::ranges::any_of(order_, [&](std::uint32_t f) { return c_.functions[f].demand == d; })) hunting |= settle_copy(memory, d);
    for (const std::uint32_t f : order_) judge(f);
    const bool base_hunts = !hunting_elements(c_, base_.frozen()).empty();
    for (std::size_t i = 0; i < variations.size(); ++i) {
        alone_[i].reset();
        // Without an event what hunts stays as it was frozen.
        if ((hunting.bits >> i & 1) != 0 || (base_hunts && variations[i].empty())) alone_[i] = settled_alone(variations[i]);
    }
    count_ += variations.size();
}

/// Settles the memory with the demand applied; the lanes in which something hunts.
Lanes Variations::settle_copy(std::span<const Lanes> memory, std::uint32_t demand) {
    std::vector<Lanes> start(memory.begin(), memory.end());
    for (const HandSetting& s : c_.demands[demand].set) {
        const ElementInfo& e = c_.elements[s.element];
        for (std::uint32_t p = 0; p < e.positions.size(); ++p) start[e.at_hand + p] = Lanes::filled(p == s.position);
    }
    for (const GivenSetting& s : c_.demands[demand].given) start[c_.givens[s.given].variable] = Lanes::filled(s.value);
    frozen_.clear();
    settler_.load(start);
    settler_.settle(frozen_);
    settler_.report();  // functions read positions that nothing else needs
    values_[demand].assign(settler_.values().begin(), settler_.values().end());
    return settler_.hunting(frozen_);
}

void Variations::judge(std::uint32_t f) {
    const FunctionInfo& info = c_.functions[f];
    std::vector<Lanes>& values = values_[info.demand];
    for (const LevelInput& in : c_.level_inputs) {
        Lanes at_least = Lanes::filled(false);
        for (std::size_t m = 0; m < holds_[in.function].size(); ++m)
            if (in.at_least == Level::degraded || c_.functions[in.function].modes[m].level == Level::normal) at_least |= holds_[in.function][m];
        values[in.variable] = at_least;
    }
    settler_.evaluator().gates(values, info.gates.first, info.gates.last);
    Lanes open = Lanes::filled(true);
    holds_[f].assign(info.modes.size(), Lanes{});
    for (std::size_t m = 0; m < info.modes.size(); ++m) {
        holds_[f][m] = open & Evaluator<Lanes>::read(values, info.modes[m].when);
        open &= ~holds_[f][m];
    }
}

Outcome Variations::settled_alone(const Writes& writes) const {
    State state = base_;
    if (!writes.empty()) {
        std::vector<One> memory(state.memory().begin(), state.memory().end());
        for (const Write& w : writes) memory[w.variable] = One::filled(w.value);
        state.remember(memory, Frozen<One>(c_));
    }
    return fedfrom::settle(state);
}

std::optional<bool> Variations::truth(Literal l, std::size_t i) const {
    if (alone_[i]) return alone_[i]->truth(l);
    return (Evaluator<Lanes>::read(values_[0], l).bits >> i & 1) != 0;
}

Judgement Variations::judged(std::uint32_t f, std::size_t i) const {
    if (alone_[i]) {
        Judgement known = alone_[i]->judged()[f];
        known.now = std::nullopt;
        return known;
    }
    const FunctionInfo& info = c_.functions[f];
    if (info.modes.empty()) return {Level::not_fitted, none, std::nullopt};
    for (std::uint32_t m = 0; m < info.modes.size(); ++m)
        if ((holds_[f][m].bits >> i & 1) != 0) return {info.modes[m].level, m, std::nullopt};
    return {Level::lost, none, std::nullopt};
}

}  // namespace fedfrom::detail
