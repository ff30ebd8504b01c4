// Cut sets and risk on structures whose answers are printed, or follow by hand. Random models: tests/oracle/test_cut_sets.py.
#include <algorithm>
#include <cmath>
#include <random>
#include <string>
#include <tuple>

#include <fedfrom/study/cut_sets.hpp>
#include <fedfrom/study/prime_implicants.hpp>
#include <fedfrom/study/risk.hpp>

#include "catch.hpp"
#include "study/goal_formula.hpp"

using namespace fedfrom;

namespace {

const std::string links[]{"link_1", "link_2", "link_3", "link_4", "link_5"};

/// DMTH404 Statistics (Lovely Professional University), unit 17.3, page 237: 1 source-top, 2 source-bottom, 3 top-bottom both ways, 4 top-sink, 5 bottom-sink.
Network bridge(double per_flight = 0.1) {
    Model m{.name = "Bridge"};
    m.elements["source"] = {.kind = Kind::generator, .fallible = false};
    for (const std::string& link : links) m.elements[link] = {.kind = Kind::contactor, .failures = {{"loss", {.probability = per_flight}}}};
    m.elements["top"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "source", .via = {{"link_1"}}}}}}, .fallible = false};
    m.elements["bottom"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "source", .via = {{"link_2"}}}}}}, .fallible = false};
    m.elements["sink"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "top", .via = {{"link_4"}}}, {.from = "bottom", .via = {{"link_5"}}}}}}, .fallible = false};
    m.ties["tie"] = {.between = {"top", "bottom"}, .via = {{"link_3"}}};
    m.functions["sink_works"] = {.modes = {{"on", {.rank = 1, .when = "sink"}}}};
    return Network(m);
}

std::vector<FailureRef> losses() {
    std::vector<FailureRef> list;
    for (const std::string& link : links) list.push_back({.element = link});
    return list;
}

/// For diagrams: combinations are settled one by one.
const Budget too_small{.nodes = 8};

std::string said(const CutSets& s) {
    std::string words;
    for (const auto& set : s.sets) {
        if (!words.empty()) words += ", ";
        for (const FailureRef& f : set) words += f.element.back();
    }
    return words;
}

}  // namespace

TEST_CASE("Cut sets and path sets of the bridge are those printed") {
    const Network net = bridge();
    REQUIRE(said(cut_sets(net, "sink_works", {.within = losses()})) == "12, 45, 135, 234");
    REQUIRE(said(path_sets(net, "sink_works", {.within = losses()})) == "14, 25, 135, 234");
    REQUIRE(said(cut_sets(net, "sink_works", {.order = 2, .within = losses()})) == "12, 45");
    const CutSets few = cut_sets(net, "sink_works", {.order = 2, .within = losses(), .most_sets = 1});
    REQUIRE(few.sets.size() == 1);
    REQUIRE(few.counts[2] == 2);
    REQUIRE(text(few).find("Only the first 1 of 2 sets are listed.") != std::string::npos);
}

TEST_CASE("What is lost already shortens the cut sets") {
    State state = running_state(bridge());
    state.fail("link_1");
    REQUIRE(said(cut_sets(state, "sink_works", {.within = losses()})) == "2, 35, 45");
}

TEST_CASE("The probability of the bridge, its importances and bounds are those computed from the structure") {
    // R(p) = 2p^2 + 2p^3 - 5p^4 + 2p^5, unreliability 0.02152 at p = 0.9; Birnbaum 0.1062 and 0.0162 for the tie.
    const Risk r = risk(bridge(), "sink_works", {.hours = 2, .within = losses()});
    REQUIRE(r.exact);
    REQUIRE(r.low == Approx(0.02152).epsilon(1e-12));
    REQUIRE(r.low == r.high);
    REQUIRE(r.per_hour_low == Approx(0.01076).epsilon(1e-12));
    REQUIRE(*r.rare_event == Approx(0.022).epsilon(1e-12));
    REQUIRE(*r.cut_set_bound == Approx(0.0218592199).epsilon(1e-12));
    REQUIRE(r.parts.size() == 5);
    for (const FailureRisk& part : r.parts) {
        const double slope = part.failure.element == "link_3" ? 0.0162 : 0.1062;
        REQUIRE(*part.birnbaum == Approx(slope).epsilon(1e-10));
        REQUIRE(*part.criticality == Approx(slope * 0.1 / 0.02152).epsilon(1e-10));
        REQUIRE(*part.achievement == Approx((0.02152 + 0.9 * slope) / 0.02152).epsilon(1e-10));
        REQUIRE(*part.reduction == Approx(0.02152 / (0.02152 - 0.1 * slope)).epsilon(1e-10));
    }
    // Sets with the tie: {1,3,5} and {2,3,4}; that either has happened: 2 * 0.001 - 0.1^5.
    REQUIRE(r.parts.back().failure.element == "link_3");
    REQUIRE(*r.parts.back().fussell_vesely == Approx((2e-3 - 1e-5) / 0.02152).epsilon(1e-10));
    REQUIRE(risk(bridge(0.01), "sink_works", {.hours = 1, .within = losses()}).low == Approx(2.0195020e-4).epsilon(1e-7));
}

