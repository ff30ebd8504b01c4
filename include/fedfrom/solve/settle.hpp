/// Settle a state and judge its functions: the library's first question.
///
///     State state = running_state(net);
///     state.fail("gen_l").fail("gen_r");
///     Outcome out = settle(state);
///     for (const std::string& id : out.lost()) …
///
/// `settle(settle(s)) == settle(s)`. Linear in the network for each pass and each
/// demand; passes are few, and bounded by the cells that can move.
#pragma once

#include <map>
#include <memory>
#include <utility>
#include <vector>

#include <fedfrom/solve/outcome.hpp>

namespace fedfrom {

/// Settles the state in place, so that it remembers, and says what holds in it.
Outcome settle(State& state);

/// Nothing failed, everything at rest, all holding, settled (rule M17).
State running_state(const Network& net);

/// The same with nothing holding: an aircraft that has not been started.
State cold_state(const Network& net);

// ---------------------------------------------------------------------------

namespace detail {

/// Judges functions in the worlds their demands leave (rule M18).
class Judge {
public:
    Judge(const Compiled& c, Settler<One>& settler, std::vector<One> memory, Worlds settled)
        : c_(c), settler_(settler), memory_(std::move(memory)), worlds_(c.demands.size()), judged_(c.functions.size()) {
        worlds_[0] = std::make_shared<Worlds>(std::move(settled));
    }

    void run() {
        for (const std::uint32_t f : c_.judging_order) judge(f);
    }
    std::vector<Judgement> judged() const { return judged_; }
    std::vector<std::shared_ptr<const Worlds>> worlds() {
        for (std::uint32_t d = 0; d < worlds_.size(); ++d) in_demand(d);
        return {worlds_.begin(), worlds_.end()};
    }

private:
    const Compiled& c_;
    Settler<One>& settler_;
    std::vector<One> memory_;
    std::vector<std::shared_ptr<Worlds>> worlds_;  // by demand, made when asked for
    std::vector<Judgement> judged_;

    Worlds& in_demand(std::uint32_t demand) {
        auto& worlds = worlds_[demand];
        if (worlds) return *worlds;
        std::vector<One> memory = memory_;
        for (const HandSetting& s : c_.demands[demand].set) {
            const ElementInfo& e = c_.elements[s.element];
            for (std::uint32_t p = 0; p < e.positions.size(); ++p) memory[e.at_hand + p] = One::filled(p == s.position);
        }
        for (const GivenSetting& s : c_.demands[demand].given) memory[c_.givens[s.given].variable] = One::filled(s.value);
        Frozen<One> frozen(c_);
        worlds = std::make_shared<Worlds>(settle_worlds(c_, settler_, memory, frozen));
        return *worlds;
    }

    void judge(std::uint32_t f) {
        const FunctionInfo& info = c_.functions[f];
        Judgement& out = judged_[f];
        if (info.modes.empty()) return;
        for (const std::uint32_t r : info.reads)
            if (judged_[r].level == Level::unknown) {
                out = {Level::unknown, none, std::nullopt};
                return;
            }
        const auto [level, mode] = best_mode(info, in_demand(info.demand));
        out.level = level;
        out.mode = mode;
        const Level as_it_stands = info.demand == 0 ? level : best_mode(info, in_demand(0)).first;
        out.now = as_it_stands == Level::unknown ? std::nullopt : std::optional(as_it_stands != Level::lost);
    }

    static Level level_of(const FunctionInfo& info, std::uint32_t mode) {
        if (mode == none) return Level::lost;
        return info.modes[mode].mode->rank == 1 ? Level::normal : Level::degraded;
    }

    /// The level and the mode; unknown where the worlds differ in the one, none where in the other.
    std::pair<Level, std::uint32_t> best_mode(const FunctionInfo& info, Worlds& worlds) {
        if (worlds.all_unknown) return {Level::unknown, none};
        bool first_world = true, same_mode = true;
        std::uint32_t mode = none;
        for (std::size_t w = 0; w < worlds.values.size(); ++w) {
            for (const LevelInput& in : c_.level_inputs)
                worlds.values[w][in.variable] = One::filled(judged_[in.function].level <= in.at_least);
            settler_.evaluator().gates(worlds.values[w], info.gates.first, info.gates.last);
            std::uint32_t best = none;
            for (std::uint32_t m = 0; m < info.modes.size() && best == none; ++m)
                if (worlds.read(w, info.modes[m].when)) best = m;
            if (!first_world && level_of(info, best) != level_of(info, mode)) return {Level::unknown, none};
            same_mode = same_mode && (first_world || best == mode);
            if (first_world) mode = best;
            first_world = false;
        }
        return {level_of(info, mode), same_mode ? mode : none};
    }
};

inline std::vector<std::uint32_t> hunting_elements(const Compiled& c, const Frozen<One>& frozen) {
    std::vector<std::uint32_t> list;
    for (std::size_t i = 0; i < c.memory_cells.size(); ++i)
        if (any(frozen.cells[i])) list.push_back(c.memory_cells[i].element);
    for (std::size_t h = 0; h < c.holders.size(); ++h)
        if (any(frozen.holders[h])) list.push_back(c.holders[h]);
    std::ranges::sort(list);
    const auto repeats = std::ranges::unique(list);
    list.erase(repeats.begin(), repeats.end());
    return list;
}

/// A frozen pointer shows what it last showed while it was supplied.
inline void remember_readings(State& state, const Outcome& out) {
    const Compiled& c = state.network().compiled();
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const ElementInfo& info = c.elements[e];
        if (!info.fitted || info.element->unpowered != stays || !out.truth(info.supplied).value_or(false)) continue;
        if (const auto shown = out.shows({e})) state.remember_reading(e, static_cast<std::uint8_t>(*shown));
    }
}

}  // namespace detail

inline Outcome settle(State& state) {
    const Compiled& c = state.network().compiled();
    Settler<One> settler(c);
    std::vector<One> memory(state.memory().begin(), state.memory().end());
    Frozen<One> frozen = state.frozen();
    Worlds worlds = detail::settle_worlds(c, settler, memory, frozen);
    state.remember(memory, frozen);
    detail::Judge judge(c, settler, std::move(memory), std::move(worlds));
    judge.run();
    Outcome out(state.network(), judge.worlds(), judge.judged(), detail::hunting_elements(c, frozen));
    detail::remember_readings(state, out);
    return out;
}

inline State running_state(const Network& net) {
    State state(net, true);
    settle(state);
    return state;
}

inline State cold_state(const Network& net) {
    State state(net, false);
    settle(state);
    return state;
}

}  // namespace fedfrom
