#include "effect.hpp"

#include <algorithm>
#include <set>

#include <fedfrom/model/resolve.hpp>

#include "harm.hpp"
#include "words.hpp"

namespace fedfrom {

using namespace detail;

namespace {

std::string position_in(const Outcome& out, std::uint32_t e) {
    const ElementInfo& info = out.network().compiled().elements[e];
    return info.fitted && !info.positions.empty() ? std::string(out.position(ElementHandle{e}).value_or("unknown")) : std::string();
}

ElementChange element_change(const Outcome& before, const Outcome& after, std::uint32_t e) {
    const ElementInfo& info = before.network().compiled().elements[e];
    const ElementHandle h{e};
    ElementChange change{*info.id, info.element->name, before.status(h), after.status(h), position_in(before, e), position_in(after, e),
                         before.tripped(*info.id), after.tripped(*info.id), {}, {}};
    if (info.fitted && !info.shows.empty()) {
        change.shown_before = before.shown(h);
        change.shown_after = after.shown(h);
    }
    return change;
}

bool differs(const ElementChange& c) {
    return c.before != c.after || c.position_before != c.position_after || c.tripped_before != c.tripped_after || c.shown_before != c.shown_after;
}

void add_function(Difference& d, const Outcome& before, const Outcome& after, std::uint32_t f) {
    const Compiled& c = before.network().compiled();
    const Judgement& was = before.judged()[f];
    const Judgement& is = after.judged()[f];
    if (was.now != is.now) d.operation.push_back({*c.functions[f].id, was.now, is.now});
    if (was.level == is.level && was.mode == is.mode) return;
    const Badness then = badness(c.functions[f], was), now = badness(c.functions[f], is);
    // Unknown is never a gain, though it stands before lost.
    const bool unclear = is.level == Level::unknown && was.level == Level::lost;
    auto& list = unclear || now == then ? d.other : now < then ? d.gained : d.worse;
    list.push_back(change_of(c, f, was, is));
}

bool bit(const Outcome& out, Variable v) { return any(out.state().memory()[v]); }

}  // namespace

Difference difference(const Outcome& before, const Outcome& after) {
    const Compiled& c = before.network().compiled();
    Difference d;
    for (std::uint32_t f = 0; f < c.functions.size(); ++f) add_function(d, before, after, f);
    for (std::uint32_t e = 0; e < c.elements.size(); ++e)
        if (ElementChange change = element_change(before, after, e); differs(change)) d.elements.push_back(std::move(change));
    return d;
}

std::string actions_text(const Step& actions, const Network& net) {
    std::vector<std::string> words;
    for (const Event& e : events_of(actions, net)) words.push_back(action_text(e, net));
    return "with " + listed(words);
}

namespace detail {

bool same_outcome(const Outcome& a, const Outcome& b) {
    if (a.judged() != b.judged()) return false;
    const Compiled& c = a.network().compiled();
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const ElementHandle h{e};
        const std::string& id = *c.elements[e].id;
        if (a.status(h) != b.status(h) || a.position(h) != b.position(h) || a.tripped(id) != b.tripped(id)) return false;
    }
    return true;
}

Step step_of(const std::vector<Event>& actions, const Network& net) {
    const Compiled& c = net.compiled();
    Step step;
    for (const Event& e : actions) {
        if (e.kind == Event::Kind::set) step.set[*c.elements[e.index].id] = c.elements[e.index].positions[e.value];
        else if (e.kind == Event::Kind::reset) step.reset.push_back(*c.elements[e.index].id);
        else step.use.push_back({*c.functions[c.one_shots[e.index].function].id, *c.one_shots[e.index].mode});
    }
    return step;
}

std::string action_text(const Event& e, const Network& net) {
    const Compiled& c = net.compiled();
    switch (e.kind) {
        case Event::Kind::fail: return name_of(c.elements[c.failures[e.index].element]) + ": " + c.failures[e.index].mode;
        case Event::Kind::repair: return name_of(c.elements[e.index]) + " repaired";
        case Event::Kind::reset: return name_of(c.elements[e.index]) + " reset";
        case Event::Kind::set: return name_of(c.elements[e.index]) + " at " + std::string(c.elements[e.index].positions[e.value]);
        case Event::Kind::given: return *c.givens[e.index].id + (e.value ? " true" : " false");
        case Event::Kind::use: return spaced(*c.one_shots[e.index].mode) + " used for " + name_of(c.functions[c.one_shots[e.index].function]);
        case Event::Kind::clear_all: return "everything cleared";
    }
    return {};
}

Reach reach_of(const Compiled& c, const Event& e) {
    if (e.kind == Event::Kind::set) return fedfrom::reach_of(*c.elements[e.index].element);
    if (e.kind == Event::Kind::reset) return reset_by_of(*c.elements[e.index].element);
    return Reach::cockpit;
}

FaultGrowth growth(const Outcome& before, const Outcome& after, const std::vector<Event>& actions) {
    const Compiled& c = before.network().compiled();
    FaultGrowth fault;
    for (const ZoneInfo& z : c.zones)
        if (after.truth(Literal::of(z.variable)).value_or(true) && before.truth(Literal::of(z.variable)) == false)
            fault.zone.emplace_back(*c.elements[z.element].id, c.media[z.medium]);
    const auto was_reset = [&](std::uint32_t e) { return std::ranges::find(actions, Event::reset({e})) != actions.end(); };
    for (const std::uint32_t e : c.protecting) {
        const Literal tripped = Literal::of(c.elements[e].tripped);
        if (after.truth(tripped).value_or(true) && (before.truth(tripped) == false || was_reset(e))) fault.trips.push_back(*c.elements[e].id);
    }
    for (const std::uint32_t e : c.storing) {
        const auto taken = [&](const Outcome& o) { return o.state().remembered().taken[e]; };
        const Literal empty = Literal::of(c.elements[e].empty);
        const bool by_use = taken(after) > taken(before);
        if (!by_use && after.truth(empty).value_or(true) && before.truth(empty) == false) fault.emptied.push_back(*c.elements[e].id);
    }
    return fault;
}

namespace {

class Undoing {
public:
    Undoing(const Outcome& before, const Outcome& after, const std::vector<Event>& actions) : before_(before), c_(before.network().compiled()), actions_(actions) {
        State state = after.state();
        for (const Event& e : actions)
            if (const std::uint32_t back = position_before(e, after); back != none) state.set(ElementHandle{e.index}, back);
        back_.emplace(settle(state));
    }

