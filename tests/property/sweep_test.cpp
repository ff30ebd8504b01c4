// A sweep against settling each combination alone, however the work is cut and whatever the instruction set.
#include <cstdlib>
#include <map>
#include <random>
#include <stdexcept>
#include <string>

#include <fedfrom/solve/sweep.hpp>

#include "catch.hpp"
#include "networks.hpp"
#include "sweep_check.hpp"

using namespace fedfrom;
using namespace fedfrom::check;

TEST_CASE("A sweep says of every combination what settling it alone says", "[property]") {
    std::size_t combinations = 0, alone = 0, hits = 0, only_mode = 0;
    const bool run_long = std::getenv("FEDFROM_LONG") != nullptr;
    for (const Network& net : networks()) {
        for (std::uint64_t seed = 0; seed < (run_long ? 400 : 8); ++seed) {
            std::mt19937_64 random(seed);
            const State from = some_state(net, random);
            const std::vector<Event> events = some_events(from, 18, random);
            const int order = 1 + static_cast<int>(seed % 3);
            const bool one_mode = seed % 2;
            const Judged judged = by_hand(from, events, order, one_mode);
            for (const auto& [all, modes] : {std::pair(false, false), std::pair(true, false), std::pair(true, true)}) {
                const Sweep sweep(from, {.order = order, .events = events, .all = all, .modes = modes, .one_mode_an_element = one_mode});
                const SweepResult result = sweep.run();
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", order " << order << (all ? ", all" : "") << (modes ? ", modes" : ""));
                REQUIRE(result.combinations <= judged.size());
                if (all) REQUIRE(result.combinations == judged.size());
                REQUIRE(result.complete);
                const auto known = expected(judged, sweep.before().judged(), order, all, modes);
                REQUIRE(result.hits.size() == known.size());
                REQUIRE(result.hits == known);
                combinations += result.combinations;
                alone += result.alone;
                hits += result.hits.size();
                if (modes) only_mode += std::ranges::count_if(result.hits, [&](const SweepHit& h) { return h.level == sweep.before().judged()[h.goal].level; });
            }
        }
    }
    CHECK(hits > 1000);
    CHECK(only_mode > 20);
    WARN(combinations << " combinations, " << alone << " of them settled alone, " << hits << " hits");
}

TEST_CASE("A sweep on top of what is always there says what settling all of it in one step says", "[property]") {
    std::size_t hits = 0, by_themselves = 0;
    for (const Network& net : networks()) {
        for (std::uint64_t seed = 100; seed < 112; ++seed) {
            std::mt19937_64 random(seed);
            const State from = some_state(net, random);
            const std::vector<Event> always = some_events(from, 1 + seed % 2, random), events = some_events(from, 14, random);
            // Of two that may not come together nothing is said.
            if (always.size() == 2 && !together(net.compiled(), always[0], always[1], true)) continue;
            const int order = 1 + static_cast<int>(seed % 3);
            const bool one_mode = seed % 2;
            const Judged judged = by_hand(from, events, order, one_mode, always);
            for (const bool all : {false, true}) {
                SweepOptions options{.order = order, .events = events, .always = always, .all = all, .one_mode_an_element = one_mode};
                const Sweep sweep(from, options);
                const SweepResult result = sweep.run();
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", order " << order << (all ? ", all" : ""));
                if (all) REQUIRE(result.combinations == judged.size());
                const auto known = expected(judged, sweep.before().judged(), order, all);
                REQUIRE(result.hits == known);
                options.shards = 2;
                const SweepResult first = Sweep(from, options).run();
                options.shard = 1;
                REQUIRE(join({first, Sweep(from, options).run()}).hits == known);
                hits += known.size();
                by_themselves += !known.empty() && known.front().events[0] == none;
            }
        }
    }
    CHECK(hits > 500);
    CHECK(by_themselves > 10);
}

