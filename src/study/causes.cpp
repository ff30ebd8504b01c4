// Sets are tried by size, so that the parts of a set come before it; 64 of them are settled side by side. A failure can
// help, so a set is never judged by its parts: with up to twelve causes every set is tried but those that hold a set
// found already.
#include "causes.hpp"

#include <algorithm>
#include <array>
#include <numeric>
#include <optional>
#include <tuple>

#include "harm.hpp"
#include "words.hpp"

namespace fedfrom::detail {
namespace {

using Places = std::vector<std::uint32_t>;  // of causes, ascending

bool memory_bit(const State& s, Variable v) { return any(s.memory()[v]); }

/// The next combination of as many of `n`; false after the last.
bool next_of(Places& places, std::uint32_t n) {
    const auto size = static_cast<std::uint32_t>(places.size());
    for (std::uint32_t i = size; i-- > 0;) {
        if (places[i] + (size - i) >= n) continue;
        std::iota(places.begin() + i, places.end(), places[i] + 1);
        return true;
    }
    return false;
}

/// How many sets of `size` of `n` there are, up to a limit.
std::size_t sets_of(std::size_t n, std::size_t size, std::size_t limit) {
    std::size_t count = 1;
    for (std::size_t i = 0; i < size && count <= limit; ++i) count = count * (n - i) / (i + 1);
    return count;
}

bool holds_one_of(const Places& set, const std::vector<Places>& family) {
    return std::ranges::any_of(family, [&](const Places& part) { return std::ranges::includes(set, part); });
}

}  // namespace

RootCause failure_cause(const Compiled& c, std::uint32_t e, std::string_view mode, std::string_view at) {
    const ElementInfo& info = c.elements[e];
    return {RootCause::Kind::failure, *info.id, std::string(mode), called(info) + ": " + std::string(mode) + (at.empty() ? "" : " at " + std::string(at))};
}

RootCause hand_cause(const ElementInfo& e, std::string_view position) {
    const bool at_rest = e.rest < e.positions.size() && e.positions[e.rest] == position;
    return {at_rest ? RootCause::Kind::rest_position : RootCause::Kind::position, *e.id, std::string(position), called(e) + " at " + std::string(position)};
}

RootCause given_cause(const Compiled& c, const std::string& id, bool value) {
    const auto usual = c.model.given.find(id);
    const bool as_usual = usual != c.model.given.end() && usual->second == value;
    return {as_usual ? RootCause::Kind::usual_given : RootCause::Kind::given, id, value ? "true" : "false", id + (value ? " true" : " false")};
}

RootCause used_cause(const Compiled& c, const OneShotInfo& mode) {
    const FunctionInfo& f = c.functions[mode.function];
    return {RootCause::Kind::used, *f.id, *mode.mode, called(f) + " by " + spaced(*mode.mode) + " used"};
}

Causes::Causes(const Outcome& out)
    : out_(out), c_(out.network().compiled()), running_([&] {
          State state = running_state(out.network());
          return settle(state);
      }()) {
    find_events();
    find_what_remains();
    sort();
}

void Causes::add(RootCause cause, Put put) {
    present_.push_back(std::move(cause));
    put_.push_back(put);
}

void Causes::find_events() {
    const State& s = out_.state();
    for (std::uint32_t f = 0; f < c_.failures.size(); ++f) {
        if (!memory_bit(s, c_.failures[f].variable)) continue;
        const ElementInfo& e = c_.elements[c_.failures[f].element];
        std::uint32_t at = none;
        for (std::uint32_t p = 0; c_.failures[f].sticks && p < e.positions.size(); ++p)
            if (memory_bit(s, e.held + p)) at = p;
        add(failure_cause(c_, c_.failures[f].element, c_.failures[f].mode, at == none ? std::string_view() : e.positions[at]), {Event::fail({f}, at)});
    }
    for (std::uint32_t e = 0; e < c_.elements.size(); ++e)
        for (std::uint32_t p = 0; c_.elements[e].at_hand && p < c_.elements[e].positions.size(); ++p)
            if (p != c_.elements[e].rest && memory_bit(s, c_.elements[e].at_hand + p)) add(hand_cause(c_.elements[e], c_.elements[e].positions[p]), {Event::set({e}, p)});
    for (std::uint32_t g = 0; g < c_.givens.size(); ++g)
        if (const bool on = memory_bit(s, c_.givens[g].variable); on != c_.givens[g].initial) add(given_cause(c_, *c_.givens[g].id, on), {Event::given({g}, on)});
    for (std::uint32_t i = 0; i < c_.one_shots.size(); ++i)
        if (memory_bit(s, c_.one_shots[i].used)) add(used_cause(c_, c_.one_shots[i]), {Event::use({i})});
}

/// Trips, empty stores, and sources overloaded or not started yet, that do not follow from the rest.
void Causes::find_what_remains() {
    const State state = all_together();
    for (const ElementInfo& e : c_.elements) {
        const auto look = [&](Variable v, RootCause::Kind kind, const char* word) {
            if (v && memory_bit(out_.state(), v) && !memory_bit(state, v)) add({kind, *e.id, "", called(e) + word}, {.raised = v});
        };
        look(e.tripped, RootCause::Kind::trip, " tripped");
        look(e.empty, RootCause::Kind::empty, " empty");
        look(e.overloaded, RootCause::Kind::overloaded, " overloaded");
        look(e.starting, RootCause::Kind::starting, " not started yet");
    }
}

void Causes::sort() {
    std::vector<std::uint32_t> order(present_.size());
    std::iota(order.begin(), order.end(), 0);
    std::ranges::sort(order, {}, [&](std::uint32_t i) { return std::tie(present_[i].kind, present_[i].id, present_[i].word); });
    std::vector<RootCause> present;
    std::vector<Put> put;
    for (const std::uint32_t i : order) {
        present.push_back(std::move(present_[i]));
        put.push_back(put_[i]);
    }
    present_ = std::move(present);
    put_ = std::move(put);
}

/// Puts causes into a state in one step: events, uses after all others, then what has tripped, is empty or overloaded. False where a use is refused.
bool Causes::into(State& state, const std::vector<std::uint32_t>& causes) const {
    bool possible = true;
    for (const bool uses : {false, true})
        for (const std::uint32_t i : causes)
            if (!put_[i].raised && (put_[i].event.kind == Event::Kind::use) == uses) possible &= state.apply(put_[i].event) == Refusal::none;
    std::vector<One> memory(state.memory().begin(), state.memory().end());
    for (const std::uint32_t i : causes)
        if (put_[i].raised) memory[put_[i].raised] = One::filled(true);
    state.remember(memory, Frozen<One>(c_));
    return possible;
}

/// The running aircraft with all of them in one step, settled.
State Causes::all_together() const {
    std::vector<std::uint32_t> all(present_.size());
    std::iota(all.begin(), all.end(), 0);
    State state = running_.state();
    into(state, all);
    settle(state);
    return state;
}

std::vector<Plight> Causes::consequences() const {
    std::vector<Plight> list;
    for (std::uint32_t f = 0; f < c_.functions.size(); ++f)
        if (badness(c_.functions[f], out_.judged()[f]) > badness(c_.functions[f], running_.judged()[f])) list.push_back({Plight::Of::function, f});
    const auto surely = [](const Outcome& out, Literal l) { return out.truth(l).value_or(false); };
    for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
        const ElementInfo& it = c_.elements[e];
        if (it.fitted && surely(running_, it.supplied) && !surely(out_, it.supplied) && out_.status(ElementHandle{e}) != Status::failed) list.push_back({Plight::Of::supply, e});
    }
    const auto raised = [&](Variable v) { return memory_bit(out_.state(), v) && !memory_bit(running_.state(), v); };
    const auto own = [&](RootCause::Kind kind, std::uint32_t e) { return std::ranges::any_of(present_, [&](const RootCause& cause) { return cause.kind == kind && cause.id == *c_.elements[e].id; }); };
    for (const std::uint32_t e : c_.protecting)
        if (raised(c_.elements[e].tripped) && !own(RootCause::Kind::trip, e)) list.push_back({Plight::Of::trip, e});
    for (const std::uint32_t e : c_.storing)
        if (raised(c_.elements[e].empty) && !own(RootCause::Kind::empty, e)) list.push_back({Plight::Of::emptied, e});
    return list;
}