TEST_CASE("However small the budget of risk is, the answer is exact or says what is missing") {
    // Six ways in, each through two contactors: few nodes, 64 sets.
    Model m{.name = "Six ways"};
    m.elements["source"] = {.kind = Kind::generator, .fallible = false};
    m.elements["sink"] = {.kind = Kind::consumer, .inputs = {{"power", {}}}, .fallible = false};
    for (const char* way : {"a", "b", "c", "d", "e", "f"}) {
        const std::string first = std::string("first_") + way, second = std::string("second_") + way;
        for (const std::string& id : {first, second}) m.elements[id] = {.kind = Kind::contactor, .failures = {{"loss", {.probability = 0.1}}}};
        m.elements["sink"].inputs.at("power").feeds.push_back({.from = "source", .via = {{first}, {second}}});
    }
    m.functions["sink_works"] = {.modes = {{"on", {.rank = 1, .when = "sink"}}}};
    const Network net(m);
    std::vector<FailureRef> within;
    for (const auto& [id, element] : m.elements)
        if (element.kind == Kind::contactor) within.push_back({.element = id});
    const RiskOptions whole{.hours = 1, .within = within};
    const double probability = risk(net, "sink_works", whole).low;
    REQUIRE(probability == Approx(std::pow(0.19, 6)));
    std::size_t refused = 0, in_part = 0;
    bool finished = false;
    for (std::uint64_t steps = 1; !finished; steps += 1 + steps / 8) {
        RiskOptions options = whole;
        options.budget.steps = steps;
        try {
            const Risk r = risk(net, "sink_works", options);
            REQUIRE(r.exact);
            REQUIRE(r.low == Approx(probability));
            REQUIRE(r.high == r.low);
            const bool sums = r.rare_event.has_value(), shares = r.parts.front().fussell_vesely.has_value();
            in_part += !sums || !shares;
            finished = sums && shares;
        } catch (const NotPossible&) {
            ++refused;
        }
    }
    REQUIRE(refused > 0);
    REQUIRE(in_part > 0);
}

TEST_CASE("The probability alone is the same as with each failure's part in it") {
    Model m{.name = "Two pumps"};
    for (const char* id : {"pump_a", "pump_b"}) m.elements[id] = {.kind = Kind::controller, .failures = {{"loss", {.rate = 1e-4, .hidden_for = 30}}}};
    m.functions["pressure"] = {.modes = {{"on", {.rank = 1, .when = any_of({"pump_a", "pump_b"})}}}, .severity = {{Level::lost, Severity::hazardous}}};
    const Network net(m);
    RiskOptions options{.hours = 10, .below = Level::degraded, .objectives = Objectives::ac_25_1309_1b};
    const Risk whole = risk(net, "pressure", options);
    options.parts = false;
    const Risk alone = risk(net, "pressure", options);
    CHECK(whole.parts.size() == 2);
    CHECK(whole.rare_event);
    CHECK(alone.parts.empty());
    CHECK(!alone.rare_event);
    CHECK(!alone.cut_set_bound);
    CHECK(std::tuple(alone.low, alone.high, alone.exact, alone.flights, alone.per_hour_low, alone.meets) == std::tuple(whole.low, whole.high, whole.exact, whole.flights, whole.per_hour_low, whole.meets));
    const auto says_so = [](const Risk& r) { return text(r).find("Which has what part in it was not asked for.") != std::string::npos; };
    CHECK(says_so(alone));
    CHECK(!says_so(whole));
}

TEST_CASE("A hidden failure grows likelier from flight to flight until it is checked") {
    Model m{.name = "Standby"};
    m.elements["main"] = {.kind = Kind::controller, .failures = {{"loss", {.rate = 1e-4}}}};
    m.elements["standby"] = {.kind = Kind::controller, .failures = {{"loss", {.rate = 1e-5, .hidden_for = 100}}}};
    m.functions["data"] = {.modes = {{"main", {.rank = 1, .when = "main"}}, {"standby", {.rank = 2, .when = "standby"}}}};
    const Risk r = risk(Network(m), "data", {.hours = 2, .below = Level::degraded});
    REQUIRE(r.flights == 50);
    double expected = 0;
    for (int flight = 1; flight <= 50; ++flight) expected += (1 - std::exp(-2e-4)) * (1 - std::exp(-2e-5 * flight)) / 50;
    REQUIRE(r.low == Approx(expected).epsilon(1e-12));
    REQUIRE(r.per_hour_low == Approx(expected / 2).epsilon(1e-12));
}

