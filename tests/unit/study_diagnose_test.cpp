#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/diagnose.hpp>
#include <fedfrom/study/quiz.hpp>

#include "crew_samples.hpp"

using namespace fedfrom;

namespace {

std::vector<std::string> words(const Candidate& c) {
    std::vector<std::string> list;
    for (const FailureRef& f : c.failures) list.push_back(f.element + " " + f.mode);
    return list;
}

bool lists(const Diagnosis& d, const std::vector<std::string>& failures, std::size_t contradictions = 0) {
    return std::ranges::any_of(d.candidates, [&](const Candidate& c) { return words(c) == failures && c.contradicts.size() == contradictions; });
}

}  // namespace

TEST_CASE("what works counts as much as what is dead", "[study][diagnose]") {
    const Network net(samples::two_bus());
    const Diagnosis dead = diagnose(net, {{"radio", "dead"}}, {.most_failures = 1});
    CHECK(lists(dead, {"standby loss"}));
    CHECK(lists(dead, {"radio loss"}));
    const Diagnosis also = diagnose(net, {{"radio", "dead"}, {"gear_valve", "works"}}, {.most_failures = 1, .mistaken = false});
    CHECK_FALSE(lists(also, {"standby loss"}));
    CHECK(lists(also, {"radio loss"}));
    CHECK(also.unexpected == std::vector<std::size_t>{0});
}

TEST_CASE("a light may itself be dead", "[study][diagnose]") {
    Model m = samples::two_bus();
    m.elements["standby_light"].unpowered = "dark";
    m.elements["standby_light"].shows.push_back({"out", "standby"});
    const Network net(m);
    CHECK(lists(diagnose(net, {{"standby_light", "dark"}}, {.most_failures = 1}), {"standby_light loss"}));
    const Diagnosis d = diagnose(net, {{"standby_light", "dark"}, {"radio", "works"}});
    CHECK(lists(d, {"standby_light loss"}));
    CHECK_FALSE(lists(d, {"main_l loss"}));  // would take the radio
    CHECK(lists(d, {"main_l loss"}, 1));
}

TEST_CASE("a failure that masks another is found with it", "[study][diagnose]") {
    // The standby bus is dead, and its light is not lit: two things have failed, or one that takes both.
    const Network net(samples::two_bus());
    const Diagnosis d = diagnose(net, {{"standby", "dead"}, {"standby_light", "out"}, {"main_l", "works"}});
    CHECK(lists(d, {"standby loss", "standby_light loss"}));
    CHECK(std::ranges::none_of(d.candidates, [](const Candidate& c) { return c.contradicts.empty() && c.failures.size() < 2; }));
    CHECK(d.complete);
    CHECK(d.complete_to == 2);
}

TEST_CASE("a switch that was tried narrows it down, whichever order it is told in", "[study][diagnose]") {
    const Network net(samples::two_bus());
    std::vector<Observation> seen{{"radio", "dead"}, {"radio", "works", {.set = {{"standby_switch", "BATT"}}}}};
    const Diagnosis d = diagnose(net, seen, {.most_failures = 1, .mistaken = false});
    CHECK(lists(d, {"main_l loss"}));
    CHECK_FALSE(lists(d, {"standby loss"}));
    CHECK_FALSE(lists(d, {"radio loss"}));
    std::ranges::reverse(seen);
    CHECK(diagnose(net, seen, {.most_failures = 1, .mistaken = false}).candidates == d.candidates);
}

TEST_CASE("with nothing out of order nothing need have failed", "[study][diagnose]") {
    const Network net(samples::two_bus());
    const Diagnosis d = diagnose(net, {{"radio", "works"}, {"standby_light", "out"}});
    REQUIRE(d.candidates.size() == 1);
    CHECK(d.candidates[0].failures.empty());
    CHECK(d.unexpected.empty());
    CHECK(text(d).find("nothing more need have failed") != std::string::npos);
    CHECK(diagnose(net, {}).candidates.size() == 1);
}

TEST_CASE("a single symptom may be a mistake", "[study][diagnose]") {
    const Diagnosis d = diagnose(Network(samples::two_bus()), {{"radio", "dead"}, {"standby", "works"}}, {.most_failures = 1});
    CHECK(lists(d, {}, 1));
    CHECK(lists(d, {"standby loss"}, 1));
    CHECK(d.candidates.front().contradicts.empty());
}

TEST_CASE("what is unknown neither explains nor contradicts", "[study][diagnose]") {
    const Diagnosis d = diagnose(Network(samples::chatter()), {{"radio", "dead"}});
    CHECK(lists(d, {"bus loss"}));
    const auto gen = std::ranges::find_if(d.candidates, [](const Candidate& c) { return words(c) == std::vector<std::string>{"gen loss"}; });
    REQUIRE(gen != d.candidates.end());
    CHECK(gen->undecided == std::vector<std::size_t>{0});
    CHECK(gen->contradicts.empty());
    CHECK(std::ranges::all_of(d.candidates.begin(), gen, [](const Candidate& c) { return c.undecided.empty(); }));
}

