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
        if (std::ranges::any_of(info.reads, [&](std::uint32_t r) { return judged_[r].level == Level::unknown; })) {
            out = {Level::unknown, none, std::nullopt};
            return;
        }
        const auto level_of = [&](std::uint32_t mode) {
            return mode == none ? Level::lost : info.modes[mode].level;
        };
        Worlds& asked = in_demand(info.demand);
        evaluate(info, asked);
        out.level = same_in(asked, [&](std::size_t w) { return level_of(best_mode(info, asked, w)); }).value_or(Level::unknown);
        out.mode = same_in(asked, [&](std::size_t w) { return best_mode(info, asked, w); }).value_or(none);
        Worlds& present = in_demand(0);
        if (info.demand != 0) evaluate(info, present);
        out.now = same_in(present, [&](std::size_t w) { return best_mode(info, present, w) != none; });
    }

    /// A function's gates in every world, with the levels it reads.
    void evaluate(const FunctionInfo& info, Worlds& worlds) {
        for (std::vector<One>& values : worlds.values) {
            for (const LevelInput& in : c_.level_inputs)
                values[in.variable] = One::filled(judged_[in.function].level <= in.at_least);
            settler_.evaluator().gates(values, info.gates.first, info.gates.last);
        }
    }

    static std::uint32_t best_mode(const FunctionInfo& info, const Worlds& worlds, std::size_t world) {
        for (std::uint32_t m = 0; m < info.modes.size(); ++m)
            if (worlds.read(world, info.modes[m].when)) return m;
        return none;
    }
};

inline std::vector<std::uint32_t> hunting_elements(const Compiled& c, const Frozen<One>& frozen) {
    std::vector<std::uint32_t> list;
    for (std::size_t i = 0; i < c.memory_cells.size(); ++i)
        if (any(frozen.cells[i])) list.push_back(c.memory_cells[i].element);
    for (std::size_t h = 0; h < c.holders.size(); ++h)
        if (any(frozen.holders[h])) list.push_back(c.holders[h]);
    std::ranges::sort(list);
    list.erase(std::unique(list.begin(), list.end()), list.end());
    return list;
}

/// A show entry as a reading: the first with the same text, so that equal readings look alike.
inline std::uint8_t text_index(const Element& e, std::uint32_t show) {
    if (show == none || e.shows[show].text.empty()) return State::blank;
    return static_cast<std::uint8_t>(std::ranges::find(e.shows, e.shows[show].text, &Show::text) - e.shows.begin());
}

/// A frozen pointer shows what it last showed while it was supplied.
inline void remember_readings(State& state, const Worlds& settled) {
    const Compiled& c = state.network().compiled();
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const ElementInfo& info = c.elements[e];
        if (!info.fitted || info.element->unpowered != stays) continue;
        const std::uint8_t before = state.readings()[e];
        const auto now = same_in(settled, [&](std::size_t w) {
            return settled.read(w, info.supplied) ? text_index(*info.element, reading(info, settled, w)) : before;
        });
        state.remember_reading(e, now.value_or(State::not_known));
    }
}

/// By a settler that may hold something back; `told` gets the settled worlds before functions are judged in copies.
template <class Told>
Outcome settle_by(Settler<One>& settler, State& state, Told told) {
    const Compiled& c = state.network().compiled();
    std::vector<One> memory(state.memory().begin(), state.memory().end());
    Frozen<One> frozen = state.frozen();
    Worlds worlds = settle_worlds(c, settler, memory, frozen);
    state.remember(memory, frozen);
    told(std::as_const(worlds));
    Judge judge(c, settler, std::move(memory), std::move(worlds));
    judge.run();
    std::vector<std::uint32_t> hunting = hunting_elements(c, frozen);
    remember_readings(state, *judge.worlds().front());
    return {state, judge.worlds(), judge.judged(), std::move(hunting)};
}

}  // namespace detail

inline Outcome settle(State& state) {
    Settler<One> settler(state.network().compiled());
    return detail::settle_by(settler, state, [](const Worlds&) {});
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