/// Whether it stands no better in a trial than in the state.
bool Causes::stands(const Plight& p, const Variations& trials, std::size_t trial) const {
    const auto no_better = [&](Literal bad) {  // surely not, unknown, surely
        const auto grade = [](std::optional<bool> truth) { return !truth ? 1 : *truth ? 2 : 0; };
        return grade(trials.truth(bad, trial)) >= grade(out_.truth(bad));
    };
    switch (p.of) {
        case Plight::Of::function: return badness(c_.functions[p.index], trials.judged(p.index, trial)) >= badness(c_.functions[p.index], out_.judged()[p.index]);
        case Plight::Of::supply: return no_better(!c_.elements[p.index].supplied);
        case Plight::Of::trip: return no_better(Literal::of(c_.elements[p.index].tripped));
        case Plight::Of::emptied: return no_better(Literal::of(c_.elements[p.index].empty));
        case Plight::Of::position: break;
    }
    const ElementInfo& e = c_.elements[p.index];
    return trials.truth(e.passes, trial) == out_.truth(e.passes) &&
           std::ranges::all_of(e.stands, [&](Literal at) { return trials.truth(at, trial) == out_.truth(at); });
}

std::vector<CauseSets> Causes::explain(const std::vector<Plight>& plights) const {
    std::vector<CauseSets> results(plights.size());
    if (plights.empty()) return results;
    std::vector<std::uint32_t> functions;
    for (const Plight& p : plights)
        if (p.of == Plight::Of::function) functions.push_back(p.index);
    Variations trials(running_.state(), functions);
    std::vector<std::vector<Places>> families(plights.size());
    std::vector<Places> waiting;
    std::vector<Writes> writes;
    const auto look = [&] {
        trials.settle(writes);
        for (std::size_t i = 0; i < waiting.size(); ++i)
            for (std::size_t p = 0; p < plights.size(); ++p)
                if (!holds_one_of(waiting[i], families[p]) && stands(plights[p], trials, i)) families[p].push_back(waiting[i]);
        waiting.clear();
        writes.clear();
    };
    const auto n = static_cast<std::uint32_t>(present_.size());
    std::size_t tried = 0, complete_to = 0;
    for (std::uint32_t size = 0; size <= n && tried + sets_of(n, size, most_sets) <= most_sets; ++size) {
        tried += sets_of(n, size, most_sets);
        Places places(size);
        std::iota(places.begin(), places.end(), 0);
        do {
            if (std::ranges::all_of(families, [&](const auto& family) { return holds_one_of(places, family); })) continue;
            State state = running_.state();
            if (!into(state, places)) continue;
            waiting.push_back(places);
            writes.push_back(writes_between(running_.state(), state));
            if (waiting.size() == Variations::at_once) look();
        } while (next_of(places, n));
        look();
        complete_to = size;
    }
    Places all(n);
    std::iota(all.begin(), all.end(), 0);
    State state = running_.state();
    const bool possible = into(state, all);
    std::optional<std::vector<std::string>> memory;
    trials.settle(std::array{writes_between(running_.state(), state)});
    for (std::size_t p = 0; p < plights.size(); ++p) {
        CauseSets& r = results[p];
        r.present = present_;
        r.together = possible && stands(plights[p], trials, 0);
        r.complete_to = complete_to;
        r.complete = complete_to == n;
        for (const Places& places : families[p]) {
            r.running |= places.empty();
            std::vector<RootCause>& set = r.sets.emplace_back();
            for (const std::uint32_t i : places) set.push_back(present_[i]);
        }
        if (!r.sets.empty() || !r.complete) continue;
        if (!memory) memory = remembered();
        r.remembered = *memory;
    }
    return results;
}

