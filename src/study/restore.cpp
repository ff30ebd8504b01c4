// The sweep finds the sets: every combination of actions, 512 at once, minimal in taking a goal up. Each use of a
// one-shot mode is written as it is alone, so sets with two uses or more, of which there are few, are settled one by
// one. What the sheet says of a set is found by settling it once more.
#include <fedfrom/study/restore.hpp>

#include <algorithm>
#include <chrono>
#include <map>
#include <numeric>
#include <tuple>

#include <fedfrom/model/resolve.hpp>
#include <fedfrom/solve/cone.hpp>
#include <fedfrom/solve/sweep.hpp>

#include "copies.hpp"
#include "effect.hpp"
#include "harm.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

using Places = std::vector<std::uint32_t>;  // of actions, ascending

/// Unknown is no better than lost: it never counts as brought back.
bool reaches(Level is, Level to) { return is == Level::normal || (is == Level::degraded && to == Level::degraded); }

bool contains(const Places& all, const Places& part) { return std::ranges::includes(all, part); }

class Restorer {
public:
    Restorer(const State& from, const RestoreOptions& options) : state_(from), before_(settle(state_)), net_(state_.network()), c_(net_.compiled()), options_(options), begun_(std::chrono::steady_clock::now()), stored_(what_works(before_).stored) {
        if (options.most_actions < 1 || options.most_actions > 3) throw NotPossible("`most_actions` is 1, 2 or 3 actions at once, not " + std::to_string(options.most_actions) + ".");
        if (options.to && *options.to != Level::normal && *options.to != Level::degraded) throw NotPossible("A function is brought back to normal or to degraded, not to " + std::string(fedfrom::name_of(*options.to)) + ".");
        if (options.reach == Reach::nobody) throw NotPossible("`reach` is cockpit, cabin or ground.");
        find_actions();
    }

    Restore run() {
        Restore result{.before = before_, .options = options_, .actions = actions_.size()};
        for (const std::uint32_t f : goals()) result.goals.push_back({*c_.functions[f].id, before_.judged()[f].level, target(f), {}});
        std::vector<std::uint32_t> functions;
        for (const RestoreGoal& g : result.goals) functions.push_back(index_of(c_.functions, g.function));
        const std::map<Places, std::vector<std::uint32_t>> found = search(functions, options_.most_actions, result);
        std::size_t done = 0;
        for (const auto& [places, restored] : found) {
            if (!go_on(0.5 + 0.5 * static_cast<double>(done++) / static_cast<double>(found.size()), result)) break;
            result.sets.push_back(set_of(places, restored));
        }
        rank(result.sets);
        for (RestoreGoal& g : result.goals)
            for (std::size_t s = 0; s < result.sets.size(); ++s)
                if (std::ranges::find(result.sets[s].goals, g.function, &Change::function) != result.sets[s].goals.end()) g.sets.push_back(s);
        result.best_single = best_single();
        return result;
    }

private:
    State state_;
    Outcome before_;
    const Network net_;
    const Compiled& c_;
    const RestoreOptions& options_;
    std::chrono::steady_clock::time_point begun_;
    std::vector<StoredLine> stored_;  // what hangs on stored energy alone before
    std::vector<Event> actions_;
    std::map<std::pair<std::uint32_t, std::uint32_t>, Level> hurts_now_;  // by failure and function, what differs from before
    bool hurts_known_ = false;

    bool in_reach(Reach reach) const { return reach != Reach::nobody && reach <= options_.reach; }

