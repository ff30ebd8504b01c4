#include <fedfrom/study/supply_list.hpp>

#include <algorithm>

#include <fedfrom/model/resolve.hpp>

#include "explain.hpp"
#include "harm.hpp"
#include "named.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// The same aircraft, in the same state, but for an element that its author took as perfect and that now may be lost.
State fallible(const State& state, std::uint32_t e) {
    const Compiled& c = state.network().compiled();
    Model model = c.model;
    model.elements.at(*c.elements[e].id).fallible = true;
    const Network net(std::move(model));
    const Compiled& to = net.compiled();
    State copy(net, true);
    State::Memory memory = state.remembered();
    std::vector<One> values(copy.memory().begin(), copy.memory().end());
    const auto take = [&](Variable there, Variable here) {
        if (there && here) values[there] = state.memory()[here];
    };
    for (std::uint32_t i = 0; i < c.elements.size(); ++i) {
        const ElementInfo &here = c.elements[i], &there = to.elements[i];
        for (std::uint32_t f = here.failures.first; f < here.failures.last; ++f)
            if (const std::uint32_t same = failure_of(to, there, c.failures[f].mode); same != none) take(to.failures[same].variable, c.failures[f].variable);
        for (std::uint32_t p = 0; p < here.positions.size(); ++p) {
            if (here.held && there.held) take(there.held + p, here.held + p);
            if (here.at_hand) take(there.at_hand + p, here.at_hand + p);
        }
        take(there.tripped, here.tripped);
        take(there.empty, here.empty);
        take(there.overloaded, here.overloaded);
        take(there.starting, here.starting);
        take(there.running_on, here.running_on);
        take(there.holding, here.holding);
    }
    for (std::uint32_t g = 0; g < c.givens.size(); ++g) take(to.givens[g].variable, c.givens[g].variable);
    for (std::uint32_t i = 0; i < c.one_shots.size(); ++i) {
        take(to.one_shots[i].used, c.one_shots[i].used);
        take(to.one_shots[i].exhausted, c.one_shots[i].exhausted);
    }
    memory.values = std::move(values);
    memory.frozen = Frozen<One>(to);
    copy.remember(std::move(memory));
    return copy;
}

Outcome with_it_lost(const Outcome& out, std::uint32_t e) {
    const Compiled& c = out.network().compiled();
    const bool can = failure_of(c, c.elements[e], "loss") != none;
    // One that could fail would also conduct backwards once shorted (rule M5): another network altogether.
    if (!can && is_one_way(*c.elements[e].element)) throw NotPossible("`" + *c.elements[e].id + "` is taken as perfect and never blocks, so nothing can be said of what it alone would take away.");
    State state = can ? out.state() : fallible(out.state(), e);
    state.fail(state.network().failure(*c.elements[e].id));
    return settle(state);
}

class Lister {
public:
    Lister(const Outcome& out, std::uint32_t e)
        : out_(out), c_(out.network().compiled()), e_(e), lost_already_(already()), without_(lost_already_ ? out : with_it_lost(out, e)), before_(View(out_), 0), explainer_(out), direct_(c_.elements.size(), false) {
        for (std::uint32_t f = 0; f < c_.feeds.size(); ++f)
            if (is_way(f) && (c_.feeds[f].upstream == e_ || stands_in(f))) direct_[c_.ports[c_.feeds[f].port].element] = true;
    }

    SupplyList run() {
        const ElementInfo& it = c_.elements[e_];
        SupplyList list{.outcome = out_, .without = without_, .id = *it.id, .name = it.element->name, .lost_as = lost_as(), .lost_already = lost_already_};
        list.sure = out_.worlds().values.size() == 1 && without_.worlds().values.size() == 1;
        find_ways(list);
        find_path(list);
        find_hanging(list);
        find_functions(list);
        return list;
    }

private:
    const Outcome& out_;
    const Compiled& c_;
    std::uint32_t e_;
    bool lost_already_;
    Outcome without_;
    Flow before_;
    Explainer explainer_;
    std::vector<bool> direct_;

