/// Compile step 1: elements, ports, feeds and ties, without what is not fitted.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include <fedfrom/network/draft.hpp>

namespace fedfrom::detail {

class Wiring {
public:
    explicit Wiring(Draft& draft) : d_(draft), out_(draft.out), model_(draft.out.model) {}

    void run() {
        list_elements();
        place_ties();
        for (std::uint32_t e = 0; e < out_.elements.size(); ++e) wire(e);
        conduct_backwards();
        lay_out_feeds();
    }

private:
    Draft& d_;
    Compiled& out_;
    const Model& model_;
    struct TieEnd {
        std::uint32_t tie, other;
        bool placed = false;
    };
    std::vector<std::vector<TieEnd>> ends_;            // by element
    std::vector<bool> tied_;                           // by element: the author tied it, whatever is fitted
    std::vector<std::vector<FeedInfo>> feeds_;         // by port, until all are known

    void list_elements() {
        out_.elements.reserve(model_.elements.size());
        for (const auto& [id, e] : model_.elements) {
            ElementInfo info;
            info.id = &id;
            info.element = &e;
            info.fitted = e.fitted;
            info.positions = positions_of(e);
            out_.elements.push_back(std::move(info));
        }
        for (const auto& [id, tie] : model_.ties) out_.ties.push_back({&id, &tie});
        for (std::uint32_t e = 0; e < out_.elements.size(); ++e) {
            ElementInfo& info = out_.elements[e];
            if (info.positions.empty()) continue;
            const Element& written = *info.element;
            info.rest = d_.position(e, rest_of(written));
            for (const std::string& word : passes_in_of(written)) info.passes_in |= d_.position_bit(e, word);
            info.memory = has_memory(written);
            info.hand = reach_of(written) != Reach::nobody;
            info.blanked_by_loss = row(written.kind).contacts || without_of(written).empty();
            for (std::uint32_t p = 0; p < info.positions.size() && info.trip_position == none; ++p)
                if (!(info.passes_in >> p & 1)) info.trip_position = p;
        }
    }

    void place_ties() {
        ends_.resize(out_.elements.size());
        tied_.resize(out_.elements.size(), false);
        for (std::uint32_t t = 0; t < out_.ties.size(); ++t) {
            const auto& [a, b] = out_.ties[t].tie->between;
            const std::uint32_t first = d_.element(a), second = d_.element(b);
            tied_[first] = tied_[second] = true;
            if (!out_.elements[first].fitted || !out_.elements[second].fitted || !devices(out_.ties[t].tie->via)) continue;
            ends_[first].push_back({t, second});
            ends_[second].push_back({t, first});
        }
    }

    /// The devices of a `via`, nothing for those left bridged; no value where one is cut.
    std::optional<std::vector<DeviceAt>> devices(const std::vector<Device>& via) const {
        std::vector<DeviceAt> list;
        for (const Device& device : via) {
            const std::uint32_t e = d_.element(device.id);
            const ElementInfo& info = out_.elements[e];
            if (!info.fitted) {
                if (info.element->left == Left::bridged) continue;
                return std::nullopt;
            }
            std::uint32_t positions = info.passes_in;
            if (!device.positions.empty()) positions = 0;
            for (const std::string& word : device.positions) positions |= d_.position_bit(e, word);
            list.push_back({e, never, positions});
        }
        return list;
    }

    void add_feed(std::uint32_t port, FeedInfo feed, std::vector<DeviceAt> through) {
        feed.port = port;
        feed.devices.first = static_cast<std::uint32_t>(out_.devices.size());
        out_.devices.insert(out_.devices.end(), through.begin(), through.end());
        feed.devices.last = static_cast<std::uint32_t>(out_.devices.size());
        feeds_[port].push_back(feed);
    }

    void add_tie(std::uint32_t port, std::uint32_t e, TieEnd& end) {
        auto through = *devices(out_.ties[end.tie].tie->via);
        if (out_.ties[end.tie].tie->between.first == *out_.elements[e].id) std::ranges::reverse(through);
        add_feed(port, {.upstream = end.other, .origin = FeedInfo::Origin::tie, .tie = end.tie}, std::move(through));
        end.placed = true;
    }

    std::uint32_t add_port(std::uint32_t e, std::string_view name) {
        out_.ports.push_back({.element = e, .name = std::string(name), .medium = medium(name)});
        feeds_.emplace_back();
        return static_cast<std::uint32_t>(out_.ports.size() - 1);
    }

