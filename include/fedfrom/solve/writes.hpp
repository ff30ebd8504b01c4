/// What events write into a state's memory: how sweeps lay them over it, and formulas read them.
#pragma once

#include <algorithm>
#include <map>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

struct Write {
    Variable variable = 0;
    bool value = false;
};

/// A state's memory under what an event writes, which the state itself does not take.
class Overlay {
public:
    explicit Overlay(const State& from) : from_(from) {}

    bool bit(Variable v) const {
        const auto it = written_.find(v);
        return it == written_.end() ? any(from_.memory()[v]) : it->second;
    }
    void put(Variable v, bool on) { written_[v] = on; }
    std::uint8_t& resets_used(std::uint32_t e) { return resets_used_.try_emplace(e, from_.remembered().resets_used[e]).first->second; }
    std::uint16_t& taken(std::uint32_t e) { return taken_.try_emplace(e, from_.remembered().taken[e]).first->second; }
    void forget_readings() {}

    /// Where it differs from the state, ascending.
    std::vector<Write> writes() const {
        std::vector<Write> list;
        for (const auto& [variable, value] : written_)
            if (value != any(from_.memory()[variable])) list.push_back({variable, value});
        return list;
    }

private:
    const State& from_;
    std::map<Variable, bool> written_;
    std::map<std::uint32_t, std::uint8_t> resets_used_;  // by element, as what follows
    std::map<std::uint32_t, std::uint16_t> taken_;
};

/// What an event writes into this state's memory. O(what it writes).
inline std::vector<Write> writes_of(const State& from, const Event& event) {
    Overlay overlay(from);
    if (const Refusal refusal = Happening(from.network().compiled(), overlay).apply(event); refusal != Refusal::none) throw NotPossible(text(refusal, event, from.network()));
    return overlay.writes();
}

/// Whether a short, leak or jam is about, or comes with an event.
inline bool faults_in(const State& from, const std::vector<std::vector<Write>>& writes) {
    const auto& zones = from.network().compiled().zones;
    std::vector<bool> seeds(from.memory().size(), false);
    for (const ZoneInfo& z : zones)
        if (z.seed != never) seeds[z.seed.variable()] = true;
    for (Variable v = 0; v < seeds.size(); ++v)
        if (seeds[v] && any(from.memory()[v])) return true;
    return std::ranges::any_of(writes, [&](const auto& list) { return std::ranges::any_of(list, [&](const Write& w) { return seeds[w.variable]; }); });
}

}  // namespace fedfrom::detail
