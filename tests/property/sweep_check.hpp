/// Each combination of a sweep settled by itself, and what a sweep has to list of them, straight from the definition.
#pragma once

#include <algorithm>
#include <array>
#include <map>
#include <random>
#include <vector>

#include <fedfrom/solve/sweep.hpp>

namespace fedfrom::check {

/// A few events of any kind, without two that are the same.
inline std::vector<Event> some_events(const State& from, std::size_t count, std::mt19937_64& random) {
    const Compiled& c = from.network().compiled();
    const auto pick = [&](std::size_t n) { return static_cast<std::uint32_t>(random() % n); };
    std::vector<Event> list;
    for (int tries = 0; tries < 500 && list.size() < count; ++tries) {
        // One draw a statement: the order of drawing must not hang on the compiler.
        const std::uint32_t kind = pick(12), number = pick(1u << 20), value = pick(2);
        Event e = Event::fail({number % static_cast<std::uint32_t>(c.failures.size())});
        if (kind < 3) e = Event::set({number % static_cast<std::uint32_t>(c.elements.size())}, value);
        if (kind == 3) e.value = value;
        if (kind == 4 && !c.givens.empty()) e = Event::given({number % static_cast<std::uint32_t>(c.givens.size())}, value == 1);
        State copy = from;
        if (copy.apply(e) == Refusal::none && std::ranges::find(list, e) == list.end()) list.push_back(e);
    }
    return list;
}

/// A few failures, most of them of the kinds that drag other things down.
inline std::vector<Event> some_faults(const State& from, std::size_t count, std::mt19937_64& random) {
    const Compiled& c = from.network().compiled();
    std::vector<Event> list;
    for (int tries = 0; tries < 500 && list.size() < count; ++tries) {
        const auto f = static_cast<std::uint32_t>(random() % c.failures.size());
        const bool loss_too = random() % 4 == 0;
        const Event e = Event::fail({f});
        if ((loss_too || c.failures[f].mode != "loss") && !from.failed({f}) && std::ranges::find(list, e) == list.end()) list.push_back(e);
    }
    return list;
}

/// A settled state some random events away from the running one.
inline State some_state(const Network& net, std::mt19937_64& random) {
    State state = running_state(net);
    for (const Event& e : some_events(state, random() % 4, random)) state.apply(e);
    settle(state);
    return state;
}

using Combination = std::array<std::uint32_t, 3>;
using Judged = std::map<Combination, std::vector<Judgement>>;

inline bool together(const Compiled& c, const Event& a, const Event& b, bool one_mode) {
    if (a.kind == b.kind && a.index == b.index) return false;
    if (a.kind == Event::Kind::given || b.kind == Event::Kind::given) return true;
    const auto element = [&](const Event& e) { return e.kind == Event::Kind::fail ? c.failures[e.index].element : e.index; };
    const bool alone = one_mode || a.kind == Event::Kind::set || b.kind == Event::Kind::set;
    return element(a) != element(b) || !alone;
}

/// Every combination settled by itself, with what is always there, which is one of them too.
inline Judged by_hand(const State& from, const std::vector<Event>& events, int order, bool one_mode, const std::vector<Event>& always = {}) {
    const Compiled& c = from.network().compiled();
    Judged judged;
    const auto n = static_cast<std::uint32_t>(events.size());
    const auto settle_one = [&](const Combination& combination) {
        State state = from;
        for (const Event& event : always) state.apply(event);
        for (const std::uint32_t e : combination)
            if (e != none) state.apply(events[e]);
        judged[combination] = settle(state).judged();
    };
    const auto with_always = [&](std::uint32_t e) { return std::ranges::all_of(always, [&](const Event& there) { return together(c, events[e], there, one_mode); }); };
    if (!always.empty()) settle_one({none, none, none});
    for (std::uint32_t i = 0; i < n; ++i) {
        if (!with_always(i)) continue;
        settle_one({i, none, none});
        for (std::uint32_t j = i + 1; order > 1 && j < n; ++j) {
            if (!with_always(j) || !together(c, events[i], events[j], one_mode)) continue;
            settle_one({i, j, none});
            for (std::uint32_t k = j + 1; order > 2 && k < n; ++k)
                if (with_always(k) && together(c, events[i], events[k], one_mode) && together(c, events[j], events[k], one_mode)) settle_one({i, j, k});
        }
    }
    return judged;
}

inline int rank(Level l) { return l == Level::normal ? 0 : l == Level::degraded ? 1 : 2; }

inline int size_of(const Combination& c) { return (c[0] != none) + (c[1] != none) + (c[2] != none); }

inline std::vector<Combination> parts_of(const Combination& c) {
    if (size_of(c) < 2) return {};
    if (size_of(c) == 2) return {{c[0], none, none}, {c[1], none, none}};
    return {{c[0], none, none}, {c[1], none, none}, {c[2], none, none}, {c[0], c[1], none}, {c[0], c[2], none}, {c[1], c[2], none}};
}

/// What is listed of the sizes up to `order`, straight from the definition.
inline std::vector<SweepHit> expected(const Judged& judged, const std::vector<Judgement>& before, int order, bool all, bool modes = false) {
    std::vector<SweepHit> hits;
    const Combination nothing{none, none, none};
    for (int size = 0; size <= order; ++size)
        for (const auto& [combination, list] : judged) {
            if (size_of(combination) != size) continue;
            for (std::uint32_t f = 0; f < before.size(); ++f) {
                int worst = rank(before[f].level);
                if (size > 0 && judged.contains(nothing)) worst = std::max(worst, rank(judged.at(nothing)[f].level));
                for (const Combination& part : parts_of(combination)) worst = std::max(worst, rank(judged.at(part)[f].level));
                const bool differs = list[f].level != before[f].level || (modes && list[f].mode != before[f].mode);
                if (all ? differs : rank(list[f].level) > worst) hits.push_back({combination, f, list[f].level, modes ? list[f].mode : none});
            }
        }
    return hits;
}

}  // namespace fedfrom::check