/// What the state remembers that all causes together, in one step, would not leave so.
std::vector<std::string> Causes::remembered() const {
    const State state = all_together();
    std::vector<std::string> list;
    for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
        const ElementInfo& it = c_.elements[e];
        for (std::uint32_t p = 0; it.memory && p < it.positions.size(); ++p)
            if (memory_bit(out_.state(), it.held + p) && !memory_bit(state, it.held + p)) list.push_back(called(it) + " stands at " + std::string(it.positions[p]));
        if (it.holding && memory_bit(out_.state(), it.holding) != memory_bit(state, it.holding)) list.push_back(called(it) + (memory_bit(state, it.holding) ? " no longer holds itself supplied" : " holds itself supplied"));
        if (const int taken = out_.state().remembered().taken[e]; taken != state.remembered().taken[e]) list.push_back(called(it) + " has given " + plural(static_cast<std::size_t>(taken), "application", "applications"));
    }
    return list;
}

std::string set_text(const std::vector<RootCause>& set) {
    std::vector<std::string> words;
    for (const RootCause& cause : set) words.push_back(cause.text);
    return listed(words);
}

std::vector<std::string> sentences(const CauseSets& causes) {
    std::vector<std::string> list;
    if (causes.running) return {"It stands no better in the running aircraft: nothing that is present is to blame."};
    std::vector<std::string> alone;
    for (const auto& set : causes.sets)
        if (set.size() == 1) alone.push_back(set.front().text);
    if (alone.size() == 1) list.push_back("Enough alone: " + alone.front() + ".");
    if (alone.size() > 1) list.push_back("Each of these is enough alone: " + listed(alone) + ".");
    for (const auto& set : causes.sets)
        if (set.size() > 1) list.push_back((alone.empty() ? "Enough only together: " : "Enough together: ") + set_text(set) + ".");
    std::vector<std::string> idle;
    for (const RootCause& cause : causes.present)
        if (std::ranges::none_of(causes.sets, [&](const auto& set) { return std::ranges::find(set, cause) != set.end(); })) idle.push_back(cause.text);
    if (!causes.sets.empty() && !idle.empty()) list.push_back((causes.complete ? "Present, and in none of these sets: " : "Present, and in none of the sets found: ") + listed(idle) + ".");
    if (!causes.complete)
        list.push_back("Incomplete: of " + plural(causes.present.size(), "cause", "causes") + " present, every set of up to " + std::to_string(causes.complete_to) + " was tried." +
                       (causes.sets.empty() ? causes.together ? " All of them together leave it so." : " All of them together, in one step, would not leave it so." : ""));
    else if (causes.sets.empty()) {
        list.push_back("Nothing that is present, put into the running aircraft in one step, leaves it so: it hangs on the order of what happened, or on what is there no more.");
        if (!causes.remembered.empty()) list.push_back("What the aircraft remembers of that: " + listed(causes.remembered) + ".");
    } else if (!causes.together) list.push_back("All that is present, in one step, would leave it better than this: the order of what happened counts.");
    return list;
}

}  // namespace fedfrom::detail
