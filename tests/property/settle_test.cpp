// Properties of settling, on the demo aircraft and on generated ones, with seeded random events.
#include <random>
#include <string>

#include <fedfrom/io/read.hpp>
#include <fedfrom/io/variant.hpp>
#include <fedfrom/solve/settle.hpp>

#include "../bench/aircraft.hpp"
#include "catch.hpp"

using namespace fedfrom;

namespace {

std::vector<Network> networks_to_settle() {
    const std::string root = FEDFROM_SOURCE_DIR;
    const Model ostrea = read_model(root + "/examples/ostrea7/ostrea7.json");
    const Model two_bus = read_model(root + "/tests/models/two_bus.json");
    return {Network(ostrea), Network(variant_of(ostrea, "b")), Network(two_bus), Network(variant_of(two_bus, "b")), Network(bench::aircraft(150))};
}

/// Random events on a memory: failures come and go, hands move, givens change.
class MemoryEvents {
public:
    MemoryEvents(const Compiled& c, std::uint64_t seed) : c_(c), random_(seed) {}

    void step(State& state) {
        for (std::size_t n = 1 + pick(3); n > 0; --n) {
            switch (pick(6)) {
                case 0: case 1: case 2: state.fail(FailureHandle{static_cast<std::uint32_t>(pick(c_.failures.size()))}); break;
                case 3: state.repair(ElementHandle{c_.failures[pick(c_.failures.size())].element}); break;
                case 4: hand(state); break;
                default: {
                    // One draw a statement: the order of drawing must not hang on the compiler.
                    const bool value = pick(2);
                    if (!c_.givens.empty()) state.given(GivenHandle{static_cast<std::uint32_t>(pick(c_.givens.size()))}, value);
                }
            }
        }
    }

private:
    const Compiled& c_;
    std::mt19937_64 random_;
    std::size_t pick(std::size_t n) { return static_cast<std::size_t>(random_() % n); }

    void hand(State& state) {
        for (int tries = 0; tries < 20; ++tries) {
            const auto e = static_cast<std::uint32_t>(pick(c_.elements.size()));
            if (!c_.elements[e].at_hand) continue;
            state.set(ElementHandle{e}, static_cast<std::uint32_t>(pick(c_.elements[e].positions.size())));
            return;
        }
    }
};

/// All that anyone reads of a settled state: memory, zones, supply, positions, shows.
std::vector<Literal> results(const Compiled& c) {
    std::vector<Literal> list;
    for (Variable v = 0; v < c.memory_end; ++v) list.push_back(Literal::of(v));
    for (const ZoneInfo& z : c.zones) list.push_back(Literal::of(z.variable));
    for (const FeedInfo& f : c.feeds) list.push_back(f.live);
    for (const ElementInfo& e : c.elements) {
        list.insert(list.end(), {e.supplied, e.passes});
        list.insert(list.end(), e.stands.begin(), e.stands.end());
        list.insert(list.end(), e.shows.begin(), e.shows.end());
    }
    return list;
}

/// Settles the memory alone, without judging functions.
void settle_memory(Settler<One>& settler, State& state) {
    Frozen<One> frozen = state.frozen();
    settler.load(state.memory());
    settler.settle(frozen);
    state.remember(settler.values().subspan(0, state.memory().size()), frozen);
}

}  // namespace

TEST_CASE("64 states side by side settle as each alone", "[property]") {
    std::uint64_t seed = 1;
    for (const Network& net : networks_to_settle()) {
        const Compiled& c = net.compiled();
        Settler<One> one(c);
        Settler<Lanes> lanes(c);
        std::vector<State> states(64, running_state(net));
        std::vector<Lanes> memory(c.memory_end);
        for (int round = 0; round < 40; ++round, ++seed) {
            Frozen<Lanes> frozen(c);
            for (std::size_t lane = 0; lane < states.size(); ++lane) {
                MemoryEvents(c, seed * 64 + lane).step(states[lane]);
                for (std::size_t v = 0; v < memory.size(); ++v) {
                    const std::uint64_t bit = std::uint64_t{1} << lane;
                    memory[v].bits = (memory[v].bits & ~bit) | (any(states[lane].memory()[v]) ? bit : 0);
                }
            }
            lanes.load(memory);
            lanes.settle(frozen);
            lanes.report();
            for (std::size_t lane = 0; lane < states.size(); ++lane) {
                settle_memory(one, states[lane]);
                one.report();
                std::size_t differ = 0;
                for (Variable v = 0; v < c.report_gates.last + c.program.inputs; ++v)
                    differ += any(one.values()[v]) != (lanes.values()[v].bits >> lane & 1);
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", lane " << lane);
                REQUIRE(differ == 0);
            }
        }
    }
}

TEST_CASE("Evaluating only what a change can reach gives what evaluating everything gives", "[property]") {
    for (const Network& net : networks_to_settle()) {
        const Compiled& c = net.compiled();
        const detail::Readers readers(c);
        Settler<One> whole(c), changed(c, &readers);
        State state = running_state(net);
        Frozen<One> frozen = state.frozen();
        changed.load(state.memory());
        changed.settle(frozen);
        for (std::uint64_t seed = 0; seed < 200; ++seed) {
            MemoryEvents events(c, seed);
            state = running_state(net);
            for (int i = 0; i < 40; ++i) {
                events.step(state);
                changed.free_frozen(frozen);
                for (Variable v = 0; v < c.memory_end; ++v) changed.put(v, state.memory()[v]);
                changed.settle(frozen);
                changed.report();
                settle_memory(whole, state);
                whole.report();
                std::size_t differ = 0;
                for (const Literal l : results(c)) differ += whole.value(l) != changed.value(l);
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", step " << i);
                REQUIRE(differ == 0);
                REQUIRE((frozen == state.frozen()));
            }
        }
    }
}

TEST_CASE("Settling twice changes nothing", "[property]") {
    std::size_t steps = 0;
    for (const Network& net : networks_to_settle()) {
        Settler<One> settler(net.compiled());
        for (std::uint64_t seed = 0; seed < 500; ++seed) {
            MemoryEvents events(net.compiled(), seed);
            State state = running_state(net);
            for (int i = 0; i < 40; ++i, ++steps) {
                events.step(state);
                settle_memory(settler, state);
                const State once = state;
                settle_memory(settler, state);
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", step " << i);
                REQUIRE((state == once));
            }
        }
    }
    REQUIRE(steps == 100000);
}

TEST_CASE("A chain of a million elements is read, built and settled", "[property]") {
    std::string json = R"({"format": "fedfrom/1", "name": "Chain", "elements": {"e0": {"kind": "battery"})";
    constexpr int length = 1000000;
    for (int i = 1; i < length; ++i)
        json += ", \"e" + std::to_string(i) + R"(": {"kind": "bus", "fallible": false, "inputs": {"power": ["e)" + std::to_string(i - 1) + "\"]}}";
    json += "}}";
    const Network net = Network::of_valid(parse_model(json));
    State state = running_state(net);
    const std::string last = "e" + std::to_string(length - 1);
    CHECK(settle(state).status(last) == Status::supplied);
    state.fail("e0");
    CHECK(settle(state).status(last) == Status::unsupplied);
}