TEST_CASE("Checks that do not come together make the average over all flights until they do, and bounds hold on each") {
    Model m{.name = "Two hidden"};
    m.elements["a"] = {.kind = Kind::controller, .failures = {{"loss", {.rate = 1e-4, .hidden_for = 3}}}};
    m.elements["b"] = {.kind = Kind::controller, .failures = {{"loss", {.rate = 1e-4, .hidden_for = 2}}}};
    m.functions["data"] = {.modes = {{"any", {.rank = 1, .when = any_of({"a", "b"})}}}};
    const Risk r = risk(Network(m), "data", {.hours = 1});
    const auto p = [](int flights) { return 1 - std::exp(-1e-4 * flights); };
    double expected = 0;
    for (int flight = 0; flight < 6; ++flight) expected += p(flight % 3 + 1) * p(flight % 2 + 1) / 6;
    REQUIRE(r.flights == 6);
    REQUIRE(r.low == Approx(expected).epsilon(1e-12));
    REQUIRE(*r.rare_event == Approx(expected).epsilon(1e-12));
    REQUIRE(*r.cut_set_bound == Approx(expected).epsilon(1e-12));
}

TEST_CASE("A failure without a rate makes an interval, and is named") {
    Model m{.name = "Two"};
    m.elements["a"] = {.kind = Kind::controller, .failures = {{"loss", {.probability = 0.2}}}};
    m.elements["b"] = {.kind = Kind::controller};
    m.elements["c"] = {.kind = Kind::controller};
    m.functions["data"] = {.modes = {{"any", {.rank = 1, .when = any_of({"a", "b"})}}}};
    const Risk r = risk(Network(m), "data", {.hours = 1});
    REQUIRE(r.missing == std::vector<FailureRef>{{.element = "b"}});  // c takes no part
    REQUIRE(r.low == 0);
    REQUIRE(r.high == Approx(0.2));
    REQUIRE_FALSE(r.exact);
    REQUIRE(text(r).find("Neither rate nor probability is given for b: loss.") != std::string::npos);
}

TEST_CASE("Where faults spread, the probability is within the interval") {
    // Either generator's bus feeds the load; a short of a bus takes it alone. Lost when both buses are, or the load: by hand.
    Model m{.name = "Two buses"};
    for (const std::string side : {"l", "r"}) {
        m.elements["gen_" + side] = {.kind = Kind::generator, .failures = {{"loss", {.probability = 0.01}}, {"short", {.probability = 0.001}}}};
        m.elements["bus_" + side] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "gen_" + side}}}}, .failures = {{"loss", {.probability = 0.002}}, {"short", {.probability = 0.003}}}};
    }
    m.elements["load"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "bus_l"}, {.from = "bus_r"}}}}, .failures = {{"loss", {.probability = 0.004}}}};
    m.functions["load_works"] = {.modes = {{"on", {.rank = 1, .when = "load"}}}};
    const Risk r = risk(Network(m), "load_works", {.hours = 1});
    const double bus = 1 - 0.99 * 0.999 * 0.998 * 0.997, exact = 1 - (1 - bus * bus) * 0.996;
    REQUIRE_FALSE(r.exact);
    REQUIRE(r.low < exact);
    REQUIRE(exact < r.high);
    // Of two that spread at once nothing is known beyond three failures: far less than of all combinations.
    REQUIRE(r.high - r.low < 1e-5);
    RiskOptions one_by_one{.hours = 1};
    one_by_one.budget = too_small;
    const Risk settled = risk(Network(m), "load_works", one_by_one);
    REQUIRE(settled.low <= r.low);
    REQUIRE(settled.high > r.high);
}

TEST_CASE("The interval holds where something is certain to fail") {
    Model m{.name = "Certain"};
    m.elements["gen"] = {.kind = Kind::generator, .fallible = false};
    m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "gen"}}}}, .failures = {{"short", {.probability = 0.2}}}};
    for (const std::string load : {"load_0", "load_1"}) m.elements[load] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "bus"}}}}, .failures = {{"loss", {.probability = load == "load_0" ? 1 : 0.5}}}};
    m.functions["one"] = {.modes = {{"on", {.rank = 1, .when = "load_0"}}}};
    m.functions["both"] = {.modes = {{"on", {.rank = 1, .when = any_of({"load_0", "load_1"})}}}};
    const RiskOptions options{.hours = 1, .within = std::vector<FailureRef>{{.element = "bus", .mode = "short"}, {.element = "load_0"}, {.element = "load_1"}}};
    const Risk one = risk(Network(m), "one", options), both = risk(Network(m), "both", options);
    REQUIRE(one.exact);
    REQUIRE(one.low == Approx(1));
    REQUIRE(one.high == Approx(1));
    REQUIRE(both.low == Approx(0.6));
    REQUIRE(both.high == Approx(0.6));
    REQUIRE(text(both).find("Failures considered: only bus: short, load_0: loss and load_1: loss") != std::string::npos);
    RiskOptions one_by_one = options;
    one_by_one.budget = too_small;
    const Risk settled = risk(Network(m), "both", one_by_one);
    REQUIRE_FALSE(settled.exact);
    REQUIRE(settled.low == Approx(0.6));
    REQUIRE(settled.high == Approx(0.6));
}

