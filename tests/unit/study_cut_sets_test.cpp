// Cut sets and risk on structures whose answers are printed, or follow by hand. Random models: tests/oracle/test_cut_sets.py.
#include <cmath>
#include <string>

#include <fedfrom/study/cut_sets.hpp>
#include <fedfrom/study/risk.hpp>

#include "catch.hpp"

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
    REQUIRE(r.high - r.low < 1e-4);
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
    REQUIRE_FALSE(one.exact);
    REQUIRE(one.low == Approx(1));
    REQUIRE(one.high == Approx(1));
    REQUIRE(both.low == Approx(0.6));
    REQUIRE(both.high == Approx(0.6));
    REQUIRE(text(both).find("Failures considered: only bus: short, load_0: loss and load_1: loss") != std::string::npos);
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
