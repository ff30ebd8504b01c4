// What decides something together is read by one place, so that events which change it are taken to meet there.
#include <algorithm>
#include <vector>

#include <fedfrom/network/network.hpp>
#include <fedfrom/solve/meetings.hpp>

#include "../property/islands.hpp"
#include "../property/knots.hpp"
#include "../property/networks.hpp"
#include "catch.hpp"

using namespace fedfrom;

namespace {

class ReadTogether {
public:
    explicit ReadTogether(const Network& net) : c(net.compiled()), places(c, all_functions(c)) {}

    const Compiled& c;
    detail::Places places;

    /// Whether some place reads all of these, and is no gate.
    bool operator()(const std::vector<Variable>& variables) const { return by_place(variables, c.command_gates.last); }
    /// Whether one does.
    bool by_place(const std::vector<Variable>& variables, std::uint32_t first) const {
        return std::ranges::any_of(places.of(variables.front()), [&](std::uint32_t place) {
            return place >= first && std::ranges::all_of(variables, [&](Variable v) { return std::ranges::find(places.of(v), place) != places.of(v).end(); });
        });
    }

private:
    static std::vector<std::uint32_t> all_functions(const Compiled& c) {
        std::vector<std::uint32_t> list(c.functions.size());
        for (std::uint32_t f = 0; f < list.size(); ++f) list[f] = f;
        return list;
    }
};

/// What arrives over a link, and which device on it trips.
void add_arrival(const Compiled& c, std::uint32_t l, std::vector<Variable>& to) {
    to.push_back(detail::Traced(c).links + l);
    for (std::uint32_t i = c.links[l].devices.first; i < c.links[l].devices.last; ++i) to.push_back(c.elements[c.link_devices[i]].works.variable());
}

std::vector<Network> networks_with_all() {
    std::vector<Network> list = networks();
    for (std::uint64_t seed = 0; seed < 6; ++seed) list.emplace_back(knot(seed));
    list.emplace_back(islands(1));
    return list;
}

}  // namespace

TEST_CASE("A place reads all that one gate, memory cell or holder goes by") {
    std::size_t held = 0, cells = 0, holders = 0;
    for (const Network& net : networks_with_all()) {
        const ReadTogether together(net);
        const Compiled& c = together.c;
        for (std::uint32_t g = 0; g < c.command_gates.last; ++g) {
            std::vector<Variable> reads;
            for (const Literal l : c.program.operands_of(c.program.gates[g])) reads.push_back(l.variable());
            for (const Holder& h : c.program.holders)
                if (h.gate == g) reads.push_back(h.holding), ++held;
            if (!reads.empty()) REQUIRE(together.by_place(reads, 0));
        }
        for (const MemoryCell& cell : c.memory_cells) {
            std::vector<Variable> reads;
            for (std::uint32_t p = 0; p < cell.sent.size(); ++p) {
                reads.push_back(cell.sent[p].variable());
                reads.push_back(c.elements[cell.element].held + p);
            }
            REQUIRE(together(reads));
            ++cells;
        }
        for (const std::uint32_t h : c.holders) {
            REQUIRE(together({c.elements[h].supplied.variable(), c.elements[h].holding}));
            ++holders;
        }
    }
    CHECK(held > 5);
    CHECK(cells > 20);
    CHECK(holders > 5);
}

