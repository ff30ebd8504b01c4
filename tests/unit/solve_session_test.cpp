// One rule a case: what a session takes, tells and refuses.
#include <fedfrom/network/malfunctions.hpp>
#include <fedfrom/solve/bistable.hpp>
#include <fedfrom/solve/session.hpp>
#include <fedfrom/solve/step.hpp>

#include "catch.hpp"

using namespace fedfrom;

namespace {

/// A generator and a battery on one bus, a radio behind a breaker, a fire bottle.
Network radio() {
    Model m{.name = "Radio", .edition = "2"};
    m.elements["generator"] = {.kind = Kind::generator, .ata = "24-30", .failures = {{"overheat", {}}}};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "generator"}, {.from = "battery"}}}}};
    m.elements["cb_radio"] = {.kind = Kind::breaker};
    m.elements["radio"] = {.kind = Kind::consumer, .name = "Radio 1", .group = "radios", .inputs = {{"power", {{.from = "bus", .via = {{"cb_radio"}}}}}}};
    m.elements["lamp"] = {.kind = Kind::annunciator, .inputs = {{"power", {{.from = "battery"}}}}, .shows = {{"lit", not_("generator")}}, .unpowered = "out"};
    m.elements["bottle"] = {.kind = Kind::bottle, .store = Store{.applications = 2}};
    m.functions["talk"] = {.modes = {{"radio", {.rank = 1, .when = "radio"}}}};
    m.functions["extinguish"] = {.modes = {{"both", {.rank = 1, .when = "battery", .spend = {{"bottle", 2}}}}, {"one", {.rank = 2, .when = "battery", .spend = {{"bottle", 1}}, .bars = {"flare"}}},
                                           {"flare", {.rank = 3, .when = "battery"}}}};
    return Network(m);
}

std::vector<std::string> told(Session& session) {
    std::vector<std::string> lines;
    for (const SessionChange& change : session.settle()) lines.push_back(text(change, session.network()));
    return lines;
}

using Lines = std::vector<std::string>;

}  // namespace

TEST_CASE("A session tells only what changed, each with the next link of its cause") {
    const Network net = radio();
    Session session(running_state(net));
    CHECK(told(session) == Lines{});
    session.apply(Event::fail(net.failure("generator")));
    CHECK(told(session) == Lines{"generator: supplied -> failed, because generator loss", "lamp shows: nothing -> lit, because generator has no supply"});
    session.apply(Event::fail(net.failure("battery")));
    CHECK(told(session) == Lines{"battery: supplied -> failed, because battery loss", "bus: supplied -> unsupplied, because battery has no supply",
                                 "lamp: supplied -> unsupplied, because battery has no supply", "lamp shows: lit -> out, because lamp has no supply",
                                 "radio: supplied -> unsupplied, because bus has no supply", "extinguish: normal (both) -> lost, not now, because battery has no supply",
                                 "talk: normal (radio) -> lost, not now, because radio has no supply"});
    session.apply(Event::repair(net.element("battery")));
    CHECK(session.settle().size() == 7);
    CHECK(session.judged(net.function("talk")).level == Level::normal);
}

TEST_CASE("A hand's move is the reason of what it cuts off") {
    const Network net = radio();
    Session session(running_state(net));
    session.apply(Event::set(net.element("cb_radio"), 1));
    CHECK(told(session) == Lines{"cb_radio: in -> pulled, because cb_radio set to pulled", "radio: supplied -> unsupplied, because cb_radio blocks",
                                 "talk: normal (radio) -> lost, not now, because radio has no supply"});
}

