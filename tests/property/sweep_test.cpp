// A sweep against settling each combination alone, however the work is cut and whatever the instruction set.
#include <cstdlib>
#include <map>
#include <random>
#include <stdexcept>
#include <string>

#include <fedfrom/solve/sweep.hpp>

#include "catch.hpp"
#include "networks.hpp"

using namespace fedfrom;

namespace {

/// A few events of any kind, without two that are the same.
std::vector<Event> some_events(const State& from, std::size_t count, std::mt19937_64& random) {
    const Compiled& c = from.network().compiled();
    const auto pick = [&](std::size_t n) { return static_cast<std::uint32_t>(random() % n); };
    std::vector<Event> list;
    for (int tries = 0; tries < 500 && list.size() < count; ++tries) {
        // One draw a statement: the order of drawing must not hang on the compiler.
        const std::uint32_t kind = pick(12), number = pick(1u << 20), value = pick(2);
        Event e = Event::fail({number % static_cast<std::uint32_t>(c.failures.size())});
        if (kind < 3) e = Event::set({number % static_cast<std::uint32_t>(c.elements.size())}, value);
        if (kind == 3) e.value = value;
        if (kind == 4 && !c.givens.empty()) e = Event::given({number % static_cast<std::uint32_t>(c.givens.size())}, value == 1);
        State copy = from;
        if (copy.apply(e) == Refusal::none && std::ranges::find(list, e) == list.end()) list.push_back(e);
    }
    return list;
}

/// A settled state some random events away from the running one.
State some_state(const Network& net, std::mt19937_64& random) {
    State state = running_state(net);
    for (const Event& e : some_events(state, random() % 4, random)) state.apply(e);
    settle(state);
    return state;
}

using Combination = std::array<std::uint32_t, 3>;
using Levels = std::map<Combination, std::vector<Level>>;

bool together(const Compiled& c, const Event& a, const Event& b, bool one_mode) {
    if (a.kind == b.kind && a.index == b.index) return false;
    if (a.kind == Event::Kind::given || b.kind == Event::Kind::given) return true;
    const auto element = [&](const Event& e) { return e.kind == Event::Kind::fail ? c.failures[e.index].element : e.index; };
    const bool alone = one_mode || a.kind == Event::Kind::set || b.kind == Event::Kind::set;
    return element(a) != element(b) || !alone;
}

/// Every combination settled by itself.
Levels by_hand(const State& from, const std::vector<Event>& events, int order, bool one_mode) {
    const Compiled& c = from.network().compiled();
    Levels levels;
    const auto n = static_cast<std::uint32_t>(events.size());
    const auto settle_one = [&](const Combination& combination) {
        State state = from;
        for (const std::uint32_t e : combination)
            if (e != none) state.apply(events[e]);
        std::vector<Level> list;
        const Outcome out = settle(state);
        for (const Judgement& judged : out.judged()) list.push_back(judged.level);
        levels[combination] = list;
    };
    for (std::uint32_t i = 0; i < n; ++i) {
        settle_one({i, none, none});
        for (std::uint32_t j = i + 1; order > 1 && j < n; ++j) {
            if (!together(c, events[i], events[j], one_mode)) continue;
            settle_one({i, j, none});
            for (std::uint32_t k = j + 1; order > 2 && k < n; ++k)
                if (together(c, events[i], events[k], one_mode) && together(c, events[j], events[k], one_mode)) settle_one({i, j, k});
        }
    }
    return levels;
}

int rank(Level l) { return l == Level::normal ? 0 : l == Level::degraded ? 1 : 2; }

int size_of(const Combination& c) { return 1 + (c[1] != none) + (c[2] != none); }

std::vector<Combination> parts_of(const Combination& c) {
    if (size_of(c) == 1) return {};
    if (size_of(c) == 2) return {{c[0], none, none}, {c[1], none, none}};
    return {{c[0], none, none}, {c[1], none, none}, {c[2], none, none}, {c[0], c[1], none}, {c[0], c[2], none}, {c[1], c[2], none}};
}

/// What is listed of the sizes up to `order`, straight from the definition.
std::vector<SweepHit> expected(const Levels& levels, const std::vector<Judgement>& before, int order, bool all) {
    std::vector<SweepHit> hits;
    for (int size = 1; size <= order; ++size)
        for (const auto& [combination, list] : levels) {
            if (size_of(combination) != size) continue;
            for (std::uint32_t f = 0; f < before.size(); ++f) {
                int worst = rank(before[f].level);
                for (const Combination& part : parts_of(combination)) worst = std::max(worst, rank(levels.at(part)[f]));
                if (all ? list[f] != before[f].level : rank(list[f]) > worst) hits.push_back({combination, f, list[f]});
            }
        }
    return hits;
}

}  // namespace

TEST_CASE("A sweep says of every combination what settling it alone says", "[property]") {
    std::size_t combinations = 0, alone = 0, hits = 0;
    const bool run_long = std::getenv("FEDFROM_LONG") != nullptr;
    for (const Network& net : networks()) {
        for (std::uint64_t seed = 0; seed < (run_long ? 400 : 8); ++seed) {
            std::mt19937_64 random(seed);
            const State from = some_state(net, random);
            const std::vector<Event> events = some_events(from, 18, random);
            const int order = 1 + static_cast<int>(seed % 3);
            const bool one_mode = seed % 2;
            const Levels levels = by_hand(from, events, order, one_mode);
            for (const bool all : {false, true}) {
                const Sweep sweep(from, {.order = order, .events = events, .all = all, .one_mode_an_element = one_mode});
                const SweepResult result = sweep.run();
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", order " << order << (all ? ", all" : ""));
                REQUIRE(result.combinations <= levels.size());
                if (all) REQUIRE(result.combinations == levels.size());
                REQUIRE(result.complete);
                const auto known = expected(levels, sweep.before().judged(), order, all);
                REQUIRE(result.hits.size() == known.size());
                REQUIRE(result.hits == known);
                combinations += result.combinations;
                alone += result.alone;
                hits += result.hits.size();
            }
        }
    }
    CHECK(hits > 1000);
    WARN(combinations << " combinations, " << alone << " of them settled alone, " << hits << " hits");
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