TEST_CASE("A place reads all that lets a fault along one link") {
    std::size_t guided = 0, changeovers = 0, in_loops = 0;
    for (const Network& net : networks_with_all()) {
        const ReadTogether together(net);
        const Compiled& c = together.c;
        for (const Link& link : c.links) {
            const ZoneInfo& from = c.zones[link.from_zone];
            std::vector<Variable> reads{from.variable, from.seed.variable(), c.elements[link.to].supplied.variable()};
            for (std::uint32_t i = link.conducts.first; i < link.conducts.last; ++i, ++guided) reads.push_back(c.link_literals[i].variable());
            if (link.feed != none && c.ports[c.feeds[link.feed].port].changeover) {
                const PortInfo& port = c.ports[c.feeds[link.feed].port];
                const ElementInfo& e = c.elements[port.element];
                reads.push_back(e.supplied.variable());
                for (std::uint32_t f = port.feeds.first; f < port.feeds.last; ++f) {
                    reads.push_back(c.feeds[f].path.variable());
                    reads.push_back(c.elements[c.feeds[f].upstream].supplied.variable());
                }
                const Component& loop = c.program.components[e.component];
                for (std::uint32_t g = loop.first; loop.cyclic && g < loop.last; ++g, ++in_loops)
                    for (const Literal l : c.program.operands_of(c.program.gates[g])) reads.push_back(l.variable());
                ++changeovers;
            }
            REQUIRE(together(reads));
        }
    }
    CHECK(guided > 50);
    CHECK(changeovers > 20);
    CHECK(in_loops > 20);
}

TEST_CASE("A place reads all that drags one thing down, trips one device or empties one store") {
    std::size_t trips = 0, stores = 0;
    for (const Network& net : networks_with_all()) {
        const ReadTogether together(net);
        const Compiled& c = together.c;
        const detail::Traced traced(c);
        for (std::uint32_t z = 0; z < c.zones.size(); ++z) {
            std::vector<Variable> reads{c.zones[z].variable, c.zones[z].seed.variable()};
            for (std::uint32_t l = 0; l < c.links.size(); ++l)
                if (c.links[l].to_zone == z) reads.push_back(traced.past + l);
            REQUIRE(together(reads));
            REQUIRE(together({c.zones[z].variable, c.zones[z].seed.variable(), traced.zones + z}));
            const std::uint32_t against = together.places.of(traced.zones + z).front();
            REQUIRE(together.places.of(traced.zones + z).size() == 1);
            REQUIRE(together.places.partner(together.places.partner(against)) == against);
            if (reads.size() > 2) {
                REQUIRE(std::ranges::count(together.places.of(reads.back()), together.places.partner(against)) == 1);
                REQUIRE(std::ranges::count(together.places.of(reads.back()), against) == 0);
            }
        }
        for (const std::uint32_t e : c.protecting) {
            std::vector<Variable> reads{c.elements[e].tripped};
            for (std::uint32_t l = 0; l < c.links.size(); ++l) {
                const std::span devices(c.link_devices.data() + c.links[l].devices.first, c.links[l].devices.size());
                if (std::ranges::find(devices, e) != devices.end()) add_arrival(c, l, reads), ++trips;
            }
            REQUIRE(together(reads));
        }
        for (const std::uint32_t e : c.storing) {
            std::vector<Variable> reads{c.elements[e].empty};
            for (std::uint32_t z = c.elements[e].zones.first; z < c.elements[e].zones.last; ++z) reads.push_back(c.zones[z].variable);
            REQUIRE(together(reads));
            stores += reads.size() > 1;
        }
    }
    CHECK(trips > 100);
    CHECK(stores > 5);
}

TEST_CASE("A place reads all that one function is judged by, with the functions whose level it reads") {
    std::size_t levels = 0;
    for (const Network& net : networks_with_all()) {
        const ReadTogether together(net);
        const Compiled& c = together.c;
        for (const FunctionInfo& function : c.functions) {
            std::vector<Variable> reads;
            for (const ModeInfo& mode : function.modes) reads.push_back(mode.when.variable());
            for (const std::uint32_t read : function.reads)
                for (const ModeInfo& mode : c.functions[read].modes) reads.push_back(mode.when.variable()), ++levels;
            for (std::uint32_t g = function.gates.first; g < function.gates.last; ++g)
                for (const Literal l : c.program.operands_of(c.program.gates[g])) reads.push_back(l.variable());
            if (!reads.empty()) REQUIRE(together(reads));
        }
    }
    CHECK(levels > 0);
}
