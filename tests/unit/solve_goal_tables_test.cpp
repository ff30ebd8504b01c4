// A goal's table says of its leaves what settling says of the state they are in.
#include <random>

#include <fedfrom/solve/goal_tables.hpp>
#include <fedfrom/solve/outcome.hpp>
#include <fedfrom/solve/settler.hpp>

#include "../property/islands.hpp"
#include "../property/knots.hpp"
#include "../property/sweep_check.hpp"
#include "catch.hpp"

using namespace fedfrom;

TEST_CASE("A goal's table has the level that the values of its leaves settle to") {
    std::size_t compared = 0, without = 0;
    for (std::uint64_t seed = 0; seed < 20; ++seed) {
        const Network net(seed % 2 ? islands(seed) : knot(seed));
        const Compiled& c = net.compiled();
        std::mt19937_64 random(seed);
        for (int i = 0; i < 10; ++i) {
            State state = running_state(net);
            for (const Event& e : check::some_events(state, 6, random)) state.apply(e);
            const Outcome out = settle(state);
            if (!out.hunting().empty()) continue;
            Settler<One> settler(c);
            Frozen<One> frozen(c);
            settler.load(state.memory());
            settler.settle(frozen);
            settler.evaluation().run(static_cast<std::uint32_t>(c.program.gates.size()));
            for (std::uint32_t f = 0; f < c.functions.size(); ++f) {
                const detail::GoalTable table(c, f);
                if (c.functions[f].demand != 0 || !table.known()) {
                    ++without;
                    continue;
                }
                std::uint64_t leaves = 0;
                for (std::uint32_t l = 0; l < table.leaves().size(); ++l) leaves |= std::uint64_t{any(settler.values()[table.leaves()[l]])} << l;
                REQUIRE(table.level(leaves) == out.judged()[f].level);
                ++compared;
            }
        }
    }
    CHECK(compared > 100);
    CHECK(without > 0);
}

TEST_CASE("A function that reads levels has no table") {
    Model m{.name = "Levels", .edition = "1", .groups = {"systems"}};
    m.elements["battery"] = {.kind = Kind::battery};
    m.functions["plain"] = {.name = "Plain", .group = "systems", .modes = {{"on", {.rank = 1, .when = "battery"}}}};
    m.functions["reads"] = {.name = "Reads", .group = "systems", .modes = {{"on", {.rank = 1, .when = level("plain", "normal")}}}};
    const Network net(m);
    CHECK(detail::GoalTable(net.compiled(), net.function("plain").index).known());
    CHECK_FALSE(detail::GoalTable(net.compiled(), net.function("reads").index).known());
}
