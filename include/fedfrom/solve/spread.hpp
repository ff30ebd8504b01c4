/// How far a short, a leak or a jam drags things down, and what trips (rules M7 to M11).
///
/// Rounds: everything alive that a dragged-down thing is connected to trips the
/// first working protecting device on the way, or is dragged down itself. All
/// connections of a round see the same picture, so their order means nothing.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/network/compiled.hpp>
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
    Spreader(const Compiled& c, Evaluation<W>& now) : c_(c), now_(now), zone_(c.zones.size()), next_(c.zones.size()), trips_(c.elements.size()) {
        scratch_.reserve(c.program.longest_loop());
    }

    /// From an evaluation, the zone; what tripped is in `trips`, by element. The evaluation is left as it was.
    const std::vector<W>& run() {
        for (std::size_t z = 0; z < zone_.size(); ++z) zone_[z] = now_.value(c_.zones[z].seed);
        for (const std::uint32_t e : c_.protecting) trips_[e] = W::filled(false);
        now_.begin_trial();
        do {
            for (std::size_t z = 0; z < zone_.size(); ++z) now_.put_in_trial(c_.zones[z].variable, zone_[z]);
            now_.run_trial();
            next_ = zone_;
            for (const Link& link : c_.links) along(link);
            std::swap(zone_, next_);
        } while (zone_ != next_);
        now_.end_trial();
        return zone_;
    }

    W trips(std::uint32_t element) const { return trips_[element]; }

private:
    const Compiled& c_;
    Evaluation<W>& now_;
    std::vector<W> zone_, next_, trips_, scratch_;

    void along(const Link& link) {
        const ZoneInfo& from = c_.zones[link.from_zone];
        W fault = zone_[link.from_zone];
        if (link.seed_only || row(c_.elements[from.element].element->kind).isolates) fault &= now_.before_trial(from.seed);
        if (!any(fault)) return;
        fault &= now_.value(c_.elements[link.to].supplied);
        for (std::uint32_t i = link.conducts.first; i < link.conducts.last; ++i) fault &= now_.before_trial(c_.link_literals[i]);
        if (!any(fault)) return;
        if (link.feed != none) fault &= connected(link.feed);
        for (std::uint32_t i = link.devices.first; i < link.devices.last; ++i) {
            const std::uint32_t device = c_.link_devices[i];
            const W trip = fault & now_.before_trial(c_.elements[device].works);
            trips_[device] |= trip;
            fault &= ~trip;
        }
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
