#include "power_groups.hpp"

#include <algorithm>
#include <array>
#include <iterator>
#include <map>
#include <set>

namespace fedfrom::detail {

namespace {

using Members = std::vector<std::uint32_t>;

constexpr std::size_t most_groups = 1024;

Members members_of_both(const Members& a, const Members& b) {
    Members all;
    std::ranges::set_union(a, b, std::back_inserter(all));
    return all;
}

bool overlap(const Members& a, const Members& b) {
    return std::ranges::any_of(a, [&](std::uint32_t e) { return std::ranges::binary_search(b, e); });
}

bool nothing(LoadWindow window, const Draw& draw) {
    switch (window) {
        case LoadWindow::continuous: return draw.continuous.nothing();
        case LoadWindow::five_minutes: return draw.five_minutes.nothing();
        case LoadWindow::five_seconds: return draw.five_seconds.nothing();
        case LoadWindow::inrush: break;
    }
    return draw.five_seconds.nothing() && draw.inrush.nothing();
}

/// What is drawn, by the sources and converters it can come from.
std::map<Members, Draw> drawn_from(const LoadGraph& graph, const LoadFlow& flow, LoadWindow window) {
    const Compiled& c = graph.compiled();
    std::map<Members, Draw> drawn;
    const auto add = [&](const Members& from, const Draw& draw) {
        if (!nothing(window, draw)) drawn[from] += draw;
    };
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        if (!graph.takes(e) && !graph.supplied(e)) continue;
        const LoadGraph::Part& part = graph.parts()[graph.part_of(e)];
        const bool converts = is_converter(*c.elements[e].element) && !graph.is_source(e);
        if (converts && part.members.size() == 1) {
            Members from;
            for (const LoadGraph::Edge& edge : part.from) from = members_of_both(from, graph.behind(edge.upstream));
            add(from, flow.taken_by(e));
        } else {
            add(graph.behind(e), flow.own(e));
            if (converts) add(graph.behind(e), Draw::unknown());  // it takes from the ring that it feeds
        }
    }
    return drawn;
}

/// The sets, and every union of some that overlap.
std::vector<Members> with_unions(std::vector<Members> sets, bool& complete) {
    std::set<Members> known(sets.begin(), sets.end());
    for (std::size_t i = 1; i < sets.size(); ++i)
        for (std::size_t j = 0; j < i; ++j) {
            if (!overlap(sets[i], sets[j])) continue;
            Members both = members_of_both(sets[i], sets[j]);
            if (!known.insert(both).second) continue;
            if (sets.size() >= most_groups) {
                complete = false;
                return sets;
            }
            sets.push_back(std::move(both));
        }
    return sets;
}

std::optional<double> rating(const ElementInfo& e, std::string_view name) {
    const auto found = e.element->rating.find(name);
    return unrated(e) || found == e.element->rating.end() ? std::nullopt : std::optional(found->second);
}

std::optional<double> rated_volt_amperes(const ElementInfo& e) {
    if (const auto va = rating(e, "volt_amperes")) return va;
    const auto amps = rating(e, "amps"), volts = rating(e, "volts");
    return amps && volts ? std::optional(*amps * *volts) : std::nullopt;
}

/// What a group can give, in the unit its members are rated in.
class Capacity {
public:
    Capacity(const LoadGraph& graph, const Members& members) : c_(graph.compiled()), members_(members), volts_(graph.volts(members.front())) {
        bool alike = true, in_amps = true, in_watts = true;
        for (const std::uint32_t e : members_) {
            alike = alike && graph.volts(e) == volts_;
            if (unrated(c_.elements[e])) continue;
            in_amps = in_amps && rating(c_.elements[e], "amps");
            in_watts = in_watts && !rating(c_.elements[e], "amps") && !rating(c_.elements[e], "volt_amperes");
        }
        if (!alike) volts_.reset();
        unit_ = in_amps && alike ? Unit::amps : in_watts ? Unit::watts : Unit::volt_amperes;
    }

