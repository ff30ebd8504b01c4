// 64 sets are laid over the settled memory, one a lane, and settled together. A frozen pointer shows what it last showed while
// it was supplied, so of those the last readings are kept lane by lane.
#include "player.hpp"

#include <algorithm>
#include <array>
#include <map>

#include <fedfrom/solve/writes.hpp>

#include "lamps.hpp"

namespace fedfrom::detail {
namespace {

constexpr std::uint32_t lanes = 64;

/// Up to 64 sets side by side.
class Together {
public:
    Together(const State& from, Settler<Lanes>& settler) : c_(from.network().compiled()), settler_(settler), frozen_(c_) {
        std::vector<Lanes> memory;
        for (const One value : from.memory()) memory.push_back(Lanes::filled(any(value)));
        settler_.load(memory);
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e)
            if (c_.elements[e].fitted && c_.elements[e].element->unpowered == stays) last_[e].fill(from.readings()[e]);
    }

    void put(Variable v, std::uint64_t where, bool on) {
        const Lanes now = settler_.values()[v];
        settler_.put(v, {on ? now.bits | where : now.bits & ~where});
    }

    void take(const Demand& act) {
        for (const auto& [id, word] : act.set) {
            const ElementInfo& e = c_.elements[index_of(c_.elements, id)];
            for (std::uint32_t p = 0; e.at_hand && p < e.positions.size(); ++p) put(e.at_hand + p, all, e.positions[p] == word);
        }
        for (const auto& [id, value] : act.given) put(c_.givens[index_of(c_.givens, id)].variable, all, value);
    }

    void settle() {
        frozen_.clear();
        settler_.settle(frozen_);
        settler_.report();
        hunting_ |= settler_.hunting(frozen_).bits;
        for (auto& [e, readings] : last_) {
            const ElementInfo& info = c_.elements[e];
            for (std::uint32_t lane = 0; lane < lanes; ++lane)
                if (holds(info.supplied, lane)) readings[lane] = text_index(*info.element, shown_first(info, lane));
        }
    }

    /// Lanes in which something hunted at some time: what is read there means nothing.
    std::uint64_t hunting() const { return hunting_; }

    Reading read(std::uint32_t e, std::uint32_t lane) const {
        const ElementInfo& info = c_.elements[e];
        if (!info.fitted) return "";
        const auto text = [&](std::uint32_t show) { return seen_as(*info.element, show < info.shows.size() ? info.element->shows[show].text : std::string()); };
        if (holds(info.supplied, lane)) return text(shown_first(info, lane));
        if (info.element->unpowered != stays) return info.element->unpowered;
        const std::uint8_t last = last_.at(e)[lane];
        return last == State::not_known ? Reading() : Reading(text(last));
    }

private:
    static constexpr std::uint64_t all = ~std::uint64_t{0};
    const Compiled& c_;
    Settler<Lanes>& settler_;
    Frozen<Lanes> frozen_;
    std::uint64_t hunting_ = 0;
    std::map<std::uint32_t, std::array<std::uint8_t, lanes>> last_;  // by frozen pointer: its last reading

    bool holds(Literal l, std::uint32_t lane) const { return (settler_.value(l).bits >> lane & 1) != 0; }

    std::uint32_t shown_first(const ElementInfo& info, std::uint32_t lane) const {
        for (std::uint32_t s = 0; s < info.shows.size(); ++s)
            if (holds(info.shows[s], lane)) return s;
        return none;
    }
};

bool hunts(const State& state) {
    const auto some = [](const std::vector<One>& list) { return std::ranges::any_of(list, [](One w) { return any(w); }); };
    return some(state.frozen().cells) || some(state.frozen().holders);
}

}  // namespace

std::vector<std::uint32_t> indicators(const Compiled& c) {
    std::vector<std::uint32_t> list;
    for (std::uint32_t e = 0; e < c.elements.size(); ++e)
        if (c.elements[e].fitted && !c.elements[e].element->shows.empty()) list.push_back(e);
    return list;
}

void take(State& state, const Demand& act) {
    const Compiled& c = state.network().compiled();
    for (const auto& [id, word] : act.set)
        if (c.elements[index_of(c.elements, id)].at_hand) state.set(id, word);
    for (const auto& [id, value] : act.given) state.given(id, value);
}

Player::Readings Player::play(const std::vector<std::vector<FailureHandle>>& sets, const std::vector<Turn>& turns) const {
    Readings read(sets.size());
    if (hunts(from_)) {
        for (std::size_t s = 0; s < sets.size(); ++s) read[s] = alone(sets[s], turns);
        return read;
    }
    Settler<Lanes> settler(c_);
    for (std::size_t first = 0; first < sets.size(); first += lanes) {
        const auto count = static_cast<std::uint32_t>(std::min<std::size_t>(lanes, sets.size() - first));
        Together together(from_, settler);
        for (std::uint32_t lane = 0; lane < count; ++lane) {
            read[first + lane].resize(turns.size());
            for (const FailureHandle f : sets[first + lane])
                for (const Write& w : writes_of(from_, Event::fail(f))) together.put(w.variable, std::uint64_t{1} << lane, w.value);
        }
        together.settle();
        for (std::size_t t = 0; t < turns.size(); ++t) {
            if (turns[t].act != Demand{}) {
                together.take(turns[t].act);
                together.settle();
            }
            for (std::uint32_t lane = 0; lane < count; ++lane)
                for (const std::uint32_t e : turns[t].look_at) read[first + lane][t].push_back(together.read(e, lane));
        }
        for (std::uint32_t lane = 0; lane < count; ++lane)
            if (together.hunting() >> lane & 1) read[first + lane] = alone(sets[first + lane], turns);
    }
    return read;
}

std::vector<std::vector<Reading>> Player::alone(const std::vector<FailureHandle>& set, const std::vector<Turn>& turns) const {
    State state = from_;
    for (const FailureHandle f : set) state.fail(f);
    Outcome out = settle(state);
    std::vector<std::vector<Reading>> read;
    for (const Turn& turn : turns) {
        if (turn.act != Demand{}) {
            take(state, turn.act);
            out = settle(state);
        }
        read.emplace_back();
        for (const std::uint32_t e : turn.look_at) read.back().push_back(seen(out, ElementHandle{e}));
    }
    return read;
}

}  // namespace fedfrom::detail
