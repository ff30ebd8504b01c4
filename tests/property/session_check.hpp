// A session beside a full settle and judgement of the same events: whether they agree, and whether what the session
// reports is exactly what differs. Shared by the property tests and by tests/oracle/session.cpp.
#pragma once

#include <algorithm>
#include <cstdint>
#include <string>
#include <tuple>
#include <vector>

#include <fedfrom/solve/session.hpp>

namespace check {

using namespace fedfrom;

/// Everything a session reports of elements, from an outcome: four codes an element, in the order of SessionChange::Of.
inline std::vector<std::uint8_t> codes_of(const Outcome& out) {
    const Compiled& c = out.network().compiled();
    std::vector<std::uint8_t> codes;
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const ElementInfo& info = c.elements[e];
        std::uint8_t position = unknown_code, trip = unknown_code, shown = unknown_code;
        if (info.fitted && !info.positions.empty())
            if (const auto at = out.position(ElementHandle{e})) position = static_cast<std::uint8_t>(std::ranges::find(info.positions, *at) - info.positions.begin());
        if (info.tripped)
            if (const auto tripped = out.tripped(*info.id)) trip = *tripped;
        if (info.fitted && !info.shows.empty()) shown = detail::show_code(*info.element, out.shown(ElementHandle{e}));
        codes.insert(codes.end(), {static_cast<std::uint8_t>(out.status(ElementHandle{e})), position, trip, shown});
    }
    return codes;
}

/// Flies both; a step that disagrees gives a sentence.
class Pair {
public:
    explicit Pair(const State& from) : state_(from), session_(from) {
        const Outcome out = settle(state_);
        known_ = codes_of(out);
        judged_ = out.judged();
    }

    const State& state() const { return state_; }
    Session& session() { return session_; }
    std::size_t changes() const { return changes_; }

    /// False, with `wrong` said, where one refuses and the other does not.
    Refusal apply(const Event& e) {
        const Refusal mine = session_.apply(e), theirs = state_.apply(e);
        if (mine != theirs) wrong_ = "refused by one of the two";
        return theirs;
    }

    /// Settles both, the session in as many calls as `most_passes` asks for; empty where they agree.
    std::string settle_both(unsigned most_passes = Session::no_limit, bool say_all = true) {
        const Outcome out = settle(state_);
        do take(session_.settle(most_passes), say_all);
        while (session_.still_moving());
        hunting_ = !out.hunting().empty();
        unknown_ = std::ranges::any_of(out.judged(), [](const Judgement& j) { return j.level == Level::unknown; });
        if (!(session_.state() == state_)) wrong_ = "the states differ" + where_states_differ();
        const std::vector<std::uint8_t> codes = codes_of(out);
        for (std::uint32_t i = 0; i < codes.size() && wrong_.empty(); ++i)
            if (known_[i] != codes[i]) complain("not reported or reported wrongly", i, codes[i]);
        for (std::uint32_t e = 0; e < codes.size() / 4 && wrong_.empty(); ++e) {
            const ElementHandle h{e};
            const std::uint8_t now[]{static_cast<std::uint8_t>(session_.status(h)), session_.position(h), session_.tripped(h), session_.shown(h)};
            for (std::uint32_t of = 0; of < 4; ++of)
                if (now[of] != codes[4 * e + of]) complain("asked, the session says otherwise", 4 * e + of, codes[4 * e + of]);
        }
        for (std::uint32_t f = 0; f < judged_.size() && wrong_.empty(); ++f)
            if (!(judged_[f] == out.judged()[f]) || !(session_.judged({f}) == out.judged()[f])) wrong_ = "the function " + *out.network().compiled().functions[f].id + " is judged otherwise";
        if (session_.hunting() != out.hunting()) wrong_ = "others hunt";
        return wrong_;
    }

    bool hunting() const { return hunting_; }
    bool unknown() const { return unknown_; }

private:
    State state_;
    Session session_;
    std::vector<std::uint8_t> known_;  // what was reported so far
    std::vector<Judgement> judged_;
    std::string wrong_;
    std::size_t changes_ = 0;
    bool hunting_ = false, unknown_ = false;

    std::string where_states_differ() const {
        const Compiled& c = state_.network().compiled();
        const State other = session_.state();
        const State::Memory &mine = other.remembered(), &theirs = state_.remembered();
        std::string list;
        for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
            const ElementInfo& info = c.elements[e];
            const auto differ = [&](Variable first, std::size_t n, const char* what) {
                for (std::size_t i = 0; first && i < n; ++i)
                    if (!(mine.values[first + i] == theirs.values[first + i])) {
                        list += std::string(", ") + what + " of " + *info.id;
                        return;
                    }
            };
            differ(info.held, info.positions.size(), "held position");
            differ(info.at_hand, info.positions.size(), "hand");
            differ(info.tripped, 1, "trip");
            differ(info.empty, 1, "empty");
            differ(info.holding, 1, "holding");
            if (mine.resets_used[e] != theirs.resets_used[e]) list += ", resets of " + *info.id;
            if (mine.taken[e] != theirs.taken[e]) list += ", taken of " + *info.id;
            if (mine.readings[e] != theirs.readings[e]) list += ", reading of " + *info.id;
        }
        if (!(mine.frozen.cells == theirs.frozen.cells) || !(mine.frozen.holders == theirs.frozen.holders)) list += ", what is frozen";
        else if (!(mine.frozen == theirs.frozen)) list += ", what frozen cells took";
        for (Variable v = 0; v < mine.values.size() && list.empty(); ++v)
            if (!(mine.values[v] == theirs.values[v])) list = ", memory variable " + std::to_string(v);
        return list;
    }

    void complain(const std::string& what, std::uint32_t i, std::uint8_t is) {
        constexpr const char* of[]{"status", "position", "tripped", "shown"};
        wrong_ = what + ": " + of[i % 4] + " of " + *state_.network().compiled().elements[i / 4].id + " is " + std::to_string(is) + ", known as " + std::to_string(known_[i]);
    }

    void take(std::span<const SessionChange> reported, bool say_all) {
        const auto key = [](const SessionChange& s) { return std::tuple(s.of == SessionChange::Of::function, s.index, s.of); };
        changes_ += reported.size();
        for (std::size_t i = 0; i < reported.size(); ++i) {
            const SessionChange& s = reported[i];
            if (i > 0 && !(key(reported[i - 1]) < key(s))) wrong_ = "changes out of order, or one told twice";
            if (s.of == SessionChange::Of::function) {
                if (!(judged_[s.index] == s.judged_before) || s.judged_before == s.judged_after) wrong_ = "a function's change does not begin where it stood";
                judged_[s.index] = s.judged_after;
            } else {
                std::uint8_t& known = known_[4 * s.index + static_cast<std::uint32_t>(s.of)];
                if (known != s.before || s.before == s.after) wrong_ = "an element's change does not begin where it stood";
                known = s.after;
            }
            if (say_all && text(s, state_.network()).empty()) wrong_ = "a change without a sentence";
        }
    }
};

}  // namespace check