    bool already() const {
        const std::uint32_t loss = failure_of(c_, c_.elements[e_], "loss");
        return !c_.elements[e_].fitted || (loss != none && out_.state().failed({loss}));
    }

    bool is_way(std::uint32_t f) { return explainer_.is_a_way(0, f); }
    bool stands_in(std::uint32_t f) const {
        const Range devices = c_.feeds[f].devices;
        return std::any_of(c_.devices.begin() + devices.first, c_.devices.begin() + devices.last, [&](const DeviceAt& d) { return d.element == e_; });
    }
    std::string lost_as() const {
        const ElementInfo& it = c_.elements[e_];
        const std::string name = called(it);
        if (!it.fitted) return name + " is not fitted in this aircraft.";
        if (lost_already_) return name + " is lost already: nothing hangs on it as things stand.";
        if (!it.positions.empty() && !it.blanked_by_loss) {
            const auto at = without_.position(ElementHandle{e_});
            const std::string passes = passing(without_, e_);
            return "Lost, " + name + " stands at " + std::string(at.value_or("an unknown position")) + (passes.empty() ? "." : " and " + passes + ".");
        }
        if (only_has_position(*it.element)) return "Lost, " + name + " passes nothing.";
        return "Lost, " + name + " supplies nothing.";
    }

    void find_ways(SupplyList& list) {
        const ElementInfo& it = c_.elements[e_];
        for (std::uint32_t f = 0; f < c_.feeds.size(); ++f) {
            if (!is_way(f)) continue;
            const PortInfo& port = c_.ports[c_.feeds[f].port];
            const bool own = port.element == e_;
            if (it.ports.size() > 0 ? !own : !stands_in(f)) continue;
            const std::vector<std::uint32_t> used = before_.in_use(c_.feeds[f].port);
            const bool in_use = std::ranges::find(used, f) != used.end() && out_.truth(c_.feeds[f].live).value_or(false);
            list.ways.push_back({*c_.elements[port.element].id, port.name, *c_.elements[c_.feeds[f].upstream].id, explainer_.way(0, f), in_use, in_use ? "in use" : explainer_.stands_behind(0, f)});
        }
    }

