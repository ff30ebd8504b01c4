// A function's formula of what fails, against a full settle, also where the function hangs on rings of tied buses.
#include <algorithm>
#include <cstdint>
#include <random>
#include <vector>

#include <fedfrom/solve/settle.hpp>

#include "catch.hpp"
#include "networks.hpp"
#include "study/goal_formula.hpp"

using namespace fedfrom;

namespace {

std::vector<Network> networks_with_rings() {
    std::vector<Network> list = networks();
    for (const std::size_t in_ring : {2u, 3u, 5u, 8u})
        for (const std::uint64_t seed : {1u, 2u, 3u}) list.emplace_back(bench::aircraft(150 + 20 * in_ring, seed, in_ring));
    return list;
}

}  // namespace

TEST_CASE("A function's formula holds where a settle finds it below the level", "[property]") {
    std::mt19937_64 random(17);
    std::size_t compared = 0, below_level = 0, formulas = 0;
    for (const Network& net : networks_with_rings()) {
        const Compiled& c = net.compiled();
        State running = running_state(net);
        for (int start = 0; start < 2; ++start) {
            // As it runs, and with something failed already.
            if (start > 0) running.apply(Event::fail({static_cast<std::uint32_t>(random() % c.failures.size())}));
            const Outcome before = settle(running);
            std::vector<FailureHandle> losses;
            for (std::uint32_t f = 0; f < c.failures.size(); ++f)
                if (c.failures[f].mode == "loss" && !running.failed({f})) losses.push_back({f});
            const detail::Happenings happenings = detail::each_alone(losses);
            if (!detail::why_one_by_one(before, happenings).empty()) continue;
            struct Goal {
                std::uint32_t function;
                Level below;
                Formula holds, kept;
            };
            std::vector<Goal> goals;
            for (std::uint32_t f = 0; f < c.functions.size(); ++f) {
                if (c.functions[f].modes.empty() || !detail::why_no_formula(before, f, happenings).empty()) continue;
                for (const Level below : {Level::normal, Level::degraded}) goals.push_back({f, below, detail::goal_formula(before, f, below, happenings), detail::goal_formula(before, f, below, happenings, true)});
            }
            formulas += goals.size();
            for (int i = 0; i < 60; ++i) {
                std::vector<bool> failed(losses.size(), false), working(losses.size(), true);
                State state = running;
                for (std::uint64_t n = 0; n < 1 + static_cast<std::uint64_t>(i) / 3; ++n) {
                    const std::size_t at = random() % losses.size();
                    failed[at] = true;
                    working[at] = false;
                    state.fail(losses[at]);
                }
                const Outcome after = settle(state);
                for (const Goal& goal : goals) {
                    INFO(net.model().name << ", " << *c.functions[goal.function].id << " below " << name_of(goal.below));
                    const bool below = after.judged()[goal.function].level > goal.below;
                    REQUIRE(goal.holds.value(failed) == below);
                    REQUIRE(goal.kept.value(working) != below);
                    ++compared;
                    below_level += below;
                }
            }
        }
    }
    CHECK(formulas > 500);
    CHECK(below_level > 10'000);
    CHECK(compared - below_level > 10'000);
}
