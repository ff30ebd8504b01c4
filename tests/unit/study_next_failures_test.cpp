#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/next_failures.hpp>

#include "study_samples.hpp"

using namespace fedfrom;

namespace {

const NextFailure* find(const NextFailures& next, const std::string& id, const std::string& mode = "loss") {
    const auto it = std::ranges::find_if(next.rows, [&](const NextFailure& f) { return f.now.id == id && f.now.mode == mode; });
    return it == next.rows.end() ? nullptr : &*it;
}

const SourcesLeft& sources(const NextFailures& next, const std::string& function) { return *std::ranges::find(next.sources, function, &SourcesLeft::function); }

/// `n` generators on one bus, and one light on it.
Model generators(int n) {
    Model m{.name = "Generators"};
    std::vector<Feed> feeds;
    for (int i = 1; i <= n; ++i) {
        m.elements["gen_" + std::to_string(i)] = {.kind = Kind::generator};
        feeds.push_back({.from = "gen_" + std::to_string(i)});
    }
    m.elements["bus"] = samples::bus(feeds);
    m.functions["power"] = {.name = "Power", .modes = {{"bus", {.rank = 1, .when = "bus"}}}, .severity = {{Level::lost, Severity::hazardous}}};
    return m;
}

}  // namespace

TEST_CASE("a failure is newly exposed where neither it nor what is present does as much alone", "[study][next]") {
    const Network net(generators(2));
    State state = running_state(net);
    state.fail("gen_1");
    const NextFailures next = next_failures(state);
    const NextFailure* second = find(next, "gen_2");
    REQUIRE(second);
    CHECK(second->exposed == std::vector<Exposed>{{"power", Level::normal, Level::lost, Level::normal, "", "bus"}});
    CHECK(second->worst == Severity::hazardous);
    CHECK(second->exposed_worst == Severity::hazardous);
    CHECK_FALSE(second->clean_worst);
    const NextFailure* bus = find(next, "bus");
    REQUIRE(bus);
    CHECK(bus->exposed.empty());  // the bus takes it on the clean aircraft too
    CHECK(bus->clean_worst == Severity::hazardous);
    CHECK(next.newly_exposed(Severity::hazardous) == 2);  // its loss and its short
    CHECK(next.newly_exposed(Severity::major) == 0);
}

TEST_CASE("nothing is newly exposed on the clean aircraft", "[study][next]") {
    const NextFailures next = next_failures(Network(samples::two_bus()));
    CHECK(next.changes.empty());
    for (const NextFailure& f : next.rows) CHECK(f.exposed.empty());
    CHECK(text(next).find("Already, against the clean aircraft: nothing lost or degraded.") != std::string::npos);
}

TEST_CASE("a worse mode at the same level is exposed too", "[study][next]") {
    Model m = generators(3);
    m.functions["power"].modes = {{"all", {.rank = 1, .when = all_of({"gen_1", "gen_2", "gen_3"})}},
                                  {"two", {.rank = 2, .when = at_least(2, {"gen_1", "gen_2", "gen_3"})}},
                                  {"one", {.rank = 3, .when = any_of({"gen_1", "gen_2", "gen_3"})}}};
    m.functions["power"].severity[Level::degraded] = Severity::major;
    State state = running_state(Network(m));
    state.fail("gen_1");
    const NextFailures next = next_failures(state);
    const NextFailure* second = find(next, "gen_2");
    REQUIRE(second);
    CHECK(second->exposed == std::vector<Exposed>{{"power", Level::degraded, Level::degraded, Level::degraded, "one", "two"}});
    CHECK(second->worst == Severity::major);
    CHECK(next.changes.size() == 1);
}

TEST_CASE("rows come by severity, not by how many elements go", "[study][next]") {
    const NextFailures next = next_failures(Network(samples::two_bus()));
    for (std::size_t i = 1; i < next.rows.size(); ++i) CHECK(next.rows[i - 1].worst >= next.rows[i].worst);
}

TEST_CASE("independent sources are counted exactly up to three, then four or more", "[study][next]") {
    for (int n = 1; n <= 5; ++n) {
        const NextFailures next = next_failures(Network(generators(n)));
        const SourceCount& count = sources(next, "power").now;
        CHECK(count.count == std::min(n, 4));
        CHECK(count.exact);
        CHECK(count.sets.size() == (n <= 3 ? 1u : 0u));
    }
}

TEST_CASE("two generators behind one controller are one source", "[study][next]") {
    Model m = generators(2);
    m.elements["control"] = {.kind = Kind::controller};
    for (const std::string id : {"gen_1", "gen_2"}) m.elements[id].inputs = {{"field", {{.from = "control"}}}};
    const NextFailures next = next_failures(Network(m));
    CHECK(sources(next, "power").now.count == 1);
    CHECK(sources(next, "power").now.sets == std::vector<std::vector<std::string>>{{"control"}});
    CHECK(next.counted == std::vector<std::string>{"control", "gen_1", "gen_2"});
}

