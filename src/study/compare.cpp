// Both sides are swept with the same events, block by block, and told mode by mode; what stands otherwise than as the
// two stand is put together by difference. Functions, modes and events correspond by id.
#include <fedfrom/study/compare.hpp>

#include <algorithm>
#include <chrono>
#include <map>
#include <set>
#include <tuple>

#include <fedfrom/solve/sweep.hpp>

#include "harm.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// One side's judgement of a function: its level, and the mode by index.
struct Stand {
    Level level = Level::unknown;
    std::uint32_t mode = none;
    auto operator<=>(const Stand&) const = default;
};

/// How a function, by its place among those compared, or an element stands on both sides.
template <class T>
struct Entry {
    std::uint32_t place = 0;
    T a{}, b{};
    auto operator<=>(const Entry&) const = default;
};
using Functions = std::vector<Entry<Stand>>;
using Elements = std::vector<Entry<Status>>;

/// A function both have.
struct Compared {
    std::array<std::uint32_t, 2> index{};
    std::vector<std::uint32_t> same_mode{};  ///< by mode of the first: the same of the second, or none
};

/// What the crew is told of it is the same.
bool same_mode(const ModeInfo& a, const ModeInfo& b) {
    return *a.id == *b.id && a.mode->name == b.mode->name && a.mode->crew == b.mode->crew && a.mode->effects == b.mode->effects;
}

std::array<std::string, 2> names_of(const Outcome& a, const Outcome& b, const CompareOptions& options) {
    const auto variant = [](const Model& m) { return !m.variant.empty() ? m.variant : m.base.empty() ? std::string("base") : m.base; };
    const Model &ma = a.network().model(), &mb = b.network().model();
    std::array<std::string, 2> names{"first", "second"};
    if (variant(ma) != variant(mb)) names = {variant(ma), variant(mb)};
    else if (ma.edition != mb.edition && !ma.edition.empty() && !mb.edition.empty()) names = {"edition " + ma.edition, "edition " + mb.edition};
    for (std::size_t side = 0; side < 2; ++side)
        if (!options.names[side].empty()) names[side] = options.names[side];
    return names;
}

class Comparer {
public:
    Comparer(const State& a, const State& b, const CompareOptions& options)
        : states_{a, b}, before_{settle(states_[0]), settle(states_[1])}, c_{&a.network().compiled(), &b.network().compiled()}, options_(options), begun_(std::chrono::steady_clock::now()) {
        if (options.order < 1 || options.order > 2) throw NotPossible("`order` is 1 or 2 failures at once, not " + std::to_string(options.order) + ".");
        find_functions();
        find_elements();
        find_scenarios();
    }

    Comparison run() {
        Comparison result{.a = before_[0], .b = before_[1], .options = options_, .names = names_of(before_[0], before_[1], options_)};
        base_ = functions_in([&](std::size_t side, std::uint32_t place) { return stand_before(side, place); });
        if (options_.elements) base_elements_ = elements_in(before_[0], before_[1]);
        result.functions = named(base_);
        result.elements = named(base_elements_);
        result.scenarios = steps_.size();
        singles(result);
        if (options_.order > 1) pairs(result);
        result.only = only_one();
        return result;
    }

private:
    std::array<State, 2> states_;
    std::array<Outcome, 2> before_;
    std::array<const Compiled*, 2> c_;
    const CompareOptions& options_;
    std::chrono::steady_clock::time_point begun_;
    std::vector<Compared> functions_;                       // in the order of groups
    std::array<std::vector<std::uint32_t>, 2> places_;      // by function of a side: its place among them
    std::vector<std::array<std::uint32_t, 2>> elements_;
    std::vector<Step> steps_;                         // by scenario; failures first
    std::array<std::vector<Event>, 2> events_;        // likewise
    std::size_t failures_ = 0;                        // so many of them
    Functions base_;
    Elements base_elements_;
    std::vector<Functions> single_;                   // by failure: what differs with it

    const Compiled& c(std::size_t side) const { return *c_[side]; }

    // ------------------------------------------------------------- what corresponds

    bool asked(const std::string& function) const { return options_.goals.empty() || std::ranges::find(options_.goals, function) != options_.goals.end(); }