    std::string_view unit() const { return std::array<std::string_view, 3>{"amps", "volt_amperes", "watts"}[static_cast<std::size_t>(unit_)]; }

    /// Their ratings; open above where one has none in this unit. A battery that floats helps out for seconds: for longer it is not
    /// known, since it runs empty.
    Span sum(LoadWindow window) const {
        const bool all_batteries = std::ranges::all_of(members_, [&](std::uint32_t e) { return is_battery(e); });
        Span all;
        for (const std::uint32_t e : members_) {
            const ElementInfo& info = c_.elements[e];
            const auto one = unit_ == Unit::amps ? rating(info, "amps") : unit_ == Unit::watts ? rating(info, "watts") : rated_volt_amperes(info);
            const bool sure = helps_out(window) || all_batteries || !is_battery(e);
            all += one ? Span{sure ? *one : 0, *one} : Span::at_least(0);
        }
        return all;
    }

    Span of(const Power& p) const { return unit_ == Unit::amps ? amps_of(p, volts_) : unit_ == Unit::watts ? watts_of(p, volts_) : volt_amperes_of(p, volts_); }

private:
    enum class Unit : std::uint8_t { amps, volt_amperes, watts };

    const Compiled& c_;
    const Members& members_;
    bool is_battery(std::uint32_t e) const { return c_.elements[e].element->kind == Kind::battery; }

    std::optional<double> volts_;  // of all of them
    Unit unit_ = Unit::amps;
};

Span over(LoadWindow window, const Draw& draw, const Capacity& capacity) {
    switch (window) {
        case LoadWindow::continuous: return capacity.of(draw.continuous);
        case LoadWindow::five_minutes: return capacity.of(draw.five_minutes);
        case LoadWindow::five_seconds: return capacity.of(draw.five_seconds);
        case LoadWindow::inrush: break;
    }
    return capacity.of(draw.five_seconds) + capacity.of(draw.inrush);
}

}  // namespace

bool unrated(const ElementInfo& source) { return !source.overloaded; }

bool rated_without_volts(const ElementInfo& source) { return rating(source, "amps") && !rated_volt_amperes(source); }

bool helps_out(LoadWindow window) { return window == LoadWindow::five_seconds || window == LoadWindow::inrush; }

PowerGroups power_groups(const LoadGraph& graph, const LoadFlow& flow, const PowerBalanceOptions& options) {
    const std::map<Members, Draw> drawn = drawn_from(graph, flow, options.over);
    std::vector<Members> sets;
    for (const auto& [from, draw] : drawn) sets.push_back(from);
    PowerGroups groups;
    for (Members& members : with_unions(std::move(sets), groups.complete)) {
        Draw all;
        for (const auto& [from, draw] : drawn)
            if (std::ranges::includes(members, from)) all += draw;
        const Capacity capacity(graph, members);
        PowerGroup group{.demand = over(options.over, all, capacity), .capacity = capacity.sum(options.over) * Span::exactly(options.times_rating), .unit = capacity.unit()};
        group.members = std::move(members);
        groups.list.push_back(std::move(group));
    }
    return groups;
}

std::vector<PowerGroup> above_rating_by_share(const LoadGraph& graph, const LoadFlow& flow, const PowerGroups& groups, const PowerBalanceOptions& options) {
    const Compiled& c = graph.compiled();
    std::vector<PowerGroup> list;
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        if (unrated(c.elements[e]) || !(graph.is_source(e) || is_converter(*c.elements[e].element))) continue;
        PowerGroup alone{.members = {e}};
        const Capacity capacity(graph, alone.members);
        alone.capacity = capacity.sum(options.over) * Span::exactly(options.times_rating);
        alone.unit = capacity.unit();
        alone.demand = over(options.over, flow.through(e), capacity);
        if (!alone.perhaps_overloaded()) continue;
        const auto resting = std::ranges::find(groups.list, alone.members, &PowerGroup::members);
        alone.demand.low = resting == groups.list.end() ? 0 : resting->demand.low;
        list.push_back(std::move(alone));
    }
    return list;
}

}  // namespace fedfrom::detail