TEST_CASE("A result is set against the objective that was asked for, and hidden pairs against their limits") {
    // AC 25.1309-1B, Table 4-1 and 5.3.6.4: a residual of 1e-5 per flight hour with a latency of 1e-4 gives 1e-9.
    const auto pair = [](double active, double latent) {
        Model m{.name = "Pair"};
        m.elements["active"] = {.kind = Kind::controller, .failures = {{"loss", {.rate = active}}}};
        m.elements["latent"] = {.kind = Kind::controller, .failures = {{"loss", {.rate = latent / 1000, .hidden_for = 1000}}}};
        m.functions["control"] = {.modes = {{"any", {.rank = 1, .when = any_of({"active", "latent"})}}}, .severity = {{Level::lost, Severity::catastrophic}}};
        return risk(Network(m), "control", {.hours = 1, .below = Level::degraded, .objectives = Objectives::ac_25_1309_1b});
    };
    const Risk within = pair(0.9e-5, 0.9e-4);
    REQUIRE(within.objective == 1e-9);
    REQUIRE(*within.limit == Approx(3e-9));
    REQUIRE(within.meets == true);
    REQUIRE(within.latent.empty());
    const Risk beyond = pair(2e-5, 2e-3);
    REQUIRE(beyond.meets == false);
    REQUIRE(beyond.latent.size() == 2);
    REQUIRE(beyond.latent[0].rule == LatentFinding::Rule::residual);
    REQUIRE(beyond.latent[0].failure.element == "latent");
    REQUIRE(beyond.latent[0].value == Approx(2e-5).epsilon(1e-4));
    REQUIRE(beyond.latent[1].rule == LatentFinding::Rule::latency);
    REQUIRE(beyond.latent[1].failure.element == "active");
    REQUIRE(beyond.latent[1].value == Approx(2e-3).epsilon(1e-2));
}

TEST_CASE("A single failure that is catastrophic is said, however unlikely") {
    Model m{.name = "One"};
    m.elements["only"] = {.kind = Kind::controller, .failures = {{"loss", {.rate = 1e-12}}}};
    m.functions["control"] = {.modes = {{"on", {.rank = 1, .when = "only"}}}, .severity = {{Level::lost, Severity::catastrophic}}};
    const Risk r = risk(Network(m), "control", {.hours = 1, .objectives = Objectives::ac_25_1309_1b});
    REQUIRE(r.single_failure);
    REQUIRE(r.meets == false);
    REQUIRE(risk(Network(m), "control", {.hours = 1}).objective == std::nullopt);
    REQUIRE_THROWS_AS(risk(Network(m), "control", {}), NotPossible);
}

namespace {

/// Four ways in, each through its own contactor, to a bus that a short may take.
Model four_ways() {
    Model m{.name = "Four ways"};
    m.elements["source"] = {.kind = Kind::generator, .fallible = false};
    m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {}}}};
    m.elements["load"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "bus"}}}}};
    for (const std::string id : {"way_1", "way_2", "way_3", "way_4"}) {
        m.elements[id] = {.kind = Kind::contactor};
        m.elements["bus"].inputs.at("power").feeds.push_back({.from = "source", .via = {{id}}});
    }
    m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = "load"}}}};
    return m;
}

const std::vector<FailureRef> short_and_losses{{.element = "bus", .mode = "short"}, {.element = "load"}, {.element = "way_1"}, {.element = "way_2"}, {.element = "way_3"}, {.element = "way_4"}};

}  // namespace

TEST_CASE("A set of four is found by settling where it is asked for") {
    const std::vector<FailureRef>& within = short_and_losses;
    const CutSets three = cut_sets(Network(four_ways()), "on", {.within = within, .budget = too_small});
    REQUIRE(three.complete_to == 3);
    REQUIRE_FALSE(three.spreading_to);
    REQUIRE(three.counts == std::vector<std::uint64_t>{0, 2});
    std::vector<double> parts;
    const CutSets four = cut_sets(Network(four_ways()), "on", {.order = 4, .within = within, .budget = too_small, .progress = [&](double part) { return parts.push_back(part), true; }});
    REQUIRE(four.complete_to == 4);
    REQUIRE(four.counts == std::vector<std::uint64_t>{0, 2, 0, 0, 1});
    REQUIRE(four.sets.back() == std::vector<FailureRef>(within.begin() + 2, within.end()));
    REQUIRE(four.by.find("every combination of up to four failures") != std::string::npos);
    REQUIRE(std::ranges::is_sorted(parts));
    REQUIRE(parts.back() == Approx(1));
    REQUIRE(cut_sets(Network(four_ways()), "on", {.order = 4, .within = within, .budget = too_small, .progress = [](double) { return false; }}).complete_to < 4);
}

