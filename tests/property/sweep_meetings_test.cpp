// A sweep for what is minimal settles only combinations whose events meet: against all of them, settled.
#include <cstdlib>
#include <map>
#include <random>

#include <fedfrom/solve/sweep.hpp>

#include "catch.hpp"
#include "islands.hpp"
#include "knots.hpp"
#include "networks.hpp"
#include "sweep_check.hpp"

using namespace fedfrom;
using namespace fedfrom::check;

namespace {

/// What is minimal among all changes, straight from the definition.
std::vector<SweepHit> minimal_of(const SweepResult& all, const Outcome& before) {
    std::map<Combination, std::map<std::uint32_t, Level>> changed;
    for (const SweepHit& hit : all.hits) changed[hit.events][hit.goal] = hit.level;
    std::vector<SweepHit> minimal;
    for (const SweepHit& hit : all.hits) {
        int worst = rank(before.judged()[hit.goal].level);
        for (const Combination& part : parts_of(hit.events)) {
            const auto it = changed.find(part);
            if (it != changed.end() && it->second.contains(hit.goal)) worst = std::max(worst, rank(it->second.at(hit.goal)));
        }
        if (rank(hit.level) > worst) minimal.push_back(hit);
    }
    return minimal;
}

/// Buses that hunt where what feeds them is dead: the relay of another feed opens as soon as they are fed.
void add_hunting(Model& m, const std::string& fed_from, int count) {
    for (int i = 0; i < count; ++i) {
        const std::string bus = "hunts" + std::to_string(i) + "_" + fed_from, relay = "relay" + std::to_string(i) + "_" + fed_from;
        m.elements[relay] = {.kind = Kind::relay, .inputs = {{"control", {{.from = "battery"}}}}, .rest = "open", .goes = {{"closed", not_(bus)}}, .without = {{"control", "open"}}, .after_s = 1};
        m.elements[bus] = {.kind = Kind::bus, .inputs = {{"power", {{.from = fed_from}, {.from = "battery", .via = {{relay}}}}}}};
    }
}

/// Losses of the generators of a model, by three, and a short that does nothing, but for which only what the light hangs on would be looked
/// at; it hangs on none of them, and is unknown with all three.
void check_too_much_hunts(Model m, std::vector<std::string> generators) {
    m.name = "Hunting";
    m.groups = {"systems"};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["lamp"] = {.kind = Kind::generator};
    m.elements["dynamo"] = {.kind = Kind::generator};
    m.elements["heater"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "dynamo"}}}}, .failures = {{"short", {}}}};
    m.functions["light"] = {.name = "Light", .group = "systems", .modes = {{"on", {.rank = 1, .when = "lamp"}}}};
    const Network net(m);
    SweepOptions options{.order = 3, .all = true};
    for (const std::string& generator : generators) options.events.push_back(Event::fail(net.failure(generator, "loss")));
    options.events.push_back(Event::fail(net.failure("heater", "short")));
    const State from = running_state(net);
    const Sweep everything(from, options);
    const auto known = minimal_of(everything.run(), everything.before());
    options.all = false;
    REQUIRE(Sweep(from, options).run().hits == known);
    REQUIRE(known == std::vector<SweepHit>{{{0, 1, 2}, net.function("light").index, Level::unknown}});
}

}  // namespace

TEST_CASE("A sweep settles together what hunts apart, since more than 256 worlds are unknown in everything", "[property]") {
    Model alone;
    for (const char* generator : {"a", "b", "c"}) {
        alone.elements[generator] = {.kind = Kind::generator};
        add_hunting(alone, generator, 3);
    }
    check_too_much_hunts(alone, {"a", "b", "c"});

    Model two;  // with a and b, with a and c
    for (const char* generator : {"a", "b", "c"}) two.elements[generator] = {.kind = Kind::generator};
    two.elements["ab"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "a"}, {.from = "b"}}}}};
    two.elements["ac"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "c"}, {.from = "a"}}}}};
    add_hunting(two, "ab", 5);
    Model both = two;
    add_hunting(two, "ac", 4);
    check_too_much_hunts(two, {"a", "b", "c"});

    both.elements.erase("ac");  // with a and b, with c alone
    add_hunting(both, "c", 4);
    check_too_much_hunts(both, {"a", "b", "c"});
    check_too_much_hunts(both, {"c", "a", "b"});
}

TEST_CASE("Of islands, a sweep says of every combination what settling it alone says", "[property]") {
    std::size_t hits = 0, alone = 0, triples = 0, left_out = 0;
    for (std::uint64_t seed = 0; seed < (std::getenv("FEDFROM_LONG") ? 600 : 10); ++seed) {
        const Network net(islands(seed));
        std::mt19937_64 random(seed);
        const State from = some_state(net, random);
        const std::vector<Event> events = some_events(from, 18, random);
        const Judged judged = by_hand(from, events, 3, seed % 2);
        SweepOptions options{.order = 3, .events = events, .one_mode_an_element = seed % 2 == 1};
        const Sweep sweep(from, options);
        const SweepResult result = sweep.run();
        INFO("seed " << seed);
        REQUIRE(result.hits == expected(judged, sweep.before().judged(), 3, false));
        options.all = true;
        const SweepResult all = Sweep(from, options).run();
        REQUIRE(result.alone <= all.alone);
        left_out += result.evaluated < all.evaluated;
        hits += result.hits.size();
        alone += result.alone;
        triples += !result.hits.empty() && result.hits.back().events[2] != none;
    }
    CHECK(hits > 50);
    CHECK(alone > 100);
    CHECK(triples > 1);
    CHECK(left_out > 3);
}