    void find_functions() {
        for (const std::string& goal : options_.goals)
            if (index_of(c(0).functions, goal) == none && index_of(c(1).functions, goal) == none) (void)before_[0].network().function(goal);  // throws
        for (std::size_t side = 0; side < 2; ++side) places_[side].assign(c(side).functions.size(), none);
        for (const std::uint32_t f : in_group_order(c(0))) {
            const FunctionInfo& mine = c(0).functions[f];
            const std::uint32_t other = index_of(c(1).functions, *mine.id);
            if (other == none || mine.modes.empty() || c(1).functions[other].modes.empty() || !asked(*mine.id)) continue;
            Compared both{.index = {f, other}};
            for (const ModeInfo& m : mine.modes) {
                const auto& modes = c(1).functions[other].modes;
                const auto it = std::ranges::find_if(modes, [&](const ModeInfo& o) { return same_mode(m, o); });
                both.same_mode.push_back(it == modes.end() ? none : static_cast<std::uint32_t>(it - modes.begin()));
            }
            for (std::size_t side = 0; side < 2; ++side) places_[side][both.index[side]] = static_cast<std::uint32_t>(functions_.size());
            functions_.push_back(std::move(both));
        }
    }

    void find_elements() {
        for (std::uint32_t e = 0; e < c(0).elements.size(); ++e)
            if (const std::uint32_t other = index_of(c(1).elements, *c(0).elements[e].id); other != none && c(0).elements[e].fitted && c(1).elements[other].fitted)
                elements_.push_back({e, other});
    }

    bool holds(std::size_t side, Variable v) const { return any(states_[side].memory()[v]); }

    void add(Step step, std::array<Event, 2> events) {
        steps_.push_back(std::move(step));
        for (std::size_t side = 0; side < 2; ++side) events_[side].push_back(events[side]);
    }

    /// What can be added to both, and is not there in both already.
    void find_scenarios() {
        for (const auto& [a, b] : elements_)
            for (std::uint32_t f = c(0).elements[a].failures.first; f < c(0).elements[a].failures.last; ++f) {
                const FailureInfo& mine = c(0).failures[f];
                const std::uint32_t other = failure_of(c(1), c(1).elements[b], mine.mode);
                if (other == none || (holds(0, mine.variable) && holds(1, c(1).failures[other].variable))) continue;
                add({.fail = {{.element = *c(0).elements[a].id, .mode = mine.mode}}}, {Event::fail({f}), Event::fail({other})});
            }
        failures_ = steps_.size();
        for (const auto& [a, b] : elements_) {
            const ElementInfo &mine = c(0).elements[a], &others = c(1).elements[b];
            for (std::uint32_t p = 0; mine.at_hand && others.at_hand && p < mine.positions.size(); ++p) {
                const auto other = static_cast<std::uint32_t>(std::ranges::find(others.positions, mine.positions[p]) - others.positions.begin());
                if (other == others.positions.size() || (holds(0, mine.at_hand + p) && holds(1, others.at_hand + other))) continue;
                add({.set = {{*mine.id, std::string(mine.positions[p])}}}, {Event::set({a}, p), Event::set({b}, other)});
            }
        }
        for (std::uint32_t g = 0; g < c(0).givens.size(); ++g) {
            const std::uint32_t other = index_of(c(1).givens, *c(0).givens[g].id);
            for (const bool value : {false, true}) {
                if (other == none || (holds(0, c(0).givens[g].variable) == value && holds(1, c(1).givens[other].variable) == value)) continue;
                add({.given = {{*c(0).givens[g].id, value}}}, {Event::given({g}, value), Event::given({other}, value)});
            }
        }
    }

    // ------------------------------------------------------------- what differs

    Stand stand_before(std::size_t side, std::uint32_t place) const {
        const Judgement& j = before_[side].judged()[functions_[place].index[side]];
        return {j.level, j.mode};
    }