TEST_CASE("With one failure that spreads all sets are found at once") {
    const CutSets all = cut_sets(Network(four_ways()), "on", {.within = short_and_losses});
    REQUIRE(all.complete);
    REQUIRE(all.counts == std::vector<std::uint64_t>{0, 2, 0, 0, 1});
    REQUIRE(all.by == "By settling every combination at once in which at most one of the failures spreads.");
}

TEST_CASE("With several that spread, sets with at most one of them are found whatever their size") {
    Model m = four_ways();
    // A second bus: two that may short.
    m.elements["bus_2"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "bus"}}}}};
    m.elements["load"].inputs.at("power").feeds = {{.from = "bus_2"}};
    std::vector<FailureRef> within = short_and_losses;
    within.push_back({.element = "bus_2", .mode = "short"});
    const CutSets most = cut_sets(Network(m), "on", {.within = within});
    REQUIRE_FALSE(most.complete);
    REQUIRE(most.complete_to == 3);
    REQUIRE(most.spreading_to == 1);
    REQUIRE(most.counts == std::vector<std::uint64_t>{0, 3, 0, 0, 1});
    REQUIRE(table(most).footnotes[1] == "Complete to 3 failures at once, and of any size where at most one failure spreads.");
}

TEST_CASE("What keeps its position is settled at once with all else") {
    // A relay that would go to the spare once the main one is lost, but for that it needs the main one's power.
    Model m{.name = "Stays"};
    for (const std::string id : {"main", "spare", "load"}) m.elements[id] = {.kind = Kind::controller};
    m.elements["relay"] = {.kind = Kind::relay, .inputs = {{"power", {{.from = "main"}}}}, .positions = {"main", "spare"}, .rest = "main", .goes = {{.to = "spare", .when = not_("main")}}, .without = {{"power", "stays"}}, .passes_in = {"main", "spare"}};
    m.functions["on"] = {.modes = {{"main", {.rank = 1, .when = all_of({"main", at("relay", "main")})}}, {"spare", {.rank = 2, .when = all_of({"spare", at("relay", "spare")})}}}};
    const CutSets cuts = cut_sets(Network(m), "on", {.below = Level::degraded});
    REQUIRE(cuts.complete);
    // Without power it stays, so that the loss of the main one is enough.
    REQUIRE(cuts.sets.front() == std::vector<FailureRef>{{.element = "main"}});
    REQUIRE(cuts.by == "By settling every combination at once: none of the failures considered spreads.");
}

TEST_CASE("What is less probable than was asked for is left out, and bounded") {
    // The bridge with 0.1 a link: pairs are 0.01, triples 0.001. Without a pair it is lost with two triples alone: 0.02152 in all.
    const CutSets probable = cut_sets(bridge(), "sink_works", {.hours = 1, .at_least = 5e-3, .within = losses()});
    REQUIRE(said(probable) == "12, 45");
    REQUIRE(probable.complete_from == 5e-3);
    REQUIRE_FALSE(probable.complete);
    REQUIRE(*probable.dropped >= 1e-3);
    REQUIRE(*probable.dropped <= 2.001e-3);
    REQUIRE(table(probable).footnotes[2].starts_with("Without all of one of the sets counted, the function is below the level with a probability of at most 0.00"));
    const CutSets all = cut_sets(bridge(), "sink_works", {.hours = 1, .at_least = 9e-4, .within = losses()});
    REQUIRE(all.complete);
    REQUIRE(all.dropped == 0);
    REQUIRE_THROWS_WITH(cut_sets(bridge(), "sink_works", {.at_least = 0.1}), "`at_least` needs the `hours` of a flight.");
    REQUIRE_THROWS_WITH(cut_sets(bridge(), "sink_works", {.order = 2, .hours = 1, .at_least = 0.1}), "A limit on `order` or on probability, not both.");
    REQUIRE_THROWS_WITH(path_sets(bridge(), "sink_works", {.hours = 1}), "Path sets are not failures that happen: leave `hours` out.");
}

TEST_CASE("A hidden failure counts with what it is just before its check, and one without a rate as certain") {
    Model m{.name = "Pair"};
    m.elements["a"] = {.kind = Kind::controller, .failures = {{"loss", {.rate = 1e-5, .hidden_for = 1000}}}};
    m.elements["b"] = {.kind = Kind::controller};
    m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = any_of({"a", "b"})}}}};
    const double worst = -std::expm1(-1e-5 * 1000);
    const CutSets kept = cut_sets(Network(m), "on", {.hours = 10, .at_least = worst * 0.99});
    REQUIRE(kept.counts == std::vector<std::uint64_t>{0, 0, 1});
    REQUIRE(kept.missing == std::vector<FailureRef>{{.element = "b"}});
    const CutSets none_kept = cut_sets(Network(m), "on", {.hours = 10, .at_least = worst * 1.05});
    REQUIRE(none_kept.sets.empty());
    REQUIRE(*none_kept.dropped == Approx(worst));
}

