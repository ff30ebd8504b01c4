/// Compile step 4: what a fault can run along, one way and one medium a link (rule M8).
#pragma once

#include <span>

#include <fedfrom/network/draft.hpp>

namespace fedfrom::detail {

class Links {
public:
    explicit Links(Draft& draft) : d_(draft), out_(draft.out) {}

    void run() {
        for (std::uint32_t f = 0; f < out_.feeds.size(); ++f) {
            const FeedInfo& feed = out_.feeds[f];
            if (out_.ports[feed.port].medium == none) continue;
            if (feed.origin == FeedInfo::Origin::feed) along_feed(f);
            if (feed.origin == FeedInfo::Origin::backwards) up_backwards(feed);
            if (feed.origin == FeedInfo::Origin::tie) along_tie(feed);
        }
    }

private:
    Draft& d_;
    Compiled& out_;
    using Devices = std::span<const DeviceAt>;
    /// Devices in the order a fault meets them.
    struct Way {
        Devices devices;
        bool backwards = false;
        std::size_t size() const { return devices.size(); }
        const DeviceAt& operator[](std::size_t i) const { return devices[backwards ? size() - 1 - i : i]; }
    };

    void along_feed(std::uint32_t f) {
        const FeedInfo& feed = out_.feeds[f];
        const PortInfo& port = out_.ports[feed.port];
        const std::uint32_t e = port.element, m = port.medium;
        const bool out_only = own_circuit(port);
        const bool comes_back = d_.kind(e).conductor && !out_only;
        const Devices down = via(feed);
        add({.from_zone = d_.zone(e, m), .to = feed.upstream, .seed_only = out_only, .feed = f}, m, {down, true}, false);
        if (comes_back) add({.from_zone = d_.zone(feed.upstream, m), .to = e, .feed = f}, m, {down}, true);
        // Wired to both sides whichever alternative is in use, so no feed decides.
        from_devices(down, m, feed.upstream, comes_back ? e : none, true);
    }

    /// What shorted diodes let in, they let out.
    void up_backwards(const FeedInfo& feed) {
        const PortInfo& port = out_.ports[feed.port];
        const Devices down = via(feed);
        add({.from_zone = d_.zone(port.element, port.medium), .to = feed.upstream}, port.medium, {down, true}, true);
    }

    /// Each end's feed gives the way from the other end to this one, so both together run both ways.
    void along_tie(const FeedInfo& feed) {
        const PortInfo& port = out_.ports[feed.port];
        const std::uint32_t e = port.element, m = port.medium;
        const Devices towards = via(feed);
        add({.from_zone = d_.zone(feed.upstream, m), .to = e}, m, {towards}, false);
        const bool other_has_none = out_.elements[feed.upstream].ports.size() == 0;
        if (other_has_none) add({.from_zone = d_.zone(e, m), .to = feed.upstream}, m, {towards, true}, false);
        from_devices(towards, m, other_has_none ? feed.upstream : none, e, false);
    }

    Devices via(const FeedInfo& feed) const {
        return std::span(out_.devices).subspan(feed.devices.first, feed.devices.size());
    }

    /// Where a fault can begin in one of the devices: towards the end before them and the one behind, `none` for neither.
    void from_devices(Devices devices, std::uint32_t medium, std::uint32_t before, std::uint32_t behind, bool against_diodes) {
        for (std::size_t d = 0; d < devices.size(); ++d) {
            const std::uint32_t z = d_.zone(devices[d].element, medium);
            if (!begins(z)) continue;
            if (before != none) add({.from_zone = z, .to = before, .seed_only = true}, medium, {devices.first(d), true}, false);
            if (behind != none) add({.from_zone = z, .to = behind, .seed_only = true}, medium, {devices.subspan(d + 1)}, against_diodes);
        }
    }

    bool begins(std::uint32_t z) const { return z != none && out_.zones[z].seed != never; }

    void add(Link link, std::uint32_t medium, Way way, bool against_diodes) {
        link.to_zone = d_.zone(link.to, medium);
        if (link.from_zone == none || link.to_zone == none) return;
        if (link.seed_only && !begins(link.from_zone)) return;
        link.conducts.first = static_cast<std::uint32_t>(out_.link_literals.size());
        link.devices.first = static_cast<std::uint32_t>(out_.link_devices.size());
        for (std::size_t i = 0; i < way.size(); ++i) {
            const DeviceAt& device = way[i];
            const ElementInfo& info = out_.elements[device.element];
            if (device.passes != always) out_.link_literals.push_back(device.passes);
            if (against_diodes && d_.kind(device.element).one_way) out_.link_literals.push_back(d_.failed(device.element, Asked::short_));
            if (info.tripped) out_.link_devices.push_back(device.element);
        }
        link.conducts.last = static_cast<std::uint32_t>(out_.link_literals.size());
        link.devices.last = static_cast<std::uint32_t>(out_.link_devices.size());
        out_.links.push_back(link);
    }
};

}  // namespace fedfrom::detail
