/// How far a short, a leak or a jam drags things down, and what trips (rules M7 to M11).
///
/// Rounds: everything alive that a dragged-down thing is connected to trips the
/// first working protecting device on the way, or is dragged down itself. All
/// connections of a round see the same picture, so their order means nothing.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/network/compiled.hpp>
#include <fedfrom/solve/by_variable.hpp>
#include <fedfrom/solve/evaluation.hpp>

namespace fedfrom::detail {

/// Whether feed `f` is live by a supply that does not run through its own element
/// (rule M9); a fault in a device on the way does not count here. `values`: an evaluation with positions as
/// they stand, left as it was.
template <class W>
W live_without_itself(const Compiled& c, Evaluator<W>& evaluator, std::span<W> values, std::vector<W>& scratch, std::uint32_t f) {
    const FeedInfo& feed = c.feeds[f];
    const ElementInfo& e = c.elements[c.ports[feed.port].element];
    const auto live_now = [&] { return Evaluator<W>::read(values, c.elements[feed.upstream].supplied) & Evaluator<W>::read(values, feed.path); };
    const W live = live_now();
    const Component& loop = c.program.components[e.component];
    if (!loop.cyclic || c.elements[feed.upstream].component != e.component) return live;
    const W risk = live & Evaluator<W>::read(values, e.supplied);
    if (!any(risk)) return live;
    const auto in_loop = values.subspan(c.program.output(loop.first), loop.last - loop.first);
    scratch.assign(in_loop.begin(), in_loop.end());
    evaluator.template loop<true>(values, loop, e.gate);
    const W without = live & (live_now() | ~risk);
    std::copy(scratch.begin(), scratch.end(), in_loop.begin());
    return without;
}

template <class W>
class Spreader {
public:
    Spreader(const Compiled& c, Evaluation<W>& now) : c_(c), now_(now), traced_(c), zone_(c.zones.size()), next_(c.zones.size()), trips_(c.elements.size()), is_reached_(c.zones.size()) {
        scratch_.reserve(c.program.longest_loop());
        reached_.reserve(c.zones.size());
        tripping_.reserve(c.elements.size());
        std::vector<std::pair<Variable, std::uint32_t>> from;
        for (std::uint32_t l = 0; l < c.links.size(); ++l) from.emplace_back(c.links[l].from_zone, l);
        links_from_ = ByVariable(from, static_cast<std::uint32_t>(c.zones.size()));
        for (std::uint32_t z = 0; z < c.zones.size(); ++z)
            if (c.zones[z].seed != never) seeded_.push_back(z);
        is_seed_.resize(seeded_.size());
        seeds_.reserve(seeded_.size());
    }

    /// Traced: every trial begins the loops with positions anew, so that what they go through on the way does not hang on what else changes. With readers.
    void trace(bool traced) {
        loops_.clear();
        for (const Component& loop : c_.program.logic_components())
            if (traced && loop.cyclic && has_positions(loop) && is_followed(loop)) loops_.push_back(loop.first);
    }

    /// How many zones there are in which a fault may begin.
    std::uint32_t seeded() const { return static_cast<std::uint32_t>(seeded_.size()); }
    /// In one of them that may have changed.
    void look_at_seed(std::uint32_t i) {
        if (is_seed_[i]) std::erase(seeds_, i);
        is_seed_[i] = any(now_.value(c_.zones[seeded_[i]].seed));
        if (is_seed_[i]) seeds_.push_back(i);
    }
    /// Those in which one does begin, as far as they were looked at.
    std::span<const std::uint32_t> seeds() const { return seeds_; }
    void put_back_seeds(std::span<const std::uint32_t> seeds) {
        for (const std::uint32_t i : seeds_) is_seed_[i] = false;
        seeds_.assign(seeds.begin(), seeds.end());
        for (const std::uint32_t i : seeds_) is_seed_[i] = true;
    }

    /// From an evaluation, the zone: nothing but what is `reached`. The evaluation is left as it was.
    const std::vector<W>& run() {
        run_hot<W>([this] { spread(); });
        return zone_;
    }

    W trips(std::uint32_t element) const { return trips_[element]; }
    /// What tripped in the last run.
    std::span<const std::uint32_t> tripping() const { return tripping_; }