TEST_CASE("A sweep is the same however it is cut", "[property]") {
    for (const Network& net : networks()) {
        std::mt19937_64 random(3);
        const State from = some_state(net, random);
        const std::vector<Event> events = some_events(from, 40, random);
        for (int order = 1; order <= 3; ++order) {
            SweepOptions options{.order = order, .events = events};
            options.instructions = InstructionSet::baseline;
            const SweepResult once = Sweep(from, options).run();
            for (const InstructionSet set : {InstructionSet::baseline, InstructionSet::avx2, InstructionSet::avx512}) {
                if (set > best_instruction_set()) continue;
                options.instructions = set;
                options.threads = 3;
                const SweepResult again = Sweep(from, options).run();
                REQUIRE(again.hits == once.hits);
                REQUIRE(again.combinations == once.combinations);
                REQUIRE(again.alone == once.alone);
                options.threads = 1;
                options.shards = 3;
                std::vector<SweepResult> shards;
                for (options.shard = 0; options.shard < options.shards; ++options.shard) shards.push_back(Sweep(from, options).run());
                SweepResult joined = join(shards);
                joined.evaluated = once.evaluated;
                REQUIRE(joined == once);
                options.shard = 0;
                options.shards = 1;
            }
        }
    }
}

TEST_CASE("A visitor is handed every hit of a sweep in its order", "[property]") {
    for (const Network& net : networks()) {
        std::mt19937_64 random(5);
        const State from = some_state(net, random);
        const std::vector<Event> events = some_events(from, 40, random);
        for (int order = 1; order <= 3; ++order)
            for (const unsigned threads : {1u, 3u})
                for (const bool all : {false, true}) {
                    const Sweep sweep(from, {.order = order, .events = events, .all = all, .threads = threads});
                    SweepResult kept = sweep.run();
                    std::vector<SweepHit> handed;
                    const SweepResult rest = sweep.run([&](const SweepHit& hit) { handed.push_back(hit); });
                    REQUIRE(handed == kept.hits);
                    kept.hits.clear();
                    REQUIRE(rest == kept);
                }
    }
}

TEST_CASE("What a visitor or the progress of a sweep throws is thrown by the sweep", "[property]") {
    const Network net(bench::aircraft(150));
    const State from = running_state(net);
    for (const unsigned threads : {1u, 3u}) {
        REQUIRE_THROWS_AS(Sweep(from, {.order = 2, .threads = threads}).run([](const SweepHit&) { throw std::length_error("enough"); }), std::length_error);
        REQUIRE_THROWS_AS(Sweep(from, {.order = 2, .threads = threads, .progress = [](double) -> bool { throw std::length_error("enough"); }}).run(), std::length_error);
    }
}

TEST_CASE("Progress of a sweep ends at one, whatever the shard", "[property]") {
    const Network net(bench::aircraft(150));
    const State from = running_state(net);
    for (std::uint32_t shard = 0; shard < 3; ++shard) {
        std::vector<double> parts;
        Sweep(from, {.order = 2, .shard = shard, .shards = 3, .progress = [&](double part) { return parts.push_back(part), true; }}).run();
        REQUIRE(parts.front() == 0);
        REQUIRE(std::ranges::is_sorted(parts));
        REQUIRE(parts.back() == 1);
    }
}

TEST_CASE("A sweep combines a short with what alone does nothing but let it through", "[property]") {
    const Port both(Port::Join::parallel, {{.from = "gen_l", .via = {{"diode_l"}}}, {.from = "gen_r", .via = {{"diode_r"}}}});
    Model m{.name = "Two diodes", .elements = {{"gen_l", {.kind = Kind::generator}}, {"gen_r", {.kind = Kind::generator}}, {"diode_l", {.kind = Kind::diode}}, {"diode_r", {.kind = Kind::diode}},
                                               {"bus", {.kind = Kind::bus, .inputs = {{"power", both}}}}}};
    m.functions["power"] = {.modes = {{"bus", {.rank = 1, .when = "bus"}}}};
    const Network net(m);
    const Sweep sweep(running_state(net), {.order = 2, .events = {Event::fail(net.failure("diode_r", "short")), Event::fail(net.failure("gen_r", "short"))}});
    const SweepResult result = sweep.run();
    REQUIRE(result.inert == 0);
    REQUIRE(result.hits == std::vector<SweepHit>{{{0, 1, none}, 0, Level::lost}});
}