    /// Positions the hand is not at, resets of what has tripped, uses: by id.
    void find_actions() {
        const auto possible = [&](const Event& e) {
            State with = state_;
            return in_reach(detail::reach_of(c_, e)) && with.apply(e) == Refusal::none;
        };
        const auto add = [&](const Event& e) {
            if (possible(e)) actions_.push_back(e);
        };
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            const ElementInfo& info = c_.elements[e];
            for (std::uint32_t p = 0; info.fitted && info.at_hand && p < info.positions.size(); ++p)
                if (!any(state_.memory()[info.at_hand + p])) add(Event::set({e}, p));
            if (info.tripped && any(state_.memory()[info.tripped])) add(Event::reset({e}));
        }
        for (std::uint32_t i = 0; i < c_.one_shots.size(); ++i) add(Event::use({i}));
    }

    Level target(std::uint32_t f) const {
        if (options_.to) return *options_.to;
        return before_.judged()[f].level == Level::degraded ? Level::normal : Level::degraded;
    }

    /// Those that stand below the level asked for, in the order of groups.
    std::vector<std::uint32_t> goals() const {
        for (const std::string& id : options_.goals)
            if (before_.judged()[net_.function(id).index].level == Level::not_fitted) throw NotPossible("`" + id + "` is not fitted in this aircraft.");
        std::vector<std::uint32_t> list;
        for (const std::uint32_t f : in_group_order(c_)) {
            const bool asked = options_.goals.empty() || std::ranges::find(options_.goals, *c_.functions[f].id) != options_.goals.end();
            const Level level = before_.judged()[f].level;
            if (asked && level != Level::not_fitted && !reaches(level, target(f))) list.push_back(f);
        }
        return list;
    }

    /// The demand a function is judged with sets it otherwise, whatever the crew did.
    bool overridden(std::uint32_t f, const Places& places) const {
        const auto& set = c_.demands[c_.functions[f].demand].set;
        return std::ranges::any_of(places, [&](std::uint32_t p) {
            return actions_[p].kind == Event::Kind::set && std::ranges::find(set, actions_[p].index, &HandSetting::element) != set.end();
        });
    }

    bool go_on(double part, Restore& result) {
        if (!options_.progress || options_.progress(part)) return true;
        result.complete = false;
        result.complete_to = 0;
        return false;
    }

    double seconds_left() const { return options_.seconds - std::chrono::duration<double>(std::chrono::steady_clock::now() - begun_).count(); }

    /// What is found while searching: by goal, its smallest sets so far.
    struct Family {
        std::uint32_t function;
        Level to;
        std::vector<Places> sets;
        void add(Places places) {
            if (std::ranges::none_of(sets, [&](const Places& known) { return contains(places, known); })) sets.push_back(std::move(places));
        }
    };

    std::map<Places, std::vector<std::uint32_t>> search(const std::vector<std::uint32_t>& functions, int most, Restore& result) {
        std::map<Places, std::vector<std::uint32_t>> found;
        result.complete_to = most;
        if (functions.empty() || actions_.empty()) return found;
        std::vector<Family> families;
        for (const std::uint32_t f : functions) families.push_back({f, target(f), {}});
        SweepOptions options{.order = most, .events = actions_, .goals = {}, .restoring = true, .seconds = options_.seconds, .progress = {}};
        for (const std::uint32_t f : functions) options.goals.push_back({f});
        if (options_.progress) options.progress = [this](double part) { return options_.progress(part / 2); };
        const SweepResult swept = Sweep(state_, std::move(options)).run();
        result.combinations += swept.combinations;
        result.complete = swept.complete;
        result.complete_to = swept.complete_to;
        // Above 256 worlds a function is unknown for what hunts elsewhere (M15), and what calms that is none of its cone.
        for (std::uint32_t d = 0; d < c_.demands.size() && result.complete_to > 0; ++d)
            if (before_.worlds(d).all_unknown) result.complete = false, result.complete_to = 0;
        for (const SweepHit& hit : swept.hits) {  // by size, so that parts come first
            Places places;
            for (const std::uint32_t e : hit.events)
                if (e != none) places.push_back(e);
            Family& family = *std::ranges::find(families, hit.goal, &Family::function);
            if (reaches(hit.level, family.to) && !overridden(hit.goal, places)) family.add(std::move(places));
        }
        if (result.complete) several_uses(families, most, result);
        for (const Family& family : families)
            for (const Places& places : family.sets) found[places].push_back(family.function);
        return found;
    }

    /// Sets with more than one use.
    void several_uses(std::vector<Family>& families, int most, Restore& result) {
        if (c_.one_shots.size() < 2 || most < 2) return;
        std::vector<Places> more;
        const Places relevant = that_reach(families);
        const auto is_use = [&](std::uint32_t p) { return actions_[p].kind == Event::Kind::use; };
        for (std::size_t i = 0; i < relevant.size(); ++i)
            for (std::size_t j = i + 1; j < relevant.size(); ++j) {
                if (is_use(relevant[i]) && is_use(relevant[j])) more.push_back({relevant[i], relevant[j]});
                for (std::size_t k = j + 1; k < relevant.size() && most > 2; ++k)
                    if (is_use(relevant[j]) && is_use(relevant[k]) && together(relevant[i], relevant[j])) more.push_back({relevant[i], relevant[j], relevant[k]});
            }
        std::ranges::stable_sort(more, {}, &Places::size);
        for (const Places& places : more) {
            if (options_.seconds > 0 && seconds_left() < 0) {
                result.complete = false;
                result.complete_to = std::min(result.complete_to, static_cast<int>(places.size()) - 1);
                return;
            }
            State state = state_;
            if (!take(state, places)) continue;
            ++result.combinations;
            const Outcome out = settle(state);
            for (Family& family : families)
                if (reaches(out.judged()[family.function].level, family.to) && !overridden(family.function, places)) family.add(places);
        }
    }

    /// Actions that write anything a goal hangs on, and every use: what it takes may be the last only after another.
    Places that_reach(const std::vector<Family>& families) const {
        std::vector<std::uint32_t> functions;
        for (const Family& f : families) functions.push_back(f.function);
        for (std::size_t i = 0; i < functions.size(); ++i)
            for (const std::uint32_t read : c_.functions[functions[i]].reads)
                if (std::ranges::find(functions, read) == functions.end()) functions.push_back(read);
        const Cone cone = cone_of(c_, functions, true);
        Places list;
        for (std::uint32_t p = 0; p < actions_.size(); ++p) {
            State with = state_;
            with.apply(actions_[p]);
            bool relevant = actions_[p].kind == Event::Kind::use;
            for (Variable v = 0; v < c_.memory_end && !relevant; ++v) relevant = with.memory()[v] != state_.memory()[v] && cone.inputs[v];
            if (relevant) list.push_back(p);
        }
        return list;
    }

    /// Not two positions of one thing.
    bool together(std::uint32_t a, std::uint32_t b) const {
        return actions_[a].kind != Event::Kind::set || actions_[b].kind != Event::Kind::set || actions_[a].index != actions_[b].index;
    }

    std::vector<Event> events_in(const Places& places) const {
        std::vector<Event> events;
        for (const std::uint32_t p : places) events.push_back(actions_[p]);
        return events;
    }

    bool take(State& state, const Places& places) const {
        return std::ranges::all_of(places, [&](std::uint32_t p) { return state.apply(actions_[p]) == Refusal::none; });
    }

    RestoringSet set_of(const Places& places, const std::vector<std::uint32_t>& restored) {
        State state = state_;
        take(state, places);
        const Outcome after = settle(state);
        RestoringSet set{.effect = effect_of(before_, after, events_in(places), stored_)};
        for (const std::uint32_t f : restored) set.goals.push_back(change_of(c_, f, before_.judged()[f], after.judged()[f]));
        std::ranges::sort(set.goals, {}, &Change::function);
        try_orders(set, places, restored, after);
        if (options_.next) find_next(set, restored, after);
        return set;
    }

    void try_orders(RestoringSet& set, Places order, const std::vector<std::uint32_t>& restored, const Outcome& together) {
        if (order.size() < 2) return;
        Settler<One> settler(c_);
        set.orders = set.orders_restoring = 0;
        do {
            ++set.orders;
            State state = state_;
            bool possible = true;
            for (const std::uint32_t p : order) {
                possible = possible && state.apply(actions_[p]) == Refusal::none;
                if (possible) settle_memory(state, settler);
            }
            if (!possible) {
                set.order_matters = true;
                continue;
            }
            const bool same = state == together.state();
            const Outcome out = same ? together : settle(state);
            set.order_matters |= !same && !same_outcome(out, together);
            set.order_powers_fault |= growth(before_, out, events_in(order)).any();
            if (!std::ranges::all_of(restored, [&](std::uint32_t f) { return reaches(out.judged()[f].level, target(f)); })) continue;
            if (set.orders_restoring++ > 0) continue;
            for (const Event& e : events_in(order)) set.order.push_back(action_text(e, net_));
        } while (std::ranges::next_permutation(order).found);
        if (set.orders_restoring == set.orders) set.order.clear();
    }

    /// Every single failure not present, and what it then makes of every function it changes.
    std::map<std::pair<std::uint32_t, std::uint32_t>, Level> hurts(const State& state) const {
        std::map<std::pair<std::uint32_t, std::uint32_t>, Level> map;
        const SweepResult swept = Sweep(state, {.order = 1, .all = true}).run();
        for (const SweepHit& hit : swept.hits) map[{swept.events[hit.events[0]].index, hit.goal}] = hit.level;
        return map;
    }

    void find_next(RestoringSet& set, const std::vector<std::uint32_t>& restored, const Outcome& after) {
        if (!hurts_known_) {
            hurts_now_ = hurts(state_);
            hurts_known_ = true;
        }
        std::vector<std::uint32_t> taking;
        for (const auto& [which, level] : hurts(after.state())) {
            const std::uint32_t failure = which.first, f = which.second;
            const auto it = hurts_now_.find(which);
            const Level now = it != hurts_now_.end() ? it->second : before_.judged()[f].level;
            const auto bad = [&](Level l) { return badness(c_.functions[f], l, ""); };
            const Level held = reaches(after.judged()[f].level, target(f)) ? target(f) : Level::degraded;
            if (std::ranges::find(restored, f) != restored.end() && !reaches(level, held) && (taking.empty() || taking.back() != failure)) taking.push_back(failure);
            if (bad(level).level <= bad(after.judged()[f].level).level || bad(level).level <= bad(now).level) continue;
            set.next.push_back({*c_.elements[c_.failures[failure].element].id, c_.failures[failure].mode, *c_.functions[f].id, now, level});
        }
        set.single_failures = taking.size();
    }

    /// A fault powered again, the worst severity of what gets worse, how much of it, what then hangs on stored energy, what cannot be taken back, how far to go.
    auto price(const RestoringSet& set) const {
        std::optional<Severity> worst;
        std::size_t lost = 0, degraded = 0;
        for (const Change& change : set.effect.difference.worse) {
            raise(worst, severity_of(c_.functions[index_of(c_.functions, change.function)], change.after));
            (change.after == Level::degraded ? degraded : lost) += 1;
        }
        const auto stored = std::ranges::count_if(set.effect.stored, &StoredLine::function);
        return std::tuple(set.effect.fault.any(), worst ? static_cast<int>(*worst) : -1, lost, degraded, stored, !set.effect.undone.complete(), set.effect.reach);
    }

    static std::size_t size(const RestoringSet& set) { return set.effect.actions.set.size() + set.effect.actions.reset.size() + set.effect.actions.use.size(); }

    static auto ids(const RestoringSet& set) { return std::tuple(set.effect.actions.set, set.effect.actions.reset, set.effect.actions.use); }

    void rank(std::vector<RestoringSet>& sets) const {
        std::ranges::stable_sort(sets, [&](const RestoringSet& a, const RestoringSet& b) {
            return std::tuple(size(a), price(a), ids(a)) < std::tuple(size(b), price(b), ids(b));
        });
    }

    std::optional<RestoringSet> best_single() {
        std::vector<std::uint32_t> lost;
        for (std::uint32_t f = 0; f < c_.functions.size(); ++f)
            if (before_.judged()[f].level == Level::lost || before_.judged()[f].level == Level::unknown) lost.push_back(f);
        if (lost.empty() || actions_.empty()) return std::nullopt;
        SweepOptions options{.order = 1, .events = actions_, .goals = {}, .restoring = true};
        for (const std::uint32_t f : lost) options.goals.push_back({f});
        std::map<std::uint32_t, std::vector<std::uint32_t>> back;  // by action
        for (const SweepHit& hit : Sweep(state_, std::move(options)).run().hits)
            if (reaches(hit.level, Level::degraded) && !overridden(hit.goal, {hit.events[0]})) back[hit.events[0]].push_back(hit.goal);
        std::size_t most = 0;
        for (const auto& [action, functions] : back) most = std::max(most, functions.size());
        std::vector<RestoringSet> best;
        for (const auto& [action, functions] : back)
            if (functions.size() == most) best.push_back(set_of({action}, functions));
        if (best.empty()) return std::nullopt;
        rank(best);
        return best.front();
    }
};

}  // namespace

Restore restore(const State& from, const RestoreOptions& options) { return Restorer(from, options).run(); }

Restore restore(const Network& net, const RestoreOptions& options) { return restore(running_state(net), options); }

}  // namespace fedfrom