    /// Zones reached in any state since `forget`, in the order they were.
    std::span<const std::uint32_t> reached() const { return reached_; }
    void forget() {
        for (const std::uint32_t z : reached_) {
            zone_[z] = next_[z] = W::filled(false);
            is_reached_[z] = false;
        }
        reached_.clear();
    }
    void reach(std::uint32_t z) {
        if (is_reached_[z]) return;
        is_reached_[z] = true;
        reached_.push_back(z);
    }

private:
    const Compiled& c_;
    Evaluation<W>& now_;
    const Traced traced_;
    std::vector<W> zone_, next_, trips_, scratch_;
    std::vector<std::uint8_t> is_reached_, is_seed_;
    std::vector<std::uint32_t> reached_, tripping_;
    std::vector<std::uint32_t> seeded_;  // zones in which a fault may begin
    std::vector<std::uint32_t> seeds_;   // by place among them: those in which one does
    ByVariable links_from_;  // by zone
    std::vector<std::uint32_t> loops_;   // begun anew in each trial, by first gate

    bool has_positions(const Component& loop) const {
        return std::any_of(c_.program.gates.begin() + loop.first, c_.program.gates.begin() + loop.last, [](const Gate& g) { return g.position; });
    }
    bool is_followed(const Component& loop) const {
        const auto reads = [&](Literal l) { return std::ranges::find(now_.readers()->of(l.variable()), loop.first) != now_.readers()->of(l.variable()).end(); };
        return std::any_of(c_.program.operands.begin() + c_.program.gates[loop.first].first, c_.program.operands.begin() + c_.program.gates[loop.last - 1].last, reads);
    }

    void spread() {
        for (const std::uint32_t z : reached_) zone_[z] = next_[z] = W::filled(false);
        for (const std::uint32_t i : seeds_) {
            const std::uint32_t z = seeded_[i];
            reach(z);
            zone_[z] = next_[z] = now_.value(c_.zones[z].seed);
        }
        for (const std::uint32_t e : tripping_) trips_[e] = W::filled(false);
        tripping_.clear();
        now_.begin_trial();
        for (const std::uint32_t loop : loops_) now_.look_again(loop);
        for (bool grew = true; grew;) {
            for (const std::uint32_t z : reached_) now_.put_in_trial(c_.zones[z].variable, zone_[z]);
            now_.run_trial();
            for (std::size_t i = 0, reached = reached_.size(); i < reached; ++i)
                if (any(zone_[reached_[i]]))
                    for (const std::uint32_t l : links_from_.of(reached_[i])) along(l);
            grew = false;
            for (const std::uint32_t z : reached_) {
                grew |= zone_[z] != next_[z];
                zone_[z] = next_[z];
            }
        }
        now_.end_trial();
    }

    void along(std::uint32_t l) {
        const Link& link = c_.links[l];
        const ZoneInfo& from = c_.zones[link.from_zone];
        W fault = zone_[link.from_zone];
        if (link.seed_only || row(c_.elements[from.element].element->kind).isolates) fault &= now_.before_trial(from.seed);
        if (!any(fault)) return;
        fault &= now_.value(c_.elements[link.to].supplied);
        for (std::uint32_t i = link.conducts.first; i < link.conducts.last; ++i) fault &= now_.before_trial(c_.link_literals[i]);
        if (!any(fault)) return;
        if (link.feed != none) fault &= connected(link.feed);
        now_.note(traced_.links + l, fault);
        for (std::uint32_t i = link.devices.first; i < link.devices.last; ++i) {
            const std::uint32_t device = c_.link_devices[i];
            const W trip = fault & now_.before_trial(c_.elements[device].works);
            if (!any(trip)) continue;
            if (!any(trips_[device])) tripping_.push_back(device);
            trips_[device] |= trip;
            fault &= ~trip;
        }
        if (!any(fault)) return;
        now_.note(traced_.past + l, fault);
        now_.note(traced_.zones + link.to_zone, zone_[link.to_zone] | fault);
        reach(link.to_zone);
        next_[link.to_zone] |= fault;
    }

    /// Of a port with several alternatives only the live one is connected; while none is, all that pass are.
    W connected(std::uint32_t f) {
        const PortInfo& port = c_.ports[c_.feeds[f].port];
        if (!port.changeover) return W::filled(true);
        W mine = W::filled(false), plain = mine, earlier = mine;
        for (std::uint32_t i = port.feeds.first; i < port.feeds.last; ++i) {
            const W live = live_without_itself<W>(c_, now_.evaluator(), now_.values(), scratch_, i);
            if (c_.feeds[i].origin == FeedInfo::Origin::feed) plain |= live & ~earlier;
            if (i == f) mine = live & ~earlier;
            earlier |= live;
        }
        return mine | ~plain;
    }
};

}  // namespace fedfrom::detail
