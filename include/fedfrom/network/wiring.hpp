/// Compile step 1: elements, ports, feeds and ties, without what is not fitted.
#pragma once

#include <algorithm>
#include <optional>
#include <span>
#include <string>
#include <string_view>
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
    }

private:
    Draft& d_;
    Compiled& out_;
    const Model& model_;
    struct TieEnd {
        std::uint32_t element, tie, other;
        Range devices;  // from the other end to this one
        bool placed = false;
    };
    std::vector<TieEnd> ends_;  // by element
    std::vector<bool> tied_;    // by element: the author tied it, whatever is fitted
    model::IdTable::Trail feeds_trail_, vias_trail_;

    /// Goes through the elements once: they are far apart in memory.
    void list_elements() {
        out_.elements.reserve(model_.elements.size());
        std::vector<std::string_view> ids;
        ids.reserve(model_.elements.size());
        d_.kinds.reserve(model_.elements.size());
        std::vector<std::uint32_t> of_authors;  // elements with words of their own
        for (const auto& [id, e] : model_.elements) {
            ids.push_back(id);
            d_.kinds.push_back(e.kind);
            out_.elements.push_back({.id = &id, .element = &e, .fitted = e.fitted});
            if (!e.positions.empty()) of_authors.push_back(static_cast<std::uint32_t>(out_.elements.size() - 1));
            out_.position_words.insert(out_.position_words.end(), e.positions.begin(), e.positions.end());
            const std::span<const std::string_view> own = std::span(out_.position_words).last(e.positions.size());
            position(out_.elements.back(), own.empty() ? words(row(e.kind).positions) : own);
            d_.reported += out_.elements.back().positions.size() + e.shows.size();
        }
        d_.ids = model::IdTable(ids);
        // Only now that they are all there do the words stay where they are.
        std::size_t first = 0;
        for (const std::uint32_t e : of_authors) {
            auto& words = out_.elements[e].positions;
            words = std::span<const std::string_view>(out_.position_words).subspan(first, words.size());
            first += words.size();
        }
        for (const auto& [id, tie] : model_.ties) out_.ties.push_back({&id, &tie});
    }

    void position(ElementInfo& info, std::span<const std::string_view> words) {
        info.positions = words;
        if (words.empty()) return;
        const Element& written = *info.element;
        info.rest = written.rest.empty() ? 0 : place_of(written.rest, words);
        info.memory = has_memory(written);
        info.hand = reach_of(written) != Reach::nobody;
        info.blanked_by_loss = row(written.kind).contacts || !has_without(written);
        for (std::uint32_t p = 0; p < words.size(); ++p) {
            if (passes_in(written, words[p])) info.passes_in |= 1u << p;
            else if (info.trip_position == none) info.trip_position = p;
        }
    }

    void place_ties() {
        tied_.resize(out_.elements.size(), false);
        for (std::uint32_t t = 0; t < out_.ties.size(); ++t) {
            const auto& [a, b] = out_.ties[t].tie->between;
            const std::uint32_t first = d_.element(a), second = d_.element(b);
            tied_[first] = tied_[second] = true;
            if (!out_.elements[first].fitted || !out_.elements[second].fitted ) continue;
            const auto through = lay_out(out_.ties[t].tie->via);
            if (!through) continue;
            ends_.push_back({second, t, first, *through});
            ends_.push_back({first, t, second, lay_out_reversed(*through)});
        }
        std::ranges::stable_sort(ends_, {}, &TieEnd::element);
    }

    std::span<TieEnd> ends_of(std::uint32_t e) {
        const auto first = std::ranges::lower_bound(ends_, e, {}, &TieEnd::element);
        return {first, std::ranges::upper_bound(first, ends_.end(), e, {}, &TieEnd::element)};
    }

    /// Lays out the devices of a `via`, nothing for those left bridged; no value where one is cut.
    std::optional<Range> lay_out(const std::vector<Device>& via) {
        const std::size_t first = out_.devices.size();
        for (const Device& device : via) {
            const std::uint32_t e = d_.ids.find(device.id, vias_trail_);
            const ElementInfo& info = out_.elements[e];
            if (!info.fitted && info.element->left == Left::bridged) continue;
            if (!info.fitted) return out_.devices.resize(first), std::nullopt;
            std::uint32_t positions = device.positions.empty() ? info.passes_in : 0;
            for (const std::string& word : device.positions) positions |= d_.position_bit(e, word);
            out_.devices.push_back({e, never, positions});
        }
        return since(first);
    }

    Range lay_out_reversed(Range through) {
        const std::size_t first = out_.devices.size();
        for (std::uint32_t d = through.last; d-- > through.first;) out_.devices.push_back(DeviceAt(out_.devices[d]));
        return since(first);
    }

    Range since(std::size_t first) const { return {static_cast<std::uint32_t>(first), static_cast<std::uint32_t>(out_.devices.size())}; }

    /// Only the newest port is given feeds, so that those of a port stand together.
    void add_feed(FeedInfo feed) {
        feed.port = static_cast<std::uint32_t>(out_.ports.size() - 1);
        out_.feeds.push_back(feed);
        out_.ports.back().feeds.last = static_cast<std::uint32_t>(out_.feeds.size());
    }

    void add_tie(TieEnd& end) {
        add_feed({.upstream = end.other, .devices = end.devices, .origin = FeedInfo::Origin::tie, .tie = end.tie});
        end.placed = true;
    }

    void add_port(std::uint32_t e, std::string_view name) {
        const auto feeds = static_cast<std::uint32_t>(out_.feeds.size());
        out_.ports.push_back({.element = e, .name = std::string(name), .medium = medium(name), .feeds = {feeds, feeds}});
    }

    std::uint32_t medium(std::string_view port) {
        const std::string_view word = medium_of_port(model_, port);
        if (word.empty()) return none;
        const auto it = std::ranges::find(out_.media, word);
        if (it != out_.media.end()) return static_cast<std::uint32_t>(it - out_.media.begin());
        out_.media.emplace_back(word);
        return static_cast<std::uint32_t>(out_.media.size() - 1);
    }

    void wire(std::uint32_t e) {
        const Element& written = *out_.elements[e].element;
        Range& ports = out_.elements[e].ports;
        ports.first = static_cast<std::uint32_t>(out_.ports.size());
        if (out_.elements[e].fitted) {
            for (const auto& [name, port] : written.inputs) wire_port(e, name, port);
            if (written.inputs.empty() && tied_[e] && !row(written.kind).source) add_port(e, tie_port_of(written));
            if (tied_[e] && out_.ports.size() == ports.first + 1)
                for (TieEnd& end : ends_of(e))
                    if (!end.placed) add_tie(end);
        }
        ports.last = static_cast<std::uint32_t>(out_.ports.size());
    }

    void wire_port(std::uint32_t e, std::string_view name, const Port& port) {
        add_port(e, name);
        std::uint32_t plain = 0;
        for (const Feed& feed : port.feeds) {
            if (!feed.tie.empty()) {
                for (TieEnd& end : ends_of(e))
                    if (*out_.ties[end.tie].id == feed.tie) add_tie(end);
                continue;
            }
            const std::uint32_t upstream = d_.ids.find(feed.from, feeds_trail_);
            if (!out_.elements[upstream].fitted) continue;
            const auto through = lay_out(feed.via);
            if (!through) continue;
            add_feed({.upstream = upstream, .devices = *through});
            ++plain;
        }
        PortInfo& info = out_.ports.back();
        info.join = port.join;
        info.count = static_cast<std::uint32_t>(port.count);
        info.changeover = port.join == Port::Join::priority && plain > 1;
    }

    bool conducts(std::uint32_t e) const { return d_.kind(e).conductor; }

    /// Whether there are diodes on the way, and all of them can short.
    bool may_short(Range devices) const {
        const auto through = std::span(out_.devices).subspan(devices.first, devices.size());
        const auto one_way = [&](const DeviceAt& d) { return d_.kind(d.element).one_way; };
        const auto blocks = [&](const DeviceAt& d) { return one_way(d) && !has_failure_mode(*out_.elements[d.element].element, "short"); };
        return std::ranges::any_of(through, one_way) && std::ranges::none_of(through, blocks);
    }

    /// A feed through diodes that have all shorted is one more alternative, the other way.
    void conduct_backwards() {
        std::vector<FeedInfo> backwards;
        for (const FeedInfo& feed : out_.feeds) {
            const PortInfo& port = out_.ports[feed.port];
            if (port.medium == none || !conducts(port.element) || own_circuit(port)) continue;
            if (feed.origin != FeedInfo::Origin::feed || !conducts(feed.upstream) || !may_short(feed.devices)) continue;
            const Range into = out_.elements[feed.upstream].ports;
            for (std::uint32_t q = into.first; q < into.last; ++q) {
                if (out_.ports[q].medium != port.medium || own_circuit(out_.ports[q])) continue;
                backwards.push_back({.port = q, .upstream = port.element, .devices = lay_out_reversed(feed.devices), .origin = FeedInfo::Origin::backwards});
                break;
            }
        }
        if (!backwards.empty()) put_last_in_their_ports(backwards);
    }

    void put_last_in_their_ports(const std::vector<FeedInfo>& added) {
        out_.feeds.insert(out_.feeds.end(), added.begin(), added.end());
        std::ranges::stable_sort(out_.feeds, {}, &FeedInfo::port);
        std::uint32_t f = 0;
        for (std::uint32_t p = 0; p < out_.ports.size(); ++p) {
            out_.ports[p].feeds.first = f;
            while (f < out_.feeds.size() && out_.feeds[f].port == p) ++f;
            out_.ports[p].feeds.last = f;
        }
    }
};

}  // namespace fedfrom::detail
