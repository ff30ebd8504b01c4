#include "implied.hpp"

#include <algorithm>

namespace fedfrom::detail {

void Implied::add_supply(std::uint32_t e) { follow({e}); }

void Implied::add_port(std::uint32_t port) {
    std::vector<std::uint32_t> upstream;
    take_port(port, upstream);
    follow(std::move(upstream));
}

void Implied::add_way(std::uint32_t feed) {
    std::vector<std::uint32_t> upstream;
    take_way(feed, upstream);
    follow(std::move(upstream));
}

void Implied::add(const Condition& condition) {
    std::vector<std::uint32_t> upstream;
    take(condition, upstream);
    follow(std::move(upstream));
}

/// All that must hold where these are supplied.
void Implied::follow(std::vector<std::uint32_t> todo) {
    while (!todo.empty()) {
        const std::uint32_t e = todo.back();
        todo.pop_back();
        if (supplied_[e]) continue;
        supplied_[e] = true;
        const ElementInfo& it = c_.elements[e];
        if (it.element->needs) take(*it.element->needs, todo);
        for (std::uint32_t p = it.ports.first; p < it.ports.last; ++p) take_port(p, todo);
    }
}

/// Only where every way in must be live: one of one, or as many as a voter needs.
void Implied::take_port(std::uint32_t port, std::vector<std::uint32_t>& upstream) {
    const PortInfo& p = c_.ports[port];
    if (p.feeds.size() != (p.join == Port::Join::at_least ? p.count : 1)) return;
    for (std::uint32_t f = p.feeds.first; f < p.feeds.last; ++f) take_way(f, upstream);
}

void Implied::take_way(std::uint32_t feed, std::vector<std::uint32_t>& upstream) {
    const FeedInfo& f = c_.feeds[feed];
    for (std::uint32_t d = f.devices.first; d < f.devices.last; ++d) passes_.push_back({c_.devices[d].element, c_.devices[d].positions, c_.ports[f.port].medium, c_.devices[d].passes});
    upstream.push_back(f.upstream);
}

void Implied::take(const Condition& condition, std::vector<std::uint32_t>& upstream) {
    if (condition.op == Condition::Op::all || (condition.op == Condition::Op::any && condition.of.size() == 1)) {
        for (const Condition& part : condition.of) take(part, upstream);  // conditions nest 24 deep at most
        return;
    }
    if (condition.op == Condition::Op::supplied) {
        const std::uint32_t e = index_of(c_.elements, condition.id);
        if (c_.elements[e].fitted) upstream.push_back(e);
    }
    conditions_.push_back(condition);
}

bool Implied::port(std::uint32_t port) const {
    const PortInfo& p = c_.ports[port];
    if (p.supplied == always) return true;
    std::uint32_t live = 0;
    for (std::uint32_t f = p.feeds.first; f < p.feeds.last; ++f) live += way(f);
    return live >= (p.join == Port::Join::at_least ? p.count : 1);
}

bool Implied::way(std::uint32_t feed) const {
    const FeedInfo& f = c_.feeds[feed];
    if (!supplied_[f.upstream]) return false;
    for (std::uint32_t d = f.devices.first; d < f.devices.last; ++d) {
        const DeviceAt& device = c_.devices[d];
        const bool passes = std::ranges::any_of(passes_, [&](const Pass& p) {
            if (p.element != device.element || p.medium != c_.ports[f.port].medium) return false;
            return p.passes == device.passes || (p.positions != 0 && (p.positions & ~device.positions) == 0);
        });
        if (!passes) return false;
    }
    return true;
}

bool Implied::holds(const Condition& x) const {
    using Op = Condition::Op;
    const auto part_holds = [&](const Condition& part) { return holds(part); };
    if (std::ranges::find(conditions_, x) != conditions_.end()) return true;
    switch (x.op) {
        case Op::all: return std::ranges::all_of(x.of, part_holds);
        case Op::any: return std::ranges::any_of(x.of, part_holds);
        case Op::at_least: return std::ranges::count_if(x.of, part_holds) >= x.count;
        case Op::supplied: return supplied_[index_of(c_.elements, x.id)];
        case Op::level:  // normal is at least degraded
            return std::ranges::any_of(conditions_, [&](const Condition& known) { return known.op == Op::level && known.id == x.id && known.word == name_of(Level::normal); });
        default: return false;
    }
}

}  // namespace fedfrom::detail
