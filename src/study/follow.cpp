#include <fedfrom/study/follow.hpp>

#include <algorithm>

#include "difference_tables.hpp"
#include "effect.hpp"
#include "view.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// Why an event that was taken did nothing.
class Idle {
public:
    explicit Idle(const Outcome& before) : before_(before), c_(before.network().compiled()) {}

    std::string reason(const Event& e) const {
        switch (e.kind) {
            case Event::Kind::fail: return failed(e) ? "It has failed so already." : "Nothing shows of it as things stand.";
            case Event::Kind::repair: return "There is nothing to repair.";
            case Event::Kind::reset: return bit(c_.elements[e.index].tripped) ? trips_again(e.index) : "It is not tripped.";
            case Event::Kind::given: return bit(c_.givens[e.index].variable) == (e.value != 0) ? "It is so already." : "Nothing that hangs on it is otherwise.";
            case Event::Kind::set: return position(e);
            default: return {};  // a use is never nothing
        }
    }

private:
    const Outcome& before_;
    const Compiled& c_;

    bool bit(Variable v) const { return any(before_.state().memory()[v]); }
    bool failed(const Event& e) const { return bit(c_.failures[e.index].variable); }

    std::string trips_again(std::uint32_t e) const {
        const bool last = before_.state().remembered().resets_used[e] + 1 >= resets_of(*c_.elements[e].element);
        return last ? "It trips again, and cannot be reset any more." : "It trips again.";
    }

    std::string position(const Event& e) const {
        const ElementInfo& info = c_.elements[e.index];
        const View view(before_);
        if (bit(info.at_hand + e.value)) return "It is at " + std::string(info.positions[e.value]) + " already.";
        if (view.failed(e.index, "stuck")) return "It is stuck at " + std::string(before_.position(ElementHandle{e.index}).value_or("an unknown position")) + ".";
        if (info.tripped && bit(info.tripped)) return "It is tripped.";
        if (view.blank(e.index)) return "Its contacts make nothing in any position.";
        if (info.memory && !view.surely(info.supplied)) return "It is not supplied and stays where it stands.";
        if (const std::string stays = those_that_stay(e.index); !stays.empty()) return stays;
        return "Nothing that hangs on it is otherwise.";
    }

    /// What follows it and cannot move.
    std::string those_that_stay(std::uint32_t leader) const {
        std::vector<std::string> names;
        const View view(before_);
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            const ElementInfo& info = c_.elements[e];
            const bool follows = info.element->follows && info.element->follows->leader == *c_.elements[leader].id;
            if (info.fitted && follows && info.memory && !view.surely(info.supplied)) names.push_back(name_of(info));
        }
        if (names.empty()) return {};
        return listed(names) + (names.size() == 1 ? " follows it, is not supplied and stays." : " follow it, are not supplied and stay.");
    }
};

/// Whether anything differs but the things the step moves by hand: their position, and nothing else of them.
bool nothing_but_hands(const Difference& d, const std::vector<Event>& events, const Compiled& c) {
    const auto moved = [&](const std::string& id) {
        return std::ranges::any_of(events, [&](const Event& e) { return e.kind == Event::Kind::set && *c.elements[e.index].id == id; });
    };
    const auto only_stands = [&](const ElementChange& e) {
        return moved(e.id) && e.before == e.after && e.tripped_before == e.tripped_after && e.shown_before == e.shown_after;
    };
    return d.gained.empty() && d.worse.empty() && d.other.empty() && d.operation.empty() && std::ranges::all_of(d.elements, only_stands);
}

FollowedStep play(const Step& step, const Outcome& before, Outcome& after) {
    const Network& net = before.network();
    State state = before.state();
    FollowedStep played{.step = step, .text = step == Step{} ? std::string("nothing") : actions_text(step, net)};
    std::vector<Event> taken;
    for (const Event& e : events_of(step, net)) {
        const Refusal refusal = state.apply(e);
        if (refusal == Refusal::none) taken.push_back(e);
        else played.refused.push_back({action_text(e, net), text(refusal, e, net)});
    }
    after = settle(state);
    played.difference = difference(before, after);
    played.fault = growth(before, after, taken);
    // Where something never comes to rest, what is unknown both times may differ all the same. A use takes from its stores, which is something.
    played.spent = std::ranges::any_of(taken, [](const Event& e) { return e.kind == Event::Kind::use; });
    played.nothing = before.hunting().empty() && after.hunting().empty() && !played.spent && nothing_but_hands(played.difference, taken, net.compiled());
    if (played.nothing)
        for (const Event& e : taken) played.idle.push_back({action_text(e, net), Idle(before).reason(e)});
    return played;
}

}  // namespace

Followed follow(const State& from, const std::vector<Step>& steps) {
    State state = from;
    const Outcome start = settle(state);
    Followed followed{.before = start, .after = start};
    for (const Step& step : steps) {
        const Outcome before = followed.after;
        followed.steps.push_back(play(step, before, followed.after));
    }
    followed.difference = difference(followed.before, followed.after);
    return followed;
}

Followed follow(const Network& net, const std::vector<Step>& steps) { return follow(running_state(net), steps); }

std::vector<Table> tables(const Followed& followed) {
    const Compiled& c = followed.before.network().compiled();
    Table t{.title = "Step by step", .captions = captions(followed.before), .columns = {{"Step"}, {"Better"}, {"Worse"}, {"Powers a fault again"}, {"Does nothing, or is refused"}}, .rows = {}, .footnotes = {}};
    for (std::size_t i = 0; i < followed.steps.size(); ++i) {
        const FollowedStep& s = followed.steps[i];
        std::string marks;
        for (const auto* list : {&s.refused, &s.idle})
            for (const Refused& r : *list) marks += (marks.empty() ? "" : " ") + r.action + ": " + r.reason;
        if (s.spent && s.difference.gained.empty()) marks += std::string(marks.empty() ? "" : " ") + "What is used is spent, and no function is better for it.";
        std::vector<Change> worse = s.difference.worse;
        worse.insert(worse.end(), s.difference.other.begin(), s.difference.other.end());
        t.rows.push_back({std::to_string(i + 1) + " " + s.text, changes_text(c, s.difference.gained), changes_text(c, worse),
                          fault_text(c, s.fault).empty() ? Cell() : Cell(fault_text(c, s.fault)), marks});
    }
    t.footnotes.push_back("Each step is settled before the next, and compared with the one before it. Does nothing: no function, no element and no reading is otherwise, but for the hand that was moved.");
    return {t, functions_table(followed.before, followed.difference, "Functions that stand otherwise in the end")};
}

std::string text(const Followed& followed) {
    std::string out;
    append_wrapped(out, "Step by step: ", followed.before.network().model().name, 4);
    append_captions(out, captions(followed.before));
    append_tables(out, tables(followed));
    return out;
}

}  // namespace fedfrom
