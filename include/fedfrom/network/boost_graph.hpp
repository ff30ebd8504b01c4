/// A network as a Boost.Graph graph, for algorithms of your own. Opt-in: including
/// Boost.Graph costs about two seconds.
///
///     const SupplyGraph g = supply_graph(net);
///     std::vector<std::uint32_t> component(num_vertices(g));
///     boost::strong_components(g, boost::make_iterator_property_map(component.begin(), get(boost::vertex_index, g)));
///
/// Vertex i is the element with index i (`*net.compiled().elements[i].id`); an edge
/// runs from upstream to element for every feed, a tie gives one each way, and
/// carries the feed's index in Compiled::feeds. What the picture leaves out:
/// ports are ANDed, devices stand somewhere. Reachability, dominators and
/// disjoint paths are therefore not answers about what works; settle is.
#pragma once

#include <boost/graph/compressed_sparse_row_graph.hpp>

#include <cstdint>
#include <utility>
#include <vector>

#include <fedfrom/network/network.hpp>

namespace fedfrom {

/// What an edge is: an index into Compiled::feeds.
struct FeedEdge {
    std::uint32_t feed = none;
};

using SupplyGraph = boost::compressed_sparse_row_graph<boost::bidirectionalS, boost::no_property, FeedEdge, boost::no_property, std::uint32_t, std::uint32_t>;

/// The supply graph, unfitted elements as vertices without edges. Linear in elements and feeds.
/// Feeds that only conduct backwards through shorted diodes are left out.
inline SupplyGraph supply_graph(const Network& net) {
    const Compiled& c = net.compiled();
    std::vector<std::pair<std::uint32_t, std::uint32_t>> edges;
    std::vector<FeedEdge> feeds;
    for (std::uint32_t f = 0; f < c.feeds.size(); ++f) {
        if (c.feeds[f].origin == FeedInfo::Origin::backwards) continue;
        edges.emplace_back(c.feeds[f].upstream, c.ports[c.feeds[f].port].element);
        feeds.push_back({f});
    }
    return SupplyGraph(boost::edges_are_unsorted_multi_pass, edges.begin(), edges.end(), feeds.begin(), static_cast<std::uint32_t>(c.elements.size()));
}

}  // namespace fedfrom