    Undone run() {
        Undone u{.lasting = {}, .difference = difference(before_, *back_)};
        // A device that was reset is no longer tripped: that is the reset itself, and where it stands is compared.
        std::erase_if(u.difference.elements, [&](const ElementChange& change) {
            ElementChange rest = change;
            rest.tripped_after = rest.tripped_before;
            return !differs(rest) && is_reset(change.id);
        });
        elements(u.lasting);
        for (std::uint32_t i = 0; i < c_.one_shots.size(); ++i)
            if (bit(*back_, c_.one_shots[i].used) && !bit(before_, c_.one_shots[i].used))
                u.lasting.push_back({Lasting::Why::used, *c_.functions[c_.one_shots[i].function].id, action_text(Event::use({i}), before_.network())});
        return u;
    }

private:
    const Outcome& before_;
    const Compiled& c_;
    const std::vector<Event>& actions_;
    std::optional<Outcome> back_;

    bool is_reset(const std::string& id) const {
        return std::ranges::any_of(actions_, [&](const Event& e) { return e.kind == Event::Kind::reset && *c_.elements[e.index].id == id; });
    }

    /// Where taking the action back puts the hand: where it was, or where the trip had left a device that the crew reaches.
    std::uint32_t position_before(const Event& e, const Outcome& after) const {
        if (e.kind != Event::Kind::set && e.kind != Event::Kind::reset) return none;
        const ElementInfo& info = c_.elements[e.index];
        if (!info.at_hand) return none;
        if (info.tripped && bit(before_, info.tripped)) return bit(after, info.tripped) ? hand(info) : info.trip_position;
        return hand(info);
    }

    std::uint32_t hand(const ElementInfo& info) const {
        for (std::uint32_t p = 0; p < info.positions.size(); ++p)
            if (bit(before_, info.at_hand + p)) return p;
        return none;
    }

    void elements(std::vector<Lasting>& list) const {
        using Why = Lasting::Why;
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            const ElementInfo& info = c_.elements[e];
            if (!info.fitted) continue;
            const ElementHandle h{e};
            const std::string& name = name_of(info);
            const auto add = [&](Why why, std::string text) { list.push_back({why, *info.id, std::move(text)}); };
            if (info.memory && before_.position(h) != back_->position(h)) add(Why::position, name + " stays at " + position_in(*back_, e));
            if (info.tripped && bit(*back_, info.tripped) && !bit(before_, info.tripped)) add(Why::tripped, name + " stays tripped");
            const auto& was = before_.state().remembered();
            const auto& is = back_->state().remembered();
            if (is.taken[e] > was.taken[e] || (info.empty && bit(*back_, info.empty) && !bit(before_, info.empty))) add(Why::spent, name + left_text(info, is.taken[e]));
            if (is.resets_used[e] > was.resets_used[e]) {
                const int left = resets_of(*info.element) - is.resets_used[e];
                add(Why::reset, name + ": " + (left == 0 ? "no reset" : plural(static_cast<std::size_t>(left), "reset", "resets")) + " left");
            }
            if (info.holding && bit(before_, info.holding) != bit(*back_, info.holding))
                add(bit(before_, info.holding) ? Why::dropped : Why::holds, name + (bit(before_, info.holding) ? " no longer holds itself supplied" : " now holds itself supplied"));
            if (is.readings[e] != was.readings[e]) add(Why::reading, name + " keeps another reading");
            if (std::ranges::binary_search(back_->hunting(), e) && !std::ranges::binary_search(before_.hunting(), e)) add(Why::hunting, name + " no longer comes to rest");
        }
    }