    /// Surely the same: unknown in both may well differ.
    bool same(const Entry<Stand>& e) const {
        if (e.a.level != e.b.level || e.a.level == Level::unknown) return false;
        if (e.a.level == Level::lost) return true;
        return e.a.mode != none && e.b.mode != none && functions_[e.place].same_mode[e.a.mode] == e.b.mode;
    }
    static bool same(const Entry<Status>& e) { return e.a == e.b && e.a != Status::unknown; }

    template <class StandOf>
    Functions functions_in(StandOf stand) const {
        Functions list;
        for (std::uint32_t place = 0; place < functions_.size(); ++place)
            if (const Entry<Stand> e{place, stand(0, place), stand(1, place)}; !same(e)) list.push_back(e);
        return list;
    }

    Elements elements_in(const Outcome& a, const Outcome& b) const {
        Elements list;
        for (std::uint32_t place = 0; place < elements_.size(); ++place)
            if (const Entry<Status> e{place, a.status(ElementHandle{elements_[place][0]}), b.status(ElementHandle{elements_[place][1]})}; !same(e)) list.push_back(e);
        return list;
    }

    template <class T>
    static std::vector<Entry<T>> besides(const std::vector<Entry<T>>& all, const std::vector<Entry<T>>& known) {
        std::vector<Entry<T>> rest;
        std::ranges::set_difference(all, known, std::back_inserter(rest));
        return rest;
    }

    /// Those of `base` that no longer differ, as they then stand.
    template <class T, class StandOf>
    static std::vector<Entry<T>> gone(const std::vector<Entry<T>>& base, const std::vector<Entry<T>>& then, StandOf stand) {
        std::vector<Entry<T>> list;
        for (const Entry<T>& e : base)
            if (std::ranges::find(then, e.place, &Entry<T>::place) == then.end()) list.push_back({e.place, stand(0, e.place), stand(1, e.place)});
        return list;
    }

    // ------------------------------------------------------------- scenarios

    struct Key {
        Functions functions{}, alike{};
        Elements elements{}, elements_alike{};
        bool empty() const { return functions.empty() && alike.empty() && elements.empty() && elements_alike.empty(); }
        auto operator<=>(const Key&) const = default;
    };
    using Places = std::vector<std::uint32_t>;      // of scenarios
    using Stands = std::map<std::uint32_t, Stand>;  // by place of a function

    SweepOptions swept(std::size_t side, std::size_t events) const {
        SweepOptions options{.order = 1, .events = {events_[side].begin(), events_[side].begin() + static_cast<std::ptrdiff_t>(events)}, .goals = {}, .all = true, .modes = true};
        for (const Compared& f : functions_) options.goals.push_back({f.index[side]});
        return options;
    }

    void singles(Comparison& result) {
        if (steps_.empty()) return;
        std::array<std::map<std::uint32_t, Stands>, 2> changed;  // by side and scenario
        for (std::size_t side = 0; side < 2 && !functions_.empty(); ++side)
            for (const SweepHit& hit : Sweep(states_[side], swept(side, steps_.size())).run().hits) changed[side][hit.events[0]][places_[side][hit.goal]] = {hit.level, hit.mode};
        std::map<Key, std::vector<Places>> found;
        for (std::uint32_t s = 0; s < steps_.size(); ++s) {
            const auto stand = [&](std::size_t side, std::uint32_t place) {
                const auto& of = changed[side][s];
                const auto it = of.find(place);
                return it == of.end() ? stand_before(side, place) : it->second;
            };
            const Functions then = functions_in(stand);
            Key key{.functions = besides(then, base_), .alike = gone(base_, then, stand)};
            if (options_.elements) {
                const std::array<Outcome, 2> out{settled(0, s), settled(1, s)};
                const Elements statuses = elements_in(out[0], out[1]);
                key.elements = besides(statuses, base_elements_);
                key.elements_alike = gone(base_elements_, statuses, [&](std::size_t side, std::uint32_t place) { return out[side].status(ElementHandle{elements_[place][side]}); });
            }
            if (s < failures_) single_.push_back(then);
            if (key.empty()) ++result.unchanged;
            else found[std::move(key)].push_back({s});
        }
        result.groups = groups_of(found);
    }

    Outcome settled(std::size_t side, std::uint32_t scenario) const {
        State state = states_[side];
        state.apply(events_[side][scenario]);
        return settle(state);
    }

