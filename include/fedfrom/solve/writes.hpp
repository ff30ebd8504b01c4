/// What events write into a state's memory: how sweeps lay them over it, and formulas read them.
#pragma once

#include <algorithm>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

struct Write {
    Variable variable = 0;
    bool value = false;
};

/// What an event writes into this state's memory.
inline std::vector<Write> writes_of(const State& from, const Event& event) {
    State with = from;
    if (const Refusal refusal = with.apply(event); refusal != Refusal::none) throw NotPossible(text(refusal, event, from.network()));
    std::vector<Write> list;
    for (Variable v = 0; v < with.memory().size(); ++v)
        if (with.memory()[v] != from.memory()[v]) list.push_back({v, any(with.memory()[v])});
    return list;
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