TEST_CASE("Prime implicants say what must have failed and what must work") {
    // On while a works or b does not: below normal exactly where a has failed and b has not.
    Model m{.name = "Helping"};
    for (const std::string id : {"a", "b", "c"}) m.elements[id] = {.kind = Kind::controller};
    m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = any_of({"a", not_("b")})}}}};
    const PrimeImplicants p = prime_implicants(Network(m), "on");
    REQUIRE(p.sets == std::vector<Implicant>{{.failed = {{.element = "a"}}, .working = {{.element = "b"}}}});
    REQUIRE(p.counts == std::vector<std::uint64_t>{0, 0, 1});
    REQUIRE(text(p).find("a: loss") != std::string::npos);
}

TEST_CASE("Prime implicants of what no failure can help are its cut sets") {
    const Network net = bridge();
    const PrimeImplicants p = prime_implicants(net, "sink_works", {.within = losses()});
    const CutSets cuts = cut_sets(net, "sink_works", {.within = losses()});
    REQUIRE(p.sets.size() == cuts.sets.size());
    for (std::size_t i = 0; i < p.sets.size(); ++i) {
        REQUIRE(p.sets[i].failed == cuts.sets[i]);
        REQUIRE(p.sets[i].working.empty());
    }
    PrimeImplicantOptions short_of{.within = losses()};
    short_of.budget.nodes = 4;
    REQUIRE_THROWS_WITH(prime_implicants(net, "sink_works", short_of), "The prime implicants of `sink_works` cannot be told: the budget does not suffice; a larger `nodes`, or fewer failures in `within`, may.");
}

namespace {

/// Two ways; a burst takes both with a probability of 0.03, water one, and nobody knows how likely that is.
Model two_ways() {
    Model m{.name = "Two ways"};
    for (const std::string id : {"way_1", "way_2"}) m.elements[id] = {.kind = Kind::controller, .zone = "bay", .failures = {{"loss", {.probability = 0.1}}}};
    m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = any_of({"way_1", "way_2"})}}}};
    m.common_causes["burst"] = {.name = "Burst", .probability = 0.03, .fails = {{.element = "way_1"}, {.element = "way_2"}}};
    m.common_causes["water"] = {.name = "Water", .fails = {{.element = "way_1"}}};
    return m;
}

/// The same behind a bus that a short may take.
Model two_ways_to_a_bus() {
    Model m = two_ways();
    m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "way_1"}, {.from = "way_2"}}}}, .failures = {{"loss", {.probability = 0}}, {"short", {.probability = 0.002}}}};
    m.functions["on"].modes["on"].when = "bus";
    return m;
}

}  // namespace

TEST_CASE("A common cause with a probability is one more thing that happens") {
    const Risk r = risk(Network(two_ways()), "on", {.hours = 1});
    REQUIRE(r.exact);
    REQUIRE(r.low == Approx(1 - (1 - 0.03) * (1 - 0.1 * 0.1)));
    // The burst, then the bay lost as a whole; water takes one way only.
    REQUIRE(r.causes.size() == 2);
    REQUIRE(r.causes[0] == CauseRisk{.id = "burst", .name = "Burst", .fails = {{.element = "way_1"}, {.element = "way_2"}}, .alone = true, .probability = 0.03});
    REQUIRE(r.causes[1] == CauseRisk{.zone = true, .id = "bay", .fails = {{.element = "way_1"}, {.element = "way_2"}}, .alone = true});
    REQUIRE(r.parts.size() == 3);
    REQUIRE(r.parts.front().cause == "burst");
    REQUIRE(*r.parts.front().birnbaum == Approx(1 - 0.1 * 0.1));
    REQUIRE(std::ranges::count(table(r).footnotes, "Alone take it below, without a probability and so not in these figures: zone bay lost as a whole.") == 1);

    const Risk alone = risk(Network(two_ways()), "on", {.hours = 1, .causes = false});
    REQUIRE(alone.low == Approx(0.01));
    REQUIRE(alone.causes.empty());
    REQUIRE(risk(Network(two_ways()), "on", {.hours = 1, .within = {{{.element = "way_1"}, {.element = "way_2"}}}}).low == Approx(0.01));
}