    std::string left_text(const ElementInfo& info, int taken) const {
        const bool empty = bit(*back_, info.empty);
        if (empty || !info.element->store) return " is empty";
        return " holds " + std::to_string(applications_of(*info.element->store) - taken) + " of " + std::to_string(applications_of(*info.element->store));
    }
};

constexpr std::size_t most_in_list = 6;

std::string some(std::vector<std::string> words, const std::string& one, const std::string& many) {
    if (words.size() > most_in_list) {
        const std::size_t more = words.size() - most_in_list + 1;
        words.resize(most_in_list - 1);
        words.push_back(plural(more, one, many));
    }
    return listed(words);
}

std::vector<std::string> element_names(const Compiled& c, const std::vector<std::string>& ids) {
    std::vector<std::string> list;
    for (const std::string& id : ids) list.push_back(name_of(c.elements[index_of(c.elements, id)]));
    return list;
}

}  // namespace

Effect effect_of(const Outcome& before, const Outcome& after, const std::vector<Event>& actions, const std::vector<StoredLine>& stored) {
    Effect effect{.actions = step_of(actions, before.network()), .difference = difference(before, after), .fault = growth(before, after, actions),
                  .undone = Undoing(before, after, actions).run(), .stored = what_works(after).stored};
    std::erase_if(effect.stored, [&](const StoredLine& line) {
        return std::ranges::any_of(stored, [&](const StoredLine& old) { return old.id == line.id && old.function == line.function; });
    });
    for (const Event& e : actions) effect.reach = std::max(effect.reach, reach_of(before.network().compiled(), e));
    return effect;
}

std::string changes_text(const Compiled& c, const std::vector<Change>& changes) {
    std::vector<std::string> words;
    for (const Change& change : changes) words.push_back(function_text(c, change.function, change.after, change.mode_name_after));
    return some(std::move(words), "other function", "other functions");
}

std::string fault_text(const Compiled& c, const FaultGrowth& fault) {
    std::vector<std::string> parts;
    if (!fault.trips.empty()) parts.push_back(some(element_names(c, fault.trips), "other device", "other devices") + (fault.trips.size() > 1 ? " trip" : " trips"));
    std::vector<std::string> dragged;
    for (const auto& [id, medium] : fault.zone)
        if (std::ranges::find(dragged, id) == dragged.end()) dragged.push_back(id);
    if (!dragged.empty()) parts.push_back("dragged down: " + some(element_names(c, dragged), "other element", "other elements"));
    if (!fault.emptied.empty()) parts.push_back("emptied by a leak: " + some(element_names(c, fault.emptied), "other store", "other stores"));
    std::string text;
    for (const std::string& part : parts) text += (text.empty() ? "" : "; ") + part;
    return text;
}

std::string stored_text(const Compiled& c, const std::vector<StoredLine>& stored) {
    std::vector<std::string> words;
    for (const StoredLine& s : stored)
        if (s.function) words.push_back(name_of(c.functions[index_of(c.functions, s.id)]));
    if (words.empty())
        for (const StoredLine& s : stored) words.push_back(name_of(c.elements[index_of(c.elements, s.id)]));
    return some(std::move(words), "other", "others");
}

std::string undone_text(const Compiled& c, const Undone& undone) {
    std::vector<std::string> parts;
    for (const Lasting& l : undone.lasting) parts.push_back(l.text);
    std::vector<Change> changes = undone.difference.gained;
    changes.insert(changes.end(), undone.difference.worse.begin(), undone.difference.worse.end());
    changes.insert(changes.end(), undone.difference.other.begin(), undone.difference.other.end());
    std::ranges::sort(changes, {}, &Change::function);
    for (const Change& change : changes) parts.push_back(function_text(c, change.function, change.after, change.mode_name_after));
    if (parts.empty() && !undone.difference.empty()) {
        std::vector<std::string> ids;
        for (const ElementChange& e : undone.difference.elements) ids.push_back(e.id);
        for (const Operation& o : undone.difference.operation) parts.push_back(name_of(c.functions[index_of(c.functions, o.function)]) + (o.after == true ? " stays in operation" : o.after ? " stays out of operation" : " then unknown"));
        if (!ids.empty()) parts.push_back(some(element_names(c, ids), "other element", "other elements") + " then otherwise");
    }
    return some(std::move(parts), "other thing", "other things");
}

}  // namespace detail
}  // namespace fedfrom