    /// Upstream along feeds in use, nearest first; then the sources, in use and others.
    void find_path(SupplyList& list) {
        std::vector<std::uint32_t> path;
        std::vector<bool> seen(c_.elements.size(), false);
        seen[e_] = true;
        const auto visit = [&](std::uint32_t e) {
            if (!seen[e]) path.push_back(e);
            seen[e] = true;
        };
        for (const SupplyWay& way : list.ways)
            if (way.in_use) visit(index_of(c_.elements, way.from));
        for (std::size_t i = 0; i < path.size(); ++i)
            for (std::uint32_t p = c_.elements[path[i]].ports.first; p < c_.elements[path[i]].ports.last && !before_.is_named(path[i]); ++p)
                for (const std::uint32_t f : before_.in_use(p)) visit(c_.feeds[f].upstream);
        std::vector<std::uint32_t> reached;
        for (const SupplyWay& way : list.ways) reached.push_back(index_of(c_.elements, way.from));
        std::vector<bool> could(c_.elements.size(), false);
        for (std::size_t i = 0; i < reached.size(); ++i) {
            if (could[reached[i]]) continue;
            could[reached[i]] = true;
            const Range ports = c_.elements[reached[i]].ports;
            for (std::uint32_t p = ports.first; p < ports.last && !before_.is_named(reached[i]); ++p)
                for (std::uint32_t f = c_.ports[p].feeds.first; f < c_.ports[p].feeds.last; ++f)
                    if (is_way(f)) reached.push_back(c_.feeds[f].upstream);
        }
        for (const std::uint32_t e : path) list.path.push_back(*c_.elements[e].id);
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e)
            if (could[e] && e != e_ && before_.is_named(e)) (seen[e] ? list.sources : list.others).push_back(*c_.elements[e].id);
    }

    /// By element: a feed in use on the way there comes from it, runs through it, or is not live without it.
    std::vector<bool> users() {
        const auto& feeds_after = without_.network().compiled().feeds;
        std::vector<std::vector<std::uint32_t>> loads(c_.elements.size());
        std::vector<std::uint32_t> todo;
        for (std::uint32_t p = 0; p < c_.ports.size(); ++p) {
            const std::uint32_t load = c_.ports[p].element;
            if (!before_.supplied(load)) continue;
            for (const std::uint32_t f : before_.in_use(p)) {
                if (!before_.is_named(load)) loads[c_.feeds[f].upstream].push_back(load);
                if (stands_in(f) || c_.feeds[f].upstream == e_ || !without_.truth(feeds_after[f].live).value_or(false)) todo.push_back(load);
            }
        }
        std::vector<bool> user(c_.elements.size(), false);
        while (!todo.empty()) {
            const std::uint32_t e = todo.back();
            todo.pop_back();
            if (user[e]) continue;
            user[e] = true;
            todo.insert(todo.end(), loads[e].begin(), loads[e].end());
        }
        return user;
    }

    /// By element: some way leads there from it.
    std::vector<bool> reachable() {
        std::vector<std::vector<std::uint32_t>> loads(c_.elements.size());
        std::vector<std::uint32_t> todo;
        for (std::uint32_t f = 0; f < c_.feeds.size(); ++f) {
            if (!is_way(f)) continue;
            const std::uint32_t load = c_.ports[c_.feeds[f].port].element;
            loads[c_.feeds[f].upstream].push_back(load);
            if (stands_in(f)) todo.push_back(load);
        }
        todo.insert(todo.end(), loads[e_].begin(), loads[e_].end());
        std::vector<bool> reached(c_.elements.size(), false);
        while (!todo.empty()) {
            const std::uint32_t e = todo.back();
            todo.pop_back();
            if (reached[e]) continue;
            reached[e] = true;
            todo.insert(todo.end(), loads[e].begin(), loads[e].end());
        }
        return reached;
    }

    void find_hanging(SupplyList& list) {
        const std::vector<bool> user = lost_already_ ? std::vector<bool>(c_.elements.size(), false) : users(), reached = reachable();
        SourceFinder finder{View(without_)};
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            const ElementInfo& it = c_.elements[e];
            if (e == e_ || !it.fitted || only_has_position(*it.element)) continue;
            const auto now = out_.truth(it.supplied), then = without_.truth(without_.network().compiled().elements[e].supplied);
            SupplyLine line{*it.id, it.element->name, direct_[e], out_.status(ElementHandle{e}), without_.status(ElementHandle{e})};
            if (then.value_or(false)) line.sources = finder.of(e).ids;
            if (!now) {
                if (reached[e] || then == false) list.unknown.push_back(std::move(line));
            } else if (*now && !then.value_or(false)) list.needs.push_back(std::move(line));
            else if (*now && user[e]) list.uses.push_back(std::move(line));
            else if (reached[e]) list.could.push_back(std::move(line));
        }
    }

    void find_functions(SupplyList& list) const {
        std::vector<Change> better;
        for (const std::uint32_t f : in_group_order(c_)) {
            const Judgement &now = out_.judged()[f], &then = without_.judged()[f];
            if (now.level == then.level && now.mode == then.mode) continue;
            Change change = change_of(c_, f, now, then);
            (worsens(c_, change) ? list.functions : better).push_back(std::move(change));
        }
        list.functions.insert(list.functions.end(), better.begin(), better.end());
    }
};

}  // namespace

SupplyList supply_list(const Outcome& outcome, std::string_view name) { return Lister(outcome, element_named(outcome.network(), name).index).run(); }

SupplyList supply_list(const State& state, std::string_view name) {
    State copy = state;
    return supply_list(settle(copy), name);
}

SupplyList supply_list(const Network& net, std::string_view name) { return supply_list(running_state(net), name); }

}  // namespace fedfrom