TEST_CASE("Where two may spread no budget ends a risk with less than an interval that holds") {
    Model m = two_ways_to_a_bus();
    m.elements["way_1"] = {.kind = Kind::generator, .zone = "bay", .failures = {{"loss", {.probability = 0.1}}, {"short", {.probability = 0.01}}}};
    const double whole = risk(Network(m), "on", {.hours = 1}).low;
    for (std::uint32_t nodes = 8; nodes < 2000; nodes += 8) {
        const Risk r = risk(Network(m), "on", {.hours = 1, .budget = {.nodes = nodes}});
        REQUIRE(r.low <= whole * (1 + 1e-9));
        REQUIRE(r.high >= whole * (1 - 1e-9));
    }
}

TEST_CASE("A rate of a common cause goes by the hours of a flight, and what has failed already it does not bring again") {
    Model m = two_ways();
    m.common_causes["burst"].probability = std::nullopt;
    m.common_causes["burst"].rate = 1e-3;
    REQUIRE(*risk(Network(m), "on", {.hours = 5}).causes.front().probability == Approx(-std::expm1(-5e-3)));
    State state = running_state(Network(m));
    state.fail("way_1");
    const Risk r = risk(state, "on", {.hours = 5});
    REQUIRE(r.causes.front().fails == std::vector<FailureRef>{{.element = "way_2"}});
    REQUIRE(r.low == Approx(1 - 0.9 * std::exp(-5e-3)));
}

TEST_CASE("Where combinations are settled, common causes are settled with them") {
    const double exact = 1 - (1 - 0.03) * (1 - 0.1 * 0.1) * (1 - 0.002);
    const Risk at_once = risk(Network(two_ways_to_a_bus()), "on", {.hours = 1});
    REQUIRE(at_once.exact);
    REQUIRE(at_once.low == Approx(exact));
    const Risk r = risk(Network(two_ways_to_a_bus()), "on", {.hours = 1, .budget = too_small});
    REQUIRE_FALSE(r.exact);
    REQUIRE(r.low <= exact * (1 + 1e-12));
    REQUIRE(r.high >= exact * (1 - 1e-12));
    REQUIRE(r.high - r.low < 1e-9);
}

TEST_CASE("With two common causes at once anything may be, where combinations are settled") {
    Model m = two_ways_to_a_bus();
    m.common_causes["water"].probability = 0.25;
    const Risk r = risk(Network(m), "on", {.hours = 1, .budget = too_small});
    const double bus = 0.002, ways = 0.03 + 0.97 * (0.25 * 0.1 + 0.75 * 0.01), exact = 1 - (1 - ways) * (1 - bus);
    REQUIRE(r.low < exact);
    REQUIRE(r.high > exact);
    REQUIRE(r.high - r.low == Approx(0.03 * 0.25));
}

namespace {

/// A relay that chases itself while all of these have failed; the function is on while the relay's load is not.
Model chased_by(std::vector<Condition> failures, double first, double second) {
    Model m{.name = "Chased"};
    m.elements["source"] = {.kind = Kind::battery, .fallible = false};
    m.elements["a"] = {.kind = Kind::controller, .failures = {{"loss", {.probability = 0}}, {"m1", {.probability = first}}, {"m2", {.probability = second}}}};
    failures.push_back(at("r", "open"));
    m.elements["r"] = {.kind = Kind::relay, .rest = "open", .goes = {{.to = "closed", .when = all_of(failures)}}, .fallible = false, .after_s = 1};
    m.elements["load"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "source", .via = {{"r"}}}}}}, .fallible = false};
    m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = not_("load")}}}};
    return m;
}

}  // namespace

TEST_CASE("What hunts only with two modes of one element counts in a probability, and in no cut set") {
    Model two_modes = chased_by({failure("a", "m1"), failure("a", "m2")}, 0.1, 0.2);
    const Risk r = risk(Network(two_modes), "on", {.hours = 1});
    REQUIRE(r.low <= 0.02);
    REQUIRE(r.high >= Approx(0.02));
    REQUIRE(cut_sets(Network(two_modes), "on").complete);
    REQUIRE(cut_sets(Network(two_modes), "on").sets.empty());

    Model cause_beside = chased_by({failure("a", "m1")}, 0.5, 0);
    cause_beside.common_causes["c"] = {.probability = 0.5, .fails = {{.element = "a", .mode = "m1"}}};
    const Risk both = risk(Network(cause_beside), "on", {.hours = 1});
    REQUIRE(both.low <= Approx(0.75));
    REQUIRE(both.high >= Approx(0.75));
}

TEST_CASE("However small the budget of cut sets is, they say what they are complete to") {
    Model m{.name = "Two modes"};
    for (const std::string id : {"u0", "u1", "u2"})
        m.elements[id] = {.kind = Kind::controller, .needs = not_(any_of({failure(id, "m"), failure(id, "n")})), .failures = {{"m", {}}, {"n", {}}}};
    m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = any_of({"u0", "u1", "u2"})}}}};
    const Network net(m);
    std::size_t finished = 0, short_of = 0;
    for (std::uint32_t nodes = 1; nodes < 200; ++nodes) {
        CutSetOptions options;
        options.budget.nodes = nodes;
        const CutSets cuts = cut_sets(net, "on", options);
        (cuts.complete ? finished : short_of)++;
        if (cuts.complete) REQUIRE(cuts.counts == std::vector<std::uint64_t>{0, 0, 0, 27});
    }
    REQUIRE(finished > 0);
    REQUIRE(short_of > 0);
}