    /// A few first failures at a time, so that not every pair of a large aircraft is held at once.
    void pairs(Comparison& result) {
        if (failures_ < 2 || functions_.empty()) return;
        const auto shards = static_cast<std::uint32_t>(failures_ / 64 + 1);
        std::map<Key, std::vector<Places>> found;
        for (std::uint32_t shard = 0; shard < shards && result.complete; ++shard) {
            std::map<Places, std::array<Stands, 2>> changed;
            for (std::size_t side = 0; side < 2 && result.complete; ++side) {
                SweepOptions options = swept(side, failures_);
                options.order = 2;
                options.threads = 0;
                options.shard = shard;
                options.shards = shards;
                if (options_.seconds > 0) options.seconds = std::max(1e-9, seconds_left());
                if (options_.progress) options.progress = [this, done = 2 * shard + side, shards](double part) { return options_.progress((static_cast<double>(done) + part) / (2 * shards)); };
                const SweepResult swept = Sweep(states_[side], std::move(options)).run([&](const SweepHit& hit) {
                    if (hit.events[1] != none) changed[{hit.events[0], hit.events[1]}][side][places_[side][hit.goal]] = {hit.level, hit.mode};
                });
                result.complete = swept.complete;
                if (side == 0) result.combinations += swept.combinations;
            }
            // Where one side was cut short, what the other found has nothing to stand beside.
            if (!result.complete) break;
            for (const auto& [pair, stands] : changed)
                if (Key key{.functions = of_pair(pair, stands)}; !key.empty()) found[std::move(key)].push_back(pair);
        }
        for (auto& [key, places] : found) std::ranges::sort(places);
        result.pairs = groups_of(found);
    }

    /// What differs with both failures, and neither as the two stand nor with one of them.
    Functions of_pair(const Places& pair, const std::array<Stands, 2>& stands) const {
        std::set<std::uint32_t> places;
        for (const auto& side : stands)
            for (const auto& [place, stand] : side) places.insert(place);
        Functions list;
        for (const std::uint32_t place : places) {
            const auto stand = [&](std::size_t side) {
                const auto it = stands[side].find(place);
                return it == stands[side].end() ? stand_before(side, place) : it->second;
            };
            const Entry<Stand> e{place, stand(0), stand(1)};
            const auto has = [&](const Functions& known) { return std::ranges::binary_search(known, e); };
            if (!same(e) && !has(base_) && !has(single_[pair[0]]) && !has(single_[pair[1]])) list.push_back(e);
        }
        return list;
    }

    double seconds_left() const { return options_.seconds - std::chrono::duration<double>(std::chrono::steady_clock::now() - begun_).count(); }

    // ------------------------------------------------------------- by name

    FunctionStanding named(std::size_t side, std::uint32_t place, const Stand& stand) const {
        const FunctionInfo& f = c(side).functions[functions_[place].index[side]];
        if (stand.mode == none) return {stand.level, {}, {}};
        return {stand.level, *f.modes[stand.mode].id, mode_name(f.modes[stand.mode])};
    }

    std::vector<FunctionPair> named(const Functions& list) const {
        std::vector<FunctionPair> pairs;
        for (const auto& e : list) pairs.push_back({*c(0).functions[functions_[e.place].index[0]].id, named(0, e.place, e.a), named(1, e.place, e.b)});
        return pairs;
    }

    std::vector<ElementPair> named(const Elements& list) const {
        std::vector<ElementPair> pairs;
        for (const auto& e : list) pairs.push_back({*c(0).elements[elements_[e.place][0]].id, e.a, e.b});
        return pairs;
    }

    std::optional<Severity> worst_of(const Functions& list) const {
        std::optional<Severity> worst;
        for (const auto& e : list) {
            raise(worst, severity_of(c(0).functions[functions_[e.place].index[0]], e.a.level));
            raise(worst, severity_of(c(1).functions[functions_[e.place].index[1]], e.b.level));
        }
        return worst;
    }

    Step together(const Places& places) const {
        Step step = steps_[places.front()];
        for (std::size_t i = 1; i < places.size(); ++i) step.fail.push_back(steps_[places[i]].fail.front());
        return step;
    }