TEST_CASE("the store that a mode spends from is one of its sources", "[study][next]") {
    Model m = generators(2);
    m.elements["bottle"] = {.kind = Kind::bottle, .store = Store{.applications = 1}};
    m.functions["power"].modes = {{"shot", {.rank = 1, .when = "bus", .spend = {{"bottle", 1}}}}};
    const NextFailures next = next_failures(Network(m));
    CHECK(sources(next, "power").now.count == 1);
    CHECK(sources(next, "power").now.sets == std::vector<std::vector<std::string>>{{"bottle"}});
}

TEST_CASE("two ways that need the same source are one, two ports that need two sources are one each", "[study][next]") {
    Model m = generators(2);
    m.elements["bus_b"] = samples::bus({{.from = "gen_1"}, {.from = "gen_2"}});
    // Disjoint paths would say two for the ANDed ports; one loss is enough.
    m.elements["display"] = {.kind = Kind::panel, .inputs = {{"power", {{.from = "gen_1"}}}, {"cooling", {{.from = "gen_2"}}}}};
    m.functions["show"] = {.modes = {{"display", {.rank = 1, .when = "display"}}}};
    m.functions["either"] = {.modes = {{"bus", {.rank = 1, .when = any_of({"bus", "bus_b"})}}}};
    const NextFailures next = next_failures(Network(m));
    CHECK(sources(next, "show").now.count == 1);
    CHECK(sources(next, "show").now.sets == std::vector<std::vector<std::string>>{{"gen_1"}, {"gen_2"}});
    CHECK(sources(next, "either").now.count == 2);
}

TEST_CASE("sources left are counted against the clean aircraft; what is gone has none", "[study][next]") {
    const Network net(generators(2));
    State state = running_state(net);
    state.fail("gen_1");
    CHECK(sources(next_failures(state), "power").now.count == 1);
    CHECK(sources(next_failures(state), "power").clean.count == 2);
    state.fail("gen_2");
    const NextFailures gone = next_failures(state);
    CHECK(sources(gone, "power").now.count == 0);
    CHECK(text(gone).find("already lost") != std::string::npos);
}

TEST_CASE("a budget that runs out is said, and the number is then a least one", "[study][next]") {
    const NextFailures next = next_failures(Network(generators(3)), {.most_settles = 5});
    const SourceCount& count = sources(next, "power").now;
    CHECK_FALSE(count.exact);
    CHECK(count.count == 2);  // single losses were all tried
    CHECK(text(next).find("not counted further") != std::string::npos);
    CHECK(text(next).find("Incomplete: the search stopped at 5 trials.") != std::string::npos);
}

TEST_CASE("what needs no source is kept without any", "[study][next]") {
    Model m = generators(1);
    m.functions["always"] = {.modes = {{"always", {.rank = 1, .when = all_of({})}}}};
    const NextFailures next = next_failures(Network(m));
    CHECK(sources(next, "always").now.kept_without);
    CHECK(text(next).find("kept without any") != std::string::npos);
}

TEST_CASE("losses that help are not taken for granted: a set is tried as a whole", "[study][next]") {
    // The relay closes when its coil dies; the light is lost by gen_1 alone, and saved by losing gen_1 and gen_2.
    Model m{.name = "Rescue"};
    m.elements["gen_1"] = {.kind = Kind::generator};
    m.elements["gen_2"] = {.kind = Kind::generator};
    m.elements["gen_3"] = {.kind = Kind::generator};
    m.elements["rescue"] = {.kind = Kind::relay, .inputs = {{"control", {{.from = "gen_2"}}}}, .rest = "open", .without = {{"control", "closed"}}};
    m.elements["bus"] = samples::bus({{.from = "gen_1"}, {.from = "gen_3", .via = {{"rescue"}}}});
    m.functions["power"] = {.modes = {{"bus", {.rank = 1, .when = "bus"}}}};
    const SourceCount count = sources(next_failures(Network(m)), "power").now;
    CHECK(count.count == 1);
    CHECK(count.sets == std::vector<std::vector<std::string>>{{"gen_1"}});
}

TEST_CASE("an unknown level counts as lost, never as kept", "[study][next]") {
    const NextFailures next = next_failures(Network(samples::chatter()));
    CHECK(sources(next, "talk").now.count == 1);
    const NextFailure* gen = find(next, "gen");
    REQUIRE(gen);
    CHECK(gen->now.unknown == 1);
}

TEST_CASE("goals choose the functions", "[study][next]") {
    const NextFailures next = next_failures(Network(samples::two_bus()), {.goals = {"talk"}});
    CHECK(next.sources.size() == 1);
    CHECK(text(next).find("Functions examined: only Talk to ATC") != std::string::npos);
    CHECK_THROWS_AS(next_failures(Network(samples::two_bus()), {.goals = {"tallk"}}), UnknownId);
}
