#include <boost/graph/strong_components.hpp>

#include <fedfrom/network/boost_graph.hpp>

#include "catch.hpp"

using namespace fedfrom;

TEST_CASE("A network is a graph with an edge for every feed and two for every tie", "[network]") {
    Model m{.name = "Two tied buses"};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["left"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "battery"}}}}};
    m.elements["radio"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "left"}, {.from = "right"}}}}};
    m.elements["right"] = {.kind = Kind::bus};
    m.ties["tie"] = {.between = {"left", "right"}};
    const Network net(m);
    const SupplyGraph g = supply_graph(net);
    REQUIRE(num_vertices(g) == 4);
    CHECK(num_edges(g) == 5);

    const std::uint32_t left = net.element("left").index, right = net.element("right").index, radio = net.element("radio").index;
    std::vector<std::uint32_t> component(num_vertices(g));
    const auto count = boost::strong_components(g, boost::make_iterator_property_map(component.begin(), get(boost::vertex_index, g)));
    CHECK(count == 3);
    CHECK(component[left] == component[right]);
    CHECK(component[radio] != component[left]);

    for (auto [e, end] = in_edges(radio, g); e != end; ++e) {
        const FeedInfo& feed = net.compiled().feeds[g[*e].feed];
        CHECK(feed.upstream == source(*e, g));
        CHECK(net.compiled().ports[feed.port].element == radio);
    }
}