    std::vector<DifferenceGroup> groups_of(const std::map<Key, std::vector<Places>>& found) const {
        std::vector<std::pair<const Key*, const std::vector<Places>*>> order;
        for (const auto& [key, places] : found) order.emplace_back(&key, &places);
        const auto harm = [&](const auto& entry) {
            const auto& [key, places] = entry;
            const auto worst = worst_of(key->functions);
            return std::tuple(key->functions.empty() && key->elements.empty(), worst ? -static_cast<int>(*worst) : 1, -static_cast<std::int64_t>(places->size()), places->front());
        };
        std::ranges::stable_sort(order, {}, harm);
        std::vector<DifferenceGroup> groups;
        for (const auto& [key, places] : order) {
            DifferenceGroup group{.scenarios = {}, .functions = named(key->functions), .alike = named(key->alike), .elements = named(key->elements), .elements_alike = named(key->elements_alike), .worst = worst_of(key->functions)};
            for (const Places& p : *places) group.scenarios.push_back(together(p));
            groups.push_back(std::move(group));
        }
        return groups;
    }

    // ------------------------------------------------------------- what only one has

    std::vector<OnlyOne> only_one() const {
        std::vector<OnlyOne> list;
        for (std::size_t side = 0; side < 2; ++side) one_sided(list, side);
        std::ranges::stable_sort(list, {}, [](const OnlyOne& o) { return std::tie(o.what, o.id, o.word); });
        return list;
    }

    void one_sided(std::vector<OnlyOne>& list, std::size_t side) const {
        using What = OnlyOne::What;
        const Compiled &mine = c(side), &other = c(1 - side);
        const auto add = [&](What what, const std::string& id, std::string word, const std::string& name, bool not_fitted) { list.push_back({what, id, std::move(word), name, side == 0, not_fitted}); };
        for (const ElementInfo& e : mine.elements) {
            const std::uint32_t o = index_of(other.elements, *e.id);
            if (!e.fitted) continue;
            if (o == none || !other.elements[o].fitted) add(What::element, *e.id, {}, e.element->name, o != none);
            else parts(list, side, e, other.elements[o]);
        }
        for (const GivenInfo& g : mine.givens)
            if (index_of(other.givens, *g.id) == none) add(What::given, *g.id, {}, {}, false);
        for (const FunctionInfo& f : mine.functions) {
            const std::uint32_t o = index_of(other.functions, *f.id);
            if (f.modes.empty() || !asked(*f.id)) continue;
            if (o == none || other.functions[o].modes.empty()) add(What::function, *f.id, {}, f.function->name, o != none);
            else
                for (const ModeInfo& m : f.modes)
                    if (std::ranges::none_of(other.functions[o].modes, [&](const ModeInfo& om) { return *om.id == *m.id; }))
                        add(What::mode, *f.id, *m.id, mode_name(m), other.functions[o].function->modes.contains(*m.id));
        }
    }

    /// Of an element both have.
    void parts(std::vector<OnlyOne>& list, std::size_t side, const ElementInfo& mine, const ElementInfo& others) const {
        const auto add = [&](OnlyOne::What what, std::string word) { list.push_back({what, *mine.id, std::move(word), mine.element->name, side == 0, false}); };
        for (std::uint32_t f = mine.failures.first; f < mine.failures.last; ++f)
            if (failure_of(c(1 - side), others, c(side).failures[f].mode) == none) add(OnlyOne::What::failure, c(side).failures[f].mode);
        if (mine.at_hand && !others.at_hand) add(OnlyOne::What::control, {});
        for (const std::string_view position : mine.positions)
            if (mine.at_hand && others.at_hand && std::ranges::find(others.positions, position) == others.positions.end()) add(OnlyOne::What::position, std::string(position));
    }
};

}  // namespace

Comparison compare(const State& a, const State& b, const CompareOptions& options) { return Comparer(a, b, options).run(); }

Comparison compare(const Network& a, const Network& b, const CompareOptions& options) { return compare(running_state(a), running_state(b), options); }

}  // namespace fedfrom
