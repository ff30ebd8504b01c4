#include <fedfrom/study/power_balance.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "figures.hpp"
#include "power_groups.hpp"
#include "words.hpp"

namespace fedfrom {

std::string_view name_of(LoadWindow window) {
    constexpr std::array<std::string_view, 4> names{"continuous", "five_minutes", "five_seconds", "inrush"};
    return names[static_cast<std::size_t>(window)];
}

namespace {

using namespace detail;

using Members = std::vector<std::uint32_t>;

/// A group in all the worlds in which it stands together.
struct GroupStanding {
    Figure demand{}, capacity{};
    std::string_view unit{};
    std::size_t worlds = 0, overloaded = 0;
    bool perhaps = false;

    void add(const PowerGroup& g) {
        demand = worlds == 0 ? figure_of(g.demand) : joined(demand, figure_of(g.demand));
        capacity = figure_of(g.capacity);
        unit = g.unit;
        ++worlds;
        overloaded += g.surely_overloaded();
        perhaps = perhaps || g.perhaps_overloaded();
    }
};

struct Standings {
    std::map<Members, GroupStanding> groups{};
    std::map<Members, GroupStanding> by_share{};  ///< single sources above their rating as they share by rating, in some world
};

/// Those that hold no other of them: with the part of a group that is overloaded gone, the rest may stand.
std::vector<Members> smallest(const std::vector<Members>& groups) {
    std::vector<Members> kept;
    std::ranges::copy_if(groups, std::back_inserter(kept), [&](const Members& group) {
        return std::ranges::none_of(groups, [&](const Members& other) { return other.size() < group.size() && std::ranges::includes(group, other); });
    });
    return kept;
}

bool in_any(const std::vector<Members>& groups, std::uint32_t source) {
    return std::ranges::any_of(groups, [&](const Members& group) { return std::ranges::binary_search(group, source); });
}

class BalanceStudy {
public:
    BalanceStudy(const Outcome& out, const PowerBalanceOptions& options) : c_(out.network().compiled()), b_{.before = out, .after = out, .options = options} {
        check_condition(out.network(), options.condition);
        if (!(options.times_rating > 0) || !std::isfinite(options.times_rating)) throw NotPossible("`times_rating` is above 0: 1 is the rating, 1.5 half as much again.");
    }

    PowerBalance run() {
        remember(b_.after);
        while (play_round()) {}
        b_.difference = difference(b_.before, b_.after);
        b_.missing = missing_texts(c_, gaps_);
        if (!unrated_.empty()) b_.missing.push_back("No rating is given for " + names(c_, unrated_) + "; what they can give is not known.");
        if (!without_volts_.empty()) b_.missing.push_back("No volts are given in the rating of " + names(c_, without_volts_) + "; what they can give in volt-amperes is not known.");
        if (all_unknown_) b_.missing.insert(b_.missing.begin(), "So much never comes to rest that all supply is unknown, and with it every load.");
        else if (hunts_) b_.missing.insert(b_.missing.begin(), "Something never comes to rest; figures cover all it may be.");
        if (!complete_) b_.missing.push_back("Sources stand together in more ways than were tried.");
        b_.decided = b_.possible.empty() && !all_unknown_ && complete_;
        assume();
        return std::move(b_);
    }

private:
    const Compiled& c_;
    PowerBalance b_;
    Gaps gaps_;
    std::set<std::uint32_t> unrated_, without_volts_, moved_;
    std::vector<std::pair<std::vector<One>, Frozen<One>>> seen_;  // what was remembered so far
    bool all_unknown_ = false, hunts_ = false, complete_ = true, faulted_ = false, shares_ = false;

    /// Whether any group was overloaded.
    bool play_round() {
        const Standings standing = standings(b_.after);
        const auto& groups = standing.groups;
        std::vector<Members> overloaded, perhaps;
        const std::size_t worlds = b_.after.worlds().values.size();
        for (const auto& [members, s] : groups) {
            if (s.overloaded == worlds) overloaded.push_back(members);
            if (s.perhaps) perhaps.push_back(members);
        }
        overloaded = smallest(overloaded);
        perhaps = smallest(perhaps);
        for (const Members& members : perhaps)
            if (std::ranges::find(overloaded, members) == overloaded.end()) list_possible(overloading(members, groups.at(members)));
        for (const auto& [source, s] : standing.by_share)
            if (!in_any(overloaded, source.front()) && !in_any(perhaps, source.front())) list_possible(overloading(source, s));
        if (overloaded.empty()) return false;

        BalanceRound round;
        std::set<std::uint32_t> sources;
        for (const Members& members : overloaded) {
            round.overloaded.push_back(overloading(members, groups.at(members)));
            sources.insert(members.begin(), members.end());
        }
        Outcome without = with_overloaded(b_.after.state(), sources, true);
        round.difference = difference(b_.after, without);
        Outcome back = with_overloaded(without.state(), sources, false);
        round.stays_off = remembered(back);
        if (!round.stays_off) note_what_moved(back);
        b_.after = round.stays_off ? std::move(without) : std::move(back);
        remember(b_.after);
        b_.rounds.push_back(std::move(round));
        return true;
    }