TEST_CASE("A trip's reason is the fault, where only one is present, and the trip that of what it opens") {
    Model m = radio().model();
    m.elements["radio"].failures["short"] = {};
    m.elements["lamp"].failures["short"] = {};
    const Network shorts(m);
    Session one(running_state(shorts)), two(running_state(shorts));
    one.apply(Event::fail(shorts.failure("radio", "short")));
    CHECK(told(one) == Lines{"cb_radio: in -> pulled, because cb_radio has tripped", "cb_radio: not tripped -> tripped, because radio short", "radio: supplied -> failed, because radio short",
                             "talk: normal (radio) -> lost, not now, because radio has no supply"});
    for (const char* id : {"radio", "lamp"}) two.apply(Event::fail(shorts.failure(id, "short")));
    const Lines both = told(two);
    CHECK(both[0] == "battery: supplied -> dragged_down, because a fault drags down battery");
    CHECK(std::ranges::count(both, "cb_radio: not tripped -> tripped") == 1);
    two.apply(Event::repair(shorts.element("lamp")));
    two.apply(Event::repair(shorts.element("radio")));
    two.apply(Event::reset(shorts.element("cb_radio")));
    CHECK(std::ranges::count(told(two), "cb_radio: tripped -> not tripped, because cb_radio is reset") == 1);
}

TEST_CASE("Where something stands is never the reason that it now stands there") {
    Model m = radio().model();
    m.elements["valve"] = {.kind = Kind::valve, .inputs = {{"power", {{.from = "bus", .via = {{"cb_radio"}}}}}}, .follows = Follow{.leader = "handle", .map = {{"OUT", "closed"}}},
                           .without = {{"power", "closed"}}};
    m.elements["handle"] = {.kind = Kind::handle, .positions = {"IN", "OUT"}, .reach = Reach::cockpit};
    const Network net(m);
    Session session(running_state(net));
    session.apply(Event::set(net.element("handle"), 1));
    CHECK(told(session) == Lines{"handle: IN -> OUT, because handle set to OUT", "valve: open -> closed, because handle set to OUT"});
    session.apply(Event::set(net.element("handle"), 0));
    session.settle();
    session.apply(Event::set(net.element("cb_radio"), 1));
    CHECK(std::ranges::count(told(session), "valve: open -> closed, because cb_radio set to pulled") == 1);
}

TEST_CASE("What comes and goes within a step is not told") {
    const Network net = radio();
    Session session(running_state(net));
    session.apply(Event::fail(net.failure("battery")));
    session.apply(Event::repair(net.element("battery")));
    CHECK(told(session) == Lines{});
}

TEST_CASE("A step is applied repairs first, whatever its order") {
    const Network net = radio();
    Session session(running_state(net));
    const Event step[]{Event::set(net.element("cb_radio"), 1), Event::fail(net.failure("radio")), Event::repair(net.element("radio"))};
    CHECK(session.apply(step) == 0);
    session.settle();
    CHECK(session.status(net.element("radio")) == Status::failed);
}

TEST_CASE("A step by ids clears, repairs, fails, sets and uses, in this order, or does nothing") {
    const Network net = radio();
    State state = running_state(net);
    state.fail("radio").use("extinguish", "both");
    settle(state);
    const Step step{.fail = {{"generator"}}, .set = {{"cb_radio", "pulled"}}, .use = {{"extinguish", "one"}, {"extinguish", "one"}}, .clear_all = true};
    Session session(state);
    CHECK(session.apply(events_of(step, net)) == 0);
    session.settle();
    apply(state, step);
    settle(state);
    CHECK((session.state() == state));
    CHECK(!state.failed(net.failure("radio")));
    CHECK(session.status(net.element("bottle")) == Status::spent);

    const State before = state;
    CHECK_THROWS_WITH(apply(state, {.repair = {"generator"}, .use = {{"extinguish", "one"}}}), "`one` of `extinguish` takes more than its stores still hold.");
    CHECK_THROWS_AS(apply(state, {.fail = {{"bus"}, {"bos"}}}), UnknownId);
    CHECK((state == before));
}

TEST_CASE("Networks of equal models are the same aircraft, and a session goes on from a state of either") {
    const Network net = radio(), again = radio();
    Model m = radio().model();
    m.edition = "3";
    CHECK((net == again));
    CHECK_FALSE((net == Network(m)));
    State state = running_state(again);
    CHECK((state == running_state(net)));
    state.fail("radio");
    settle(state);
    Session session(running_state(net));
    session.load(state);
    CHECK(told(session) == Lines{"radio: supplied -> failed", "talk: normal (radio) -> lost, not now"});
    CHECK_THROWS_AS(session.load(running_state(Network(m))), NotPossible);
}

