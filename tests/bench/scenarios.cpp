// Scenarios a second: random losses in a network of plain feeds, beside a graph library.
//
//     bench_scenarios [--smoke]
//
// The model has feeds only (no ANDed ports, no positions), so that a
// breadth-first search from the live sources with Boost.Graph answers it too; the
// two are compared on every scenario before anything is timed. Real models need
// the full meaning, which the search cannot give.
#include <boost/graph/breadth_first_search.hpp>
#include <boost/graph/compressed_sparse_row_graph.hpp>

#include <cstdlib>
#include <cstring>
#include <random>

#include <fedfrom/solve/settle.hpp>

#include "clock.hpp"

using namespace fedfrom;

namespace {

constexpr int sources = 20, scenarios = 256;

Model feeds_only(int elements) {
    std::mt19937_64 random(7);
    Model m{.name = "Feeds"};
    const auto id = [](int i) { return "e" + std::to_string(100000 + i); };
    for (int i = 0; i < elements; ++i) {
        Element e{.kind = i < sources ? Kind::battery : Kind::consumer};
        const int feeds = i < sources ? 0 : 1 + static_cast<int>(random() % 3);
        for (int f = 0; f < feeds; ++f) e.inputs["power"].feeds.push_back({.from = id(static_cast<int>(random() % static_cast<unsigned>(i)))});
        m.elements[id(i)] = std::move(e);
    }
    return m;
}

/// Per scenario, which elements are lost: about one in twenty.
std::vector<std::vector<bool>> losses(std::size_t elements) {
    std::mt19937_64 random(11);
    std::vector<std::vector<bool>> all(scenarios, std::vector<bool>(elements));
    for (auto& scenario : all)
        for (std::size_t e = 0; e < elements; ++e) scenario[e] = random() % 20 == 0;
    return all;
}

using Graph = boost::compressed_sparse_row_graph<boost::directedS>;

Graph graph_of(const Compiled& c) {
    std::vector<std::pair<std::size_t, std::size_t>> edges;
    for (const FeedInfo& f : c.feeds) edges.emplace_back(f.upstream, c.ports[f.port].element);
    return Graph(boost::edges_are_unsorted, edges.begin(), edges.end(), c.elements.size());
}

/// Reached from the live sources over what is not lost.
void search(const Graph& g, const std::vector<bool>& lost, std::vector<char>& reached, std::vector<std::size_t>& queue) {
    reached.assign(num_vertices(g), 0);
    queue.clear();
    for (std::size_t s = 0; s < sources; ++s)
        if (!lost[s]) { reached[s] = 1; queue.push_back(s); }
    for (std::size_t i = 0; i < queue.size(); ++i)
        for (auto [e, end] = out_edges(queue[i], g); e != end; ++e) {
            const auto v = target(*e, g);
            if (!reached[v] && !lost[v]) { reached[v] = 1; queue.push_back(v); }
        }
}

/// The same with the library's own algorithm, colours set where lost.
struct Reach : boost::default_bfs_visitor {
    char* reached;
    explicit Reach(char* r) : reached(r) {}
    template <class V, class G>
    void discover_vertex(V v, const G&) const { reached[v] = 1; }
};

void boost_search(const Graph& g, const std::vector<bool>& lost, std::vector<char>& reached, std::vector<boost::default_color_type>& colours) {
    reached.assign(num_vertices(g), 0);
    colours.assign(num_vertices(g), boost::white_color);
    for (std::size_t v = 0; v < lost.size(); ++v)
        if (lost[v]) colours[v] = boost::black_color;
    boost::queue<Graph::vertex_descriptor> queue;
    const auto map = boost::make_iterator_property_map(colours.begin(), get(boost::vertex_index, g));
    for (std::size_t s = 0; s < sources; ++s)
        if (colours[s] == boost::white_color) boost::breadth_first_visit(g, s, queue, Reach(reached.data()), map);
}

}  // namespace

int main(int argc, char** argv) {
    const bool smoke = argc > 1 && std::strcmp(argv[1], "--smoke") == 0;
    bench::say_machine();
    const Network net(feeds_only(smoke ? 200 : 1000));
    const Compiled& c = net.compiled();
    const Graph graph = graph_of(c);
    const auto lost = losses(c.elements.size());
    const State running = running_state(net);
    const std::vector<One> base(running.memory().begin(), running.memory().end());
    std::vector<Variable> loss(c.elements.size());
    for (std::uint32_t e = 0; e < loss.size(); ++e) loss[e] = c.failures[c.elements[e].failures.first].variable;

    Settler<One> one(c);
    Settler<Lanes> lanes(c);
    Frozen<One> frozen_one(c);
    Frozen<Lanes> frozen_lanes(c);
    std::vector<char> reached;
    std::vector<std::size_t> queue;
    std::vector<boost::default_color_type> colours;
    std::vector<One> memory;
    std::vector<Lanes> wide(c.memory_end);
    const auto settle_one = [&](const std::vector<bool>& scenario) {
        memory = base;
        for (std::size_t e = 0; e < scenario.size(); ++e) memory[loss[e]] = One::filled(scenario[e]);
        one.load(memory);
        one.settle(frozen_one);
    };
    const auto settle_64 = [&](std::size_t first) {
        for (std::size_t v = 0; v < wide.size(); ++v) wide[v] = Lanes::filled(any(base[v]));
        for (std::size_t e = 0; e < loss.size(); ++e) {
            std::uint64_t bits = 0;
            for (std::size_t lane = 0; lane < 64; ++lane) bits |= std::uint64_t{lost[first + lane][e]} << lane;
            wide[loss[e]].bits = bits;
        }
        lanes.load(wide);
        lanes.settle(frozen_lanes);
    };

    for (std::size_t s = 0; s < scenarios; ++s) {
        if (s % 64 == 0) settle_64(s);
        settle_one(lost[s]);
        search(graph, lost[s], reached, queue);
        const auto by_hand = reached;
        boost_search(graph, lost[s], reached, colours);
        for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
            const bool expected = reached[e];
            const bool lane = lanes.value(c.elements[e].supplied).bits >> (s % 64) & 1;
            if (by_hand[e] != reached[e] || any(one.value(c.elements[e].supplied)) != expected || lane != expected) {
                std::fprintf(stderr, "wrong answer: scenario %zu, element %u\n", s, e);
                return 1;
            }
        }
    }
    std::printf("%d scenarios agree on %zu elements\n", scenarios, c.elements.size());
    if (smoke) return 0;

    const auto per_second = [&](auto work) { return scenarios / bench::time(work, 5, 0.5).median_s; };
    const double by_search = per_second([&] { for (const auto& s : lost) { search(graph, s, reached, queue); bench::keep(reached); } });
    const double by_boost = per_second([&] { for (const auto& s : lost) { boost_search(graph, s, reached, colours); bench::keep(reached); } });
    const double by_one = per_second([&] { for (const auto& s : lost) { settle_one(s); bench::keep(one.values()); } });
    const double by_lanes = per_second([&] { for (std::size_t s = 0; s < scenarios; s += 64) { settle_64(s); bench::keep(lanes.values()); } });
    std::printf("%-46s %12s\n", "", "scenarios/s");
    std::printf("%-46s %12.0f\n", "Boost.Graph breadth_first_visit", by_boost);
    std::printf("%-46s %12.0f\n", "search written by hand on the Boost graph", by_search);
    std::printf("%-46s %12.0f\n", "settle, one state (full meaning)", by_one);
    std::printf("%-46s %12.0f\n", "settle, 64 states side by side (full meaning)", by_lanes);
}