    std::uint32_t medium(std::string_view port) {
        const std::string word = medium_of_port(model_, port);
        if (word.empty()) return none;
        const auto it = std::ranges::find(out_.media, word);
        if (it != out_.media.end()) return static_cast<std::uint32_t>(it - out_.media.begin());
        out_.media.push_back(word);
        return static_cast<std::uint32_t>(out_.media.size() - 1);
    }

    void wire(std::uint32_t e) {
        const Element& written = *out_.elements[e].element;
        out_.elements[e].ports.first = static_cast<std::uint32_t>(out_.ports.size());
        if (out_.elements[e].fitted) {
            for (const auto& [name, port] : written.inputs) wire_port(e, add_port(e, name), port);
            std::vector<TieEnd>& ends = ends_[e];
            if (written.inputs.empty() && tied_[e] && !row(written.kind).source) add_port(e, tie_port_of(written));
            const auto ports = static_cast<std::uint32_t>(out_.ports.size()) - out_.elements[e].ports.first;
            if (ports == 1)
                for (TieEnd& end : ends)
                    if (!end.placed) add_tie(static_cast<std::uint32_t>(out_.ports.size() - 1), e, end);
        }
        out_.elements[e].ports.last = static_cast<std::uint32_t>(out_.ports.size());
    }

    void wire_port(std::uint32_t e, std::uint32_t p, const Port& port) {
        out_.ports[p].join = port.join;
        out_.ports[p].count = static_cast<std::uint32_t>(port.count);
        for (const Feed& feed : port.feeds) {
            if (!feed.tie.empty()) {
                for (TieEnd& end : ends_[e])
                    if (*out_.ties[end.tie].id == feed.tie) add_tie(p, e, end);
                continue;
            }
            const std::uint32_t upstream = d_.element(feed.from);
            if (!out_.elements[upstream].fitted) continue;
            if (auto through = devices(feed.via)) add_feed(p, {.upstream = upstream}, std::move(*through));
        }
        const auto plain = std::ranges::count(feeds_[p], FeedInfo::Origin::feed, &FeedInfo::origin);
        out_.ports[p].changeover = port.join == Port::Join::priority && plain > 1;
    }

    bool conducts(std::uint32_t e) const { return row(out_.elements[e].element->kind).conductor; }

    /// Whether there are diodes on the way, and all of them can short.
    bool may_short(const std::vector<DeviceAt>& through) const {
        const auto one_way = [&](const DeviceAt& d) { return is_one_way(*out_.elements[d.element].element); };
        const auto blocks = [&](const DeviceAt& d) { return one_way(d) && !has_failure_mode(*out_.elements[d.element].element, "short"); };
        return std::ranges::any_of(through, one_way) && std::ranges::none_of(through, blocks);
    }

    /// A feed through diodes that have all shorted is one more alternative, the other way.
    void conduct_backwards() {
        for (std::uint32_t p = 0; p < out_.ports.size(); ++p) {
            const PortInfo& port = out_.ports[p];
            if (port.medium == none || own_circuit(port) || !conducts(port.element)) continue;
            for (std::size_t f = 0; f < feeds_[p].size(); ++f) {
                const FeedInfo feed = feeds_[p][f];
                std::vector<DeviceAt> through(out_.devices.begin() + feed.devices.first, out_.devices.begin() + feed.devices.last);
                if (feed.origin != FeedInfo::Origin::feed || !conducts(feed.upstream) || !may_short(through)) continue;
                const Range into = out_.elements[feed.upstream].ports;
                for (std::uint32_t q = into.first; q < into.last; ++q) {
                    if (out_.ports[q].medium != port.medium || own_circuit(out_.ports[q])) continue;
                    std::ranges::reverse(through);
                    add_feed(q, {.upstream = port.element, .origin = FeedInfo::Origin::backwards}, std::move(through));
                    break;
                }
            }
        }
    }

    void lay_out_feeds() {
        for (std::uint32_t p = 0; p < out_.ports.size(); ++p) {
            out_.ports[p].feeds.first = static_cast<std::uint32_t>(out_.feeds.size());
            out_.feeds.insert(out_.feeds.end(), feeds_[p].begin(), feeds_[p].end());
            out_.ports[p].feeds.last = static_cast<std::uint32_t>(out_.feeds.size());
        }
    }
};

}  // namespace fedfrom::detail