TEST_CASE("A light that is not fitted shows nothing") {
    Model m = radio().model();
    m.elements["lamp"].fitted = false;
    State state = running_state(Network(m));
    const Outcome out = settle(state);
    CHECK(out.shown(out.network().element("lamp")) == "");
}

TEST_CASE("What the aircraft does not allow is refused with a sentence and changes nothing") {
    const Network net = radio();
    Session session(running_state(net));
    const State before = session.state();
    const auto refused = [&](const Event& e) {
        const Refusal refusal = session.apply(e);
        CHECK(refusal != Refusal::none);
        return text(refusal, e, net);
    };
    CHECK(refused(Event::set(net.element("bus"), 0)) == "Nobody sets `bus` directly: it moves by itself.");
    CHECK(refused(Event::set(net.element("cb_radio"), 7)) == "`cb_radio` has no position 7; it has 2.");
    CHECK(refused(Event::reset(net.element("radio"))) == "`radio` does not trip, so there is nothing to reset.");
    CHECK(refused(Event::fail(net.failure("radio"), 0)) == "Only `stuck` can be at a position; `loss` of `radio` cannot.");
    CHECK(refused(Event::fail({9999})) == "This handle names nothing in Radio.");
    CHECK((session.state() == before));
    CHECK(session.settle().empty());
}

TEST_CASE("Using a one-shot mode takes from its store, and what is gone cannot be used again") {
    const Network net = radio();
    Session session(running_state(net));
    const OneShotHandle one = net.one_shot("extinguish", "one"), both = net.one_shot("extinguish", "both");
    CHECK(session.apply(Event::use(one)) == Refusal::none);
    CHECK(told(session) == Lines{"extinguish: normal (both) -> degraded (one), because extinguish by both was used"});
    CHECK(text(session.apply(Event::use(both)), Event::use(both), net) == "`both` of `extinguish` takes more than its stores still hold.");
    CHECK(session.apply(Event::use(one)) == Refusal::none);
    session.settle();
    CHECK(session.status(net.element("bottle")) == Status::spent);
    CHECK(session.judged(net.function("extinguish")).level == Level::lost);  // `flare` is barred by `one`
    CHECK(session.apply(Event::use(one)) == Refusal::nothing_left);
    session.apply(Event::repair(net.element("bottle")));
    session.settle();
    CHECK(session.judged(net.function("extinguish")).level == Level::normal);
}

TEST_CASE("A mode that does not exist cannot be used, and bars nothing") {
    Model m = radio().model();
    m.elements["spare"] = {.kind = Kind::battery, .fitted = false};
    m.functions["extinguish"].modes["one"].when = all_of({"battery", "spare"});
    const Network net(m);
    REQUIRE(net.compiled().one_shots.size() == 1);
    CHECK(*net.compiled().one_shots.front().mode == "both");
    CHECK(net.compiled().one_shots.front().barred_by.empty());
    CHECK_THROWS_AS(net.one_shot("extinguish", "one"), NotPossible);
    State state = running_state(net);
    state.use("extinguish", "both");
    CHECK(settle(state).mode("extinguish") == "flare");
}

TEST_CASE("What is used while it cannot work is spent in vain") {
    const Network net = radio();
    State state = running_state(net);
    state.fail("battery");
    settle(state);
    state.use("extinguish", "both");
    state.repair("battery");
    CHECK(settle(state).mode("extinguish") == "flare");
    CHECK(settle(state).status("bottle") == Status::spent);
}

TEST_CASE("Clearing all passes over what remembers a position and is not fitted") {
    Model m = radio().model();
    m.elements["valve"] = {.kind = Kind::valve, .goes = {{"closed", not_("radio")}}, .after_s = 2, .fitted = false};
    const Network net(m);
    State state = running_state(net);
    const State before = state;
    state.clear_all();
    CHECK(settle(state).level("talk") == Level::normal);
    CHECK((state == before));
}

TEST_CASE("What sticks in the step in which all is cleared sticks where it stood") {
    Model m = radio().model();
    m.elements["selector"] = {.kind = Kind::selector, .positions = {"off", "on"}, .reach = Reach::cockpit};
    const Network with(m);
    State other = running_state(with);
    other.set("selector", "on");
    settle(other);
    other.clear_all().fail("selector", "stuck");
    CHECK(settle(other).position("selector") == "on");
}

