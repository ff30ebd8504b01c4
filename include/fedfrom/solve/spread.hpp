/// How far a short, a leak or a jam drags things down, and what trips (rules M7 to M11).
///
/// Rounds: everything alive that a dragged-down thing is connected to trips the
/// first working protecting device on the way, or is dragged down itself. All
/// connections of a round see the same picture, so their order means nothing.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/network/compiled.hpp>
#include <fedfrom/solve/evaluate.hpp>

namespace fedfrom::detail {

/// Whether feed `f` is live by a supply that does not run through its own element
/// (rule M9); a fault in a device on the way does not count here. `values`: an evaluation; `positions_stay`: how it was made.
template <class W>
W live_without_itself(const Compiled& c, Evaluator<W>& evaluator, std::span<const W> values, std::vector<W>& scratch, std::uint32_t f, bool positions_stay) {
    const FeedInfo& feed = c.feeds[f];
    const ElementInfo& e = c.elements[c.ports[feed.port].element];
    const auto live_in = [&](std::span<const W> v) {
        return Evaluator<W>::read(v, c.elements[feed.upstream].supplied) & Evaluator<W>::read(v, feed.path);
    };
    const W live = live_in(values);
    const Component& loop = c.program.components[e.component];
    if (!loop.cyclic || c.elements[feed.upstream].component != e.component) return live;
    const W risk = live & Evaluator<W>::read(values, e.supplied);
    if (!any(risk)) return live;
    scratch.assign(values.begin(), values.end());
    evaluator.loop_without(scratch, loop, e.gate, positions_stay);
    return live & (live_in(scratch) | ~risk);
}

template <class W>
class Spreader {
public:
    Spreader(const Compiled& c, Evaluator<W>& evaluator) : c_(c), evaluator_(evaluator), zone_(c.zones.size()), next_(c.zones.size()), trips_(c.elements.size()) {}

    /// From an evaluation, the zone; what tripped is in `trips`, by element.
    const std::vector<W>& run(std::span<const W> values) {
        for (std::size_t z = 0; z < zone_.size(); ++z) zone_[z] = Evaluator<W>::read(values, c_.zones[z].seed);
        for (const std::uint32_t e : c_.protecting) trips_[e] = W::filled(false);
        alive_.assign(values.begin(), values.end());
        do {
            for (std::size_t z = 0; z < zone_.size(); ++z) alive_[c_.zones[z].variable] = zone_[z];
            evaluator_.supply(alive_);
            next_ = zone_;
            for (const Link& link : c_.links) along(link, values);
            std::swap(zone_, next_);
        } while (zone_ != next_);
        return zone_;
    }

    W trips(std::uint32_t element) const { return trips_[element]; }

private:
    const Compiled& c_;
    Evaluator<W>& evaluator_;
    std::vector<W> zone_, next_, trips_, alive_, scratch_;

    W alive(Literal l) const { return Evaluator<W>::read(alive_, l); }

    void along(const Link& link, std::span<const W> values) {
        const ZoneInfo& from = c_.zones[link.from_zone];
        W fault = zone_[link.from_zone];
        if (link.seed_only || row(c_.elements[from.element].element->kind).isolates) fault &= Evaluator<W>::read(values, from.seed);
        if (!any(fault)) return;
        fault &= alive(c_.elements[link.to].supplied);
        for (std::uint32_t i = link.conducts.first; i < link.conducts.last; ++i) fault &= Evaluator<W>::read(values, c_.link_literals[i]);
        if (!any(fault)) return;
        if (link.feed != none) fault &= connected(link.feed);
        for (std::uint32_t i = link.devices.first; i < link.devices.last; ++i) {
            const std::uint32_t device = c_.link_devices[i];
            const W trip = fault & Evaluator<W>::read(values, c_.elements[device].works);
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
            const W live = live_without_itself<W>(c_, evaluator_, alive_, scratch_, i, true);
            if (c_.feeds[i].origin == FeedInfo::Origin::feed) plain |= live & ~earlier;
            if (i == f) mine = live & ~earlier;
            earlier |= live;
        }
        return mine | ~plain;
    }
};

}  // namespace fedfrom::detail