TEST_CASE("The share of losses with a cut set of a failure is no more than the whole, also where a failure helps") {
    Model m{.name = "Helping"};
    for (const std::string id : {"a", "b"}) m.elements[id] = {.kind = Kind::controller, .failures = {{"loss", {.probability = 0.5}}}};
    m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = any_of({"a", not_("b")})}}}};
    const Risk r = risk(Network(m), "on", {.hours = 1});
    REQUIRE(r.low == Approx(0.25));
    REQUIRE(r.parts.front().failure.element == "a");
    REQUIRE(*r.parts.front().fussell_vesely == Approx(1));
}

TEST_CASE("How much likelier the loss is with a failure that may happen is as if it were left out, however likely and whether or not it helps") {
    std::mt19937_64 random(5);
    const auto below = [&](std::size_t end) { return static_cast<std::size_t>(random() % end); };
    std::size_t in_every_loss = 0, most_of_it = 0, helping = 0;
    for (int i = 0; i < 300; ++i) {
        INFO("network " << i);
        Model m{.name = "Random"};
        std::vector<Condition> some;
        for (const char* id : {"a", "b", "c", "d", "e"}) {
            const double probabilities[]{0.01, 0.3, 0.5, 0.51, 0.9, 1 - 1e-9, 1e-9, 1e-3};
            m.elements[id] = {.kind = Kind::controller, .failures = {{"loss", {.probability = probabilities[below(8)]}}}};
            some.push_back(id);
        }
        for (int gate = 0; gate < 6; ++gate) {
            std::vector<Condition> of;
            for (int o = 0; o < 3; ++o) of.push_back(below(i % 2 == 0 ? 6 : 1000) == 0 ? not_(some[below(some.size())]) : some[some.size() - 1 - below(std::min<std::size_t>(some.size(), 6))]);
            some.push_back(at_least(static_cast<int>(1 + below(3)), of));
        }
        m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = some.back()}}}};
        const Network net(m);
        const Risk whole = risk(net, "on", {.hours = 1});
        if (whole.already || whole.low == 0) continue;
        for (const FailureRisk& part : whole.parts) {
            std::vector<FailureRef> others;
            for (const auto& [id, element] : m.elements)
                if (id != part.failure.element) others.push_back({.element = id});
            const double rest = risk(net, "on", {.hours = 1, .within = others}).low;
            if (rest == 0) CHECK(std::isinf(*part.reduction));
            else CHECK(*part.reduction == Approx(whole.low / rest).epsilon(1e-13).margin(0));
            in_every_loss += rest == 0;
            most_of_it += rest > 0 && rest < whole.low / 2;
            helping += *part.birnbaum < 0;
        }
    }
    CHECK(in_every_loss > 20);
    CHECK(most_of_it > 20);
    CHECK(helping > 20);
}

TEST_CASE("A function's formula reads failures in the author's order, by which orders of variables go") {
    Model m{.name = "Order"};
    for (const char* id : {"a", "b", "y", "z"}) m.elements[id] = {.kind = Kind::controller};
    m.elements["gate"] = {.kind = Kind::controller, .needs = any_of({"y", "a"}), .fallible = false};
    m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = all_of({"z", "gate", "b"})}}}};
    const Network net(m);
    State state = running_state(net);
    const Outcome before = settle(state);
    const std::vector<FailureHandle> failures = detail::failures_to_combine(before.state(), {{{.element = "a"}, {.element = "b"}, {.element = "y"}, {.element = "z"}}});
    const Formula f = detail::goal_formula(before, net.function("on").index, Level::normal, detail::each_alone(failures));
    std::string read;
    for (const std::uint32_t v : depth_first_order(f)) read += detail::ref_of(net.compiled(), failures[v]).element;
    REQUIRE(read == "zyab");
}

TEST_CASE("What is there twice on the way round a loop is there once in the formula") {
    Model m{.name = "Ring"};
    m.elements["source"] = {.kind = Kind::generator};
    for (const char* bus : {"left", "right"}) m.elements[bus] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "source"}}}}, .fallible = false};
    m.ties["tie"] = {.between = {"left", "right"}};
    m.functions["on"] = {.modes = {{"on", {.rank = 1, .when = all_of({"left", "right"})}}}};
    const Network net(m);
    State state = running_state(net);
    const Outcome before = settle(state);
    const Formula f = detail::goal_formula(before, net.function("on").index, Level::normal, detail::each_alone({net.failure("source", "loss")}));
    REQUIRE(f.top == f.variable(0));
}