TEST_CASE("Clearing all gives the aircraft that never failed, with these hands and givens") {
    Model m = radio().model();
    m.elements["valve"] = {.kind = Kind::valve, .inputs = {{"power", {{.from = "bus"}}}}, .goes = {{"closed", at("cb_radio", "pulled")}}, .without = {{"power", "stays"}}};
    const Network net(m);
    Session session(running_state(net));
    session.apply(Event::set(net.element("cb_radio"), 1));
    session.settle();
    const State healthy = session.state();
    for (const char* id : {"battery", "generator", "valve"}) session.apply(Event::fail(net.failure(id)));
    session.apply(Event::use(net.one_shot("extinguish", "both")));
    session.settle();
    session.apply(Event::clear_all());
    session.settle();
    CHECK((session.state() == healthy));
}

TEST_CASE("Passes that run out leave the session moving, and the next call goes on") {
    Model m = radio().model();
    m.elements["valve_a"] = {.kind = Kind::valve, .inputs = {{"power", {{.from = "bus"}}}}, .goes = {{"closed", not_("radio")}}, .without = {{"power", "stays"}}};
    m.elements["valve_b"] = {.kind = Kind::valve, .inputs = {{"power", {{.from = "bus"}}}}, .goes = {{"closed", at("valve_a", "closed")}}, .without = {{"power", "stays"}}};
    const Network net(m);
    Session session(running_state(net));
    session.apply(Event::fail(net.failure("radio")));
    CHECK(told(session).size() == 4);  // at once: the radio and what hangs on it
    session.apply(Event::clear_all());
    session.settle();
    session.apply(Event::fail(net.failure("radio")));
    session.settle(1);
    CHECK(session.still_moving());
    CHECK(session.judged(net.function("talk")).level == Level::normal);  // functions wait
    while (session.still_moving()) session.settle(1);
    CHECK(session.position(net.element("valve_b")) == 1);
    CHECK(session.judged(net.function("talk")).level == Level::lost);
}

TEST_CASE("What hunts is told as unknown, and again as known when it rests") {
    Model m{.name = "Hunter"};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "battery", .via = {{"relay"}}}}}}};
    m.elements["relay"] = {.kind = Kind::relay, .goes = {{"open", all_of({"bus", given("try")})}}, .after_s = 1};
    m.given["try"] = false;
    m.functions["light"] = {.modes = {{"bus", {.rank = 1, .when = "bus"}}}};
    const Network net(m);
    Session session(running_state(net));
    session.apply(Event::given(net.given("try"), true));
    session.settle();
    CHECK(session.hunting() == std::vector<std::uint32_t>{net.element("relay").index});
    CHECK(session.status(net.element("bus")) == Status::unknown);
    CHECK(session.judged(net.function("light")).level == Level::unknown);
    session.apply(Event::given(net.given("try"), false));
    session.settle();
    CHECK(session.hunting().empty());
    CHECK(session.judged(net.function("light")).level == Level::normal);
}

TEST_CASE("Malfunctions come with handle, name and chapter") {
    const Network net = radio();
    const auto list = malfunctions(net);
    REQUIRE(list.size() == net.compiled().failures.size());
    const auto it = std::ranges::find(list, "overheat", &Malfunction::mode);
    REQUIRE(it != list.end());
    CHECK(*it == Malfunction{net.failure("generator", "overheat"), "generator", "overheat", "generator", "24-30", ""});
    CHECK(std::ranges::find(list, "Radio 1", &Malfunction::name)->group == "radios");
}

TEST_CASE("Bistable is what differs between the running and the cold aircraft") {
    Model m{.name = "Self-exciting"};
    m.elements["engine"] = {.kind = Kind::engine};
    m.elements["generator"] = {.kind = Kind::generator, .inputs = {{"drive", {{.from = "engine"}}}, {"field", {{.from = "bus"}}}}, .holds_in = true};
    m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "generator"}}}}};
    CHECK(bistable(Network(m)) == std::vector<std::string>{"bus", "generator"});
    CHECK(bistable(radio()).empty());
}