TEST_CASE("What is minimal of many events follows from all their combinations, however it is cut", "[property]") {
    std::vector<Network> many = networks();
    for (std::uint64_t seed = 50; seed < 53; ++seed) many.emplace_back(islands(seed, 4));
    std::size_t hits = 0;
    for (std::size_t i = 0; i < many.size(); ++i) {
        std::mt19937_64 random(i);
        const State from = some_state(many[i], random);
        SweepOptions options{.order = 3, .events = some_events(from, 27, random), .all = true};
        const SweepResult all = Sweep(from, options).run();
        options.all = false;
        const Sweep sweep(from, options);
        const auto known = minimal_of(all, sweep.before());
        INFO(many[i].model().name << " " << i);
        REQUIRE(sweep.run().hits == known);
        hits += known.size();
        for (const InstructionSet set : {InstructionSet::baseline, InstructionSet::avx2, InstructionSet::avx512}) {
            if (set > best_instruction_set()) continue;
            options.instructions = set;
            options.threads = 2;
            REQUIRE(Sweep(from, options).run().hits == known);
        }
        options.threads = 1;
        options.shards = 3;
        std::vector<SweepResult> shards;
        for (options.shard = 0; options.shard < options.shards; ++options.shard) shards.push_back(Sweep(from, options).run());
        REQUIRE(join(shards).hits == known);
    }
    CHECK(hits > 150);
}

TEST_CASE("What is minimal of every failure there is follows from all their combinations", "[property]") {
    // Any two that meet in one place only are among them.
    const auto check = [](const Network& net, int order) {
        const State from = running_state(net);
        SweepOptions options{.order = order, .all = true};
        const Sweep everything(from, options);
        const auto known = minimal_of(everything.run(), everything.before());
        options.all = false;
        INFO(net.model().name << ", order " << order);
        REQUIRE(Sweep(from, options).run().hits == known);
        return known.size();
    };
    for (std::uint64_t seed = 0; seed < 2; ++seed) CHECK(check(Network(islands(seed, 1)), 3) > 300);
    for (std::uint64_t seed = 0; seed < 6; ++seed) CHECK(check(Network(islands(seed, 2)), 2) > 100);
    for (const Network& net : networks()) CHECK(check(net, 2) > 0);
}

TEST_CASE("What is minimal where events meet in many ways follows from all their combinations", "[property]") {
    std::size_t hits = 0, triples = 0, less = 0;
    const std::uint64_t seeds = std::getenv("FEDFROM_LONG") ? 3000 : 60;
    for (std::uint64_t seed = 0; seed < seeds; ++seed) {
        const Network net(knot(seed));
        std::mt19937_64 random(seed);
        const State from = some_state(net, random);
        const std::vector<Event> events = seed % 3 == 0 ? some_faults(from, 27, random) : some_events(from, 27, random);
        SweepOptions options{.order = 3, .events = events, .all = true, .one_mode_an_element = seed % 2 == 1};
        const SweepResult all = Sweep(from, options).run();
        options.all = false;
        const Sweep sweep(from, options);
        const SweepResult minimal = sweep.run();
        INFO("seed " << seed);
        REQUIRE(minimal.hits == minimal_of(all, sweep.before()));
        hits += minimal.hits.size();
        triples += static_cast<std::size_t>(std::ranges::count_if(minimal.hits, [](const SweepHit& h) { return h.events[2] != none; }));
        less += minimal.evaluated * 2 < all.evaluated;
    }
    CHECK(hits > 10 * seeds);
    CHECK(triples > 3 * seeds);
    CHECK(less > seeds / 3);
}

TEST_CASE("What is minimal where faults come over several ways follows from all their combinations", "[property]") {
    std::size_t hits = 0;
    std::vector<std::uint64_t> list{1237};  // in which an event comes to a goal only by keeping two others apart
    for (std::uint64_t seed = 0; seed < (std::getenv("FEDFROM_LONG") ? 3000 : 40); ++seed) list.push_back(seed);
    for (const std::uint64_t seed : list) {
        const Network net(woven(seed));
        std::mt19937_64 random(seed);
        const State from = some_state(net, random);
        SweepOptions options{.order = 3, .events = seed % 3 == 0 ? some_faults(from, 30, random) : some_events(from, 30, random), .all = true, .one_mode_an_element = seed % 2 == 1};
        const SweepResult all = Sweep(from, options).run();
        options.all = false;
        const Sweep sweep(from, options);
        const auto known = minimal_of(all, sweep.before());
        INFO("seed " << seed);
        REQUIRE(sweep.run().hits == known);
        hits += known.size();
    }
    CHECK(hits > 10 * list.size());
}

TEST_CASE("A sweep leaves out combinations of shorts that do not meet", "[property]") {
    const Network net(bench::aircraft(400));
    const State from = running_state(net);
    SweepOptions options{.order = 3};
    for (std::uint32_t f = 0; f < net.compiled().failures.size(); ++f)
        if (net.compiled().failures[f].mode == "short") options.events.push_back(Event::fail({f}));
    const Sweep sweep(from, options);
    const SweepResult minimal = sweep.run();
    options.all = true;
    const SweepResult all = Sweep(from, options).run();
    CHECK(minimal.combinations == all.combinations);
    CHECK(minimal.hits == minimal_of(all, sweep.before()));
    CHECK(minimal.evaluated * 4 < all.evaluated);
}