TEST_CASE("the likeliest of a size comes first, and a missing rate is said and not assumed", "[study][diagnose]") {
    Model m = samples::two_bus();
    m.elements["radio"].failures = {{"loss", {.rate = 1e-4}}};
    m.elements["standby"].failures = {{"loss", {.rate = 1e-7}}};
    const Network net(m);
    const Diagnosis d = diagnose(net, {{"radio", "dead"}}, {.most_failures = 1});
    CHECK(words(d.candidates[0]) == std::vector<std::string>{"radio loss"});
    CHECK(words(d.candidates[1]) == std::vector<std::string>{"standby loss"});
    CHECK_FALSE(d.candidates[2].likely);
    CHECK(d.candidates[2].missing == d.candidates[2].failures);
    CHECK_FALSE(d.by_rates);
    const Diagnosis said = diagnose(net, {{"radio", "dead"}}, {.most_failures = 1, .prior = {{{"standby", "loss"}, 0.5}}});
    CHECK(words(said.candidates[0]) == std::vector<std::string>{"standby loss"});
    CHECK_THROWS_AS(diagnose(net, {{"radio", "dead"}}, {.prior = {{{"standby", "loss"}, 0.0}}}), NotPossible);
}

TEST_CASE("the next look tells candidates apart and says what each result leaves", "[study][diagnose]") {
    const Diagnosis d = diagnose(Network(samples::two_bus()), {{"radio", "dead"}, {"main_l", "works"}}, {.most_failures = 1, .mistaken = false});
    REQUIRE_FALSE(d.looks.empty());
    const NextLook& look = d.looks.front();
    CHECK(look.bits > 0);
    std::size_t left = 0;
    for (const auto& r : look.results) left += r.leaves.size();
    CHECK(left == d.considered);  // nothing is unknown here
    CHECK(std::ranges::is_sorted(d.looks, std::ranges::greater{}, &NextLook::bits));
}

TEST_CASE("a function in a situation is judged with the situation and its demand together, and with the functions it reads", "[study][diagnose]") {
    Model m = samples::two_bus();
    m.functions["land"] = {.modes = {{"down", {.rank = 1, .when = level("gear_extension", "normal")}}}};
    const Network net(m);
    const Demand battery{.set = {{"standby_switch", "BATT"}}};
    // On the battery the gear does not hang on the main bus.
    const Diagnosis d = diagnose(net, {{"land", "dead"}, {"land", "works", battery}}, {.most_failures = 1, .mistaken = false});
    CHECK(lists(d, {"main_l loss"}));
    CHECK_FALSE(lists(d, {"gear loss"}));
}

TEST_CASE("what cannot be observed is refused, and says what can", "[study][diagnose]") {
    const Network net(samples::two_bus());
    CHECK_THROWS_AS(diagnose(net, {{"raido", "dead"}}), UnknownId);
    CHECK_THROWS_AS(diagnose(net, {{"radio", "lit"}}), NotPossible);
    CHECK_THROWS_AS(diagnose(net, {{"gear_handle", "works"}}), NotPossible);
    CHECK_THROWS_AS(diagnose(net, {{"talk", "lit"}}), NotPossible);
    CHECK_THROWS_AS(diagnose(net, {{"radio", "dead", {.set = {{"standby_switch", "OFF"}}}}}), NotPossible);
    CHECK_THROWS_AS(diagnose(net, {{"radio", "dead", {.set = {{"gear_valve", "open"}}}}}), NotPossible);
    CHECK_THROWS_AS(diagnose(net, {{"radio", "dead"}}, {.most_failures = 4}), NotPossible);
}

TEST_CASE("cancelled, it says that it is not complete", "[study][diagnose]") {
    const Diagnosis d = diagnose(Network(samples::two_bus()), {{"radio", "dead"}}, {.progress = [](double) { return false; }});
    CHECK_FALSE(d.complete);
    CHECK(d.complete_to < 2);
    CHECK(text(d).find("Incomplete") != std::string::npos);
}

TEST_CASE("a quiz hides, shows and judges", "[study][quiz]") {
    const Network net(samples::two_bus());
    Quiz q = quiz(net, {.hidden = {{"standby"}}});
    REQUIRE(q.symptoms() == 1);
    CHECK(q.seen()[0] == Observation{"standby_light", "lit", {}});
    CHECK_FALSE(q.guess({{"radio"}}).right);
    CHECK(q.guess({{"radio"}}).contradicts == std::vector<std::size_t>{0});
    CHECK(q.guess({{"standby"}}).right);
    // It looks like the switch, until the switch is moved.
    CHECK(q.guess({{"standby_switch"}}).looks_the_same);
    CHECK(q.look("talk") == Observation{"talk", "lost", {}});
    CHECK(q.seen().size() == 2);
    CHECK(q.guess({{"standby_switch"}}).explains.size() == 2);
    CHECK(q.look("main_l")->seen == "works");
    CHECK_THROWS_AS(q.look("raido"), UnknownId);
    CHECK(text(q).find("standby loss") == std::string::npos);
}

TEST_CASE("the same seed hides the same, and what is drawn shows", "[study][quiz]") {
    const Network net(samples::two_bus());
    std::vector<std::vector<FailureRef>> answers;
    for (std::uint64_t seed = 0; seed < 20; ++seed) {
        const Quiz q = quiz(net, {.seed = seed});
        CHECK(q.symptoms() > 0);
        CHECK(quiz(net, {.seed = seed}).answer() == q.answer());
        answers.push_back(q.answer());
    }
    CHECK(std::ranges::any_of(answers, [&](const auto& a) { return a != answers.front(); }));
    CHECK_THROWS_AS(quiz(Network(samples::chain(3))), NotPossible);  // nothing shows anything
}