    Standings standings(const Outcome& out) {
        Standings all;
        all_unknown_ = all_unknown_ || out.worlds().all_unknown;
        hunts_ = hunts_ || out.worlds().values.size() > 1;
        faulted_ = faulted_ || faulted(out);
        if (out.worlds().all_unknown) return all;
        for (std::size_t w = 0; w < out.worlds().values.size(); ++w) {
            const LoadGraph graph(View(out), w);
            const LoadFlow flow(graph, b_.options.condition);
            shares_ = shares_ || graph.shares();
            gaps_.add(graph.gaps());
            gaps_.add(flow.gaps());
            const PowerGroups here = power_groups(graph, flow, b_.options);
            complete_ = complete_ && here.complete;
            for (const PowerGroup& g : here.list) all.groups[g.members].add(g);
            for (const PowerGroup& g : by_share(out, w, graph, flow, here)) all.by_share[g.members].add(g);
        }
        return all;
    }

    std::vector<PowerGroup> by_share(const Outcome& out, std::size_t world, const LoadGraph& graph, const LoadFlow& flow, const PowerGroups& groups) const {
        if (!helps_out(b_.options.over) || graph.gaps().floating.empty()) return above_rating_by_share(graph, flow, groups, b_.options);
        const LoadGraph with_batteries(View(out), world, LoadGraph::Floating::shares);
        return above_rating_by_share(with_batteries, LoadFlow(with_batteries, b_.options.condition), groups, b_.options);
    }

    Overloading overloading(const Members& members, const GroupStanding& s) const {
        Overloading o{.sources = {}, .names = {}, .demand = s.demand, .capacity = s.capacity, .unit = std::string(s.unit)};
        for (const std::uint32_t e : members) {
            o.sources.push_back(*c_.elements[e].id);
            o.names.push_back(detail::name_of(c_.elements[e]));
        }
        return o;
    }

    void list_possible(Overloading o) {
        for (const std::string& id : o.sources) {
            const std::uint32_t e = index_of(c_.elements, id);
            if (unrated(c_.elements[e])) unrated_.insert(e);
            else if (o.unit == "volt_amperes" && rated_without_volts(c_.elements[e])) without_volts_.insert(e);
        }
        const auto listed = std::ranges::find(b_.possible, o.sources, &Overloading::sources);
        if (listed == b_.possible.end()) b_.possible.push_back(std::move(o));
        else *listed = std::move(o);
    }

    static Outcome with_overloaded(State state, const std::set<std::uint32_t>& sources, bool on) {
        const Compiled& c = state.network().compiled();
        std::vector<One> memory(state.memory().begin(), state.memory().end());
        for (const std::uint32_t e : sources) memory[c.elements[e].overloaded] = One::filled(on);
        state.remember(memory, Frozen<One>(c));
        return settle(state);
    }

    /// What held itself in before the round and does not with voltage back, and what remembers another position.
    void note_what_moved(const Outcome& back) {
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            const ElementInfo& info = c_.elements[e];
            const auto changed = [&](Variable v) { return any(b_.after.state().memory()[v]) != any(back.state().memory()[v]); };
            bool moved = info.holding && changed(info.holding);
            for (std::uint32_t p = 0; info.memory && p < info.positions.size(); ++p) moved = moved || changed(info.held + p);
            if (moved) moved_.insert(e);
        }
    }

    void remember(const Outcome& out) { seen_.emplace_back(std::vector<One>(out.state().memory().begin(), out.state().memory().end()), out.state().frozen()); }

    bool remembered(const Outcome& out) const {
        return std::ranges::any_of(seen_, [&](const auto& was) { return std::ranges::equal(was.first, out.state().memory()) && was.second == out.state().frozen(); });
    }

    void assume() {
        auto& list = b_.assumptions;
        list = load_assumptions(c_, gaps_, faulted_);
        list.push_back("Sources that stand together on a part of the supply give what they are rated at together, a battery that floats beside others with them.");
        if (shares_) list.push_back("How sources divide what more than one of them could carry is not known: one that carries more than it is rated at, if they share by their ratings, is listed as not decided.");
        if (shares_) list.push_back("Converters whose outputs are in parallel share by their ratings.");
        if (b_.options.times_rating != 1) list.push_back("Each gives " + number_text(b_.options.times_rating) + " times its rating for as long as the load lasts.");
        list.push_back("Where more rests on them they give no voltage at all, until what holds itself in has dropped out; a load that is on again as voltage comes back keeps them off line until they are reset.");
        if (!moved_.empty()) list.push_back("The answer hangs on what dropped out or moved while there was no voltage: " + names(c_, moved_) + ". Were voltage back before that, or not everywhere at once, other loads may be on.");
        if (b_.options.over != LoadWindow::continuous) list.push_back("An intermittent load is still on when voltage comes back.");
    }
};

}  // namespace

PowerBalance power_balance(const Outcome& outcome, const PowerBalanceOptions& options) { return BalanceStudy(outcome, options).run(); }

PowerBalance power_balance(const State& state, const PowerBalanceOptions& options) {
    State copy = state;
    return power_balance(settle(copy), options);
}

PowerBalance power_balance(const Network& net, const PowerBalanceOptions& options) { return power_balance(running_state(net), options); }

}  // namespace fedfrom
