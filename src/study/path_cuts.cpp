#include "path_cuts.hpp"

#include <algorithm>
#include <set>

#include "copies.hpp"

namespace fedfrom::detail {
namespace {

constexpr char cut_mark = '~';  // no author's id begins so, and it sorts behind all of them

/// The model with a cut in every feed that may have another beside it, and in every tie.
Model with_cuts(Model m) {
    std::set<std::string> tied;
    std::size_t n = 0;
    std::map<std::string, Element> cuts;
    const auto cut = [&](std::vector<Device>& via) {
        const std::string id = cut_mark + std::to_string(1'000'000 + n++);
        cuts[id] = {.kind = Kind::contactor};
        via.push_back({id});
    };
    for (auto& [id, tie] : m.ties) {
        tied.insert({tie.between.first, tie.between.second});
        cut(tie.via);
    }
    for (auto& [id, element] : m.elements)
        for (auto& [name, port] : element.inputs)
            for (Feed& feed : port.feeds)
                if (feed.tie.empty() && (port.feeds.size() > 1 || tied.contains(id))) cut(feed.via);
    m.elements.merge(cuts);
    return m;
}

}  // namespace

PathCuts::PathCuts(const State& settled) : state_(carried(settled, Network::of_valid(with_cuts(settled.network().model())))) {
    const Compiled& c = state_.network().compiled();
    for (const PortInfo& port : c.ports) {
        std::vector<Path> beside;
        for (std::uint32_t f = port.feeds.first; f < port.feeds.last; ++f) {
            const FeedInfo& feed = c.feeds[f];
            if (feed.origin == FeedInfo::Origin::backwards) continue;
            Path path{.element = port.element, .port = port.name, .upstream = feed.upstream, .tie = feed.origin == FeedInfo::Origin::tie};
            for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d) {
                const std::uint32_t e = c.devices[d].element;
                if (c.elements[e].id->front() == cut_mark) path.cut = {failure_of(c, c.elements[e], "loss")};
                else path.through.push_back(e);
            }
            beside.push_back(std::move(path));
        }
        if (beside.size() > 1) paths_.insert(paths_.end(), beside.begin(), beside.end());
    }
}

}  // namespace fedfrom::detail
