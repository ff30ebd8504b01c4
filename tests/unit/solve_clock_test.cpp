// One rule a case: what takes time, for a clock and for a session in time (M30, M45, M46).
#include <fedfrom/solve/session.hpp>

#include "catch.hpp"

using namespace fedfrom;
using namespace std::chrono_literals;

namespace {

/// An engine that runs down and starts, a generator behind it, a bus, a display that does without its fan for a while, a slow valve.
Network slow() {
    Model m{.name = "Slow", .edition = "1", .given = {{"fuel", true}}};
    m.elements["engine"] = {.kind = Kind::engine, .needs = given("fuel"), .spin_up_s = 30, .run_down_s = 5};
    m.elements["generator"] = {.kind = Kind::generator, .inputs = {{"drive", {{.from = "engine"}}}}};
    m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "generator"}}}}};
    m.elements["fan"] = {.kind = Kind::motor, .inputs = {{"power", {{.from = "bus"}}}}};
    m.elements["display"] = {.kind = Kind::panel, .inputs = {{"power", {{.from = "bus"}}}, {"cooling", {{.from = "fan"}}}}, .runs_without_s = {{"cooling", 600}}};
    m.elements["valve_switch"] = {.kind = Kind::switch_, .positions = {"OPEN", "CLOSED"}, .reach = Reach::cockpit};
    m.elements["valve"] = {.kind = Kind::valve, .inputs = {{"power", {{.from = "bus"}}}}, .follows = Follow{"valve_switch", {{"OPEN", "open"}, {"CLOSED", "closed"}}}, .without = {{"power", "stays"}}, .after_s = 2};
    return Network(m);
}

bool supplied(const Clock& clock, const char* id) { return clock.outcome().status(id) == Status::supplied; }

}  // namespace

TEST_CASE("What runs down gives for so long, and what failed gives nothing") {
    const Network net = slow();
    Clock clock(running_state(net));
    clock.apply(Event::given(net.given("fuel"), false));
    clock.settle();
    CHECK(supplied(clock, "engine"));
    REQUIRE(clock.next() == 5s);
    CHECK(clock.waiting().front().what == Waiting::What::runs_down);
    clock.go_to(5s);
    clock.move_due();
    CHECK(clock.outcome().status("engine") == Status::off);
    CHECK_FALSE(supplied(clock, "bus"));
    CHECK_FALSE(clock.next());

    Clock burst(running_state(net));
    burst.apply(Event::fail(net.failure("engine")));
    burst.settle();
    CHECK_FALSE(supplied(burst, "bus"));
}

TEST_CASE("Cooling is done without for a while, power is not") {
    const Network net = slow();
    Clock clock(running_state(net));
    clock.apply(Event::fail(net.failure("fan")));
    clock.settle();
    CHECK(supplied(clock, "display"));
    CHECK(clock.next() == 600s);
    clock.go_to(10s);
    clock.apply(Event::fail(net.failure("bus")));
    clock.settle();
    CHECK_FALSE(supplied(clock, "display"));
    CHECK_FALSE(clock.next());
}

TEST_CASE("Cooling that is back for no time at all gives no new time without it") {
    const Network net = slow();
    Clock clock(running_state(net));
    const auto at = [&](std::chrono::seconds time, const Event& event) {
        clock.go_to(time);
        clock.apply(event);
        clock.settle();
    };
    const Event fail = Event::fail(net.failure("fan")), repair = Event::repair(net.element("fan"));
    at(0s, fail);
    at(100s, repair);
    CHECK_FALSE(clock.next());
    at(100s, fail);
    CHECK(clock.next() == 600s);
    at(200s, repair);
    at(201s, fail);
    CHECK(clock.next() == 801s);
    clock.go_to(801s);
    clock.move_due();
    CHECK_FALSE(supplied(clock, "display"));
    at(900s, repair);
    at(900s, fail);
    CHECK_FALSE(supplied(clock, "display"));
}

TEST_CASE("A start takes its time and can be broken off") {
    const Network net = slow();
    Clock clock(running_state(net));
    const auto fuel = [&](bool on) {
        clock.apply(Event::given(net.given("fuel"), on));
        clock.settle();
    };
    fuel(false);
    clock.go_to(5s);
    clock.move_due();
    fuel(true);
    CHECK(clock.outcome().status("engine") == Status::starting);
    CHECK(clock.next() == 35s);
    clock.go_to(20s);
    fuel(false);
    CHECK(clock.outcome().status("engine") == Status::off);
    CHECK_FALSE(clock.next());
    fuel(true);
    CHECK(clock.next() == 50s);
    clock.go_to(50s);
    clock.move_due();
    CHECK(supplied(clock, "display"));
}

TEST_CASE("A session in time moves what is due while time passes, each instant after the other") {
    const Network net = slow();
    Session session(running_state(net), Timing::in_time);
    CHECK(session.in_time());
    session.apply(Event::set(net.element("valve_switch"), 1));
    session.apply(Event::given(net.given("fuel"), false));
    session.settle();
    CHECK(session.waiting().size() == 2);
    CHECK(session.advance(1.5).empty());
    CHECK(session.now() == 1500ms);
    std::vector<std::string> lines;
    for (const SessionChange& change : session.advance(10)) lines.push_back(text(change, net));
    CHECK(lines == std::vector<std::string>{"bus: supplied -> unsupplied, because generator has no supply", "display: supplied -> unsupplied, because fan has no supply",
                                            "engine: supplied -> off, because engine has run down", "fan: supplied -> unsupplied, because bus has no supply",
                                            "generator: supplied -> unsupplied, because engine has no supply",
                                            "valve: supplied -> unsupplied, because bus has no supply", "valve: open -> closed, because valve_switch set to CLOSED, and the delay is over"});
    CHECK(session.waiting().empty());
    CHECK(session.state() == session.state());
}

TEST_CASE("What moves late says what sent it there") {
    const Network net = slow();
    Session session(running_state(net), Timing::in_time);
    const auto set = [&](std::uint32_t position) {
        session.apply(Event::set(net.element("valve_switch"), position));
        session.settle();
    };
    set(1);
    session.advance(1);
    set(0);  // called off
    CHECK(session.advance(10).empty());
    set(1);
    const auto changes = session.advance(2);
    REQUIRE(changes.size() == 1);
    CHECK(changes[0].reason.late);
    CHECK(text(changes[0], net) == "valve: open -> closed, because valve_switch set to CLOSED, and the delay is over");
    session.load(running_state(net));
    session.settle();
    set(1);
    CHECK(text(session.advance(2)[0], net) == "valve: open -> closed, because valve_switch set to CLOSED, and the delay is over");
}

TEST_CASE("A session does not go on by more than the longest time at once") {
    const Network net = slow();
    Session session(running_state(net), Timing::in_time);
    session.apply(Event::given(net.given("fuel"), false));
    session.settle();
    CHECK(session.advance(2e9).empty());
    CHECK(session.now() == 0s);
    CHECK_FALSE(session.advance(Session::longest_advance_s).empty());
    CHECK(session.now() == 1'000'000'000s);
}

TEST_CASE("A session at once has no clock: what takes time is there as soon as it begins") {
    const Network net = slow();
    Session session(running_state(net));
    session.apply(Event::set(net.element("valve_switch"), 1));
    session.settle();
    CHECK(session.position(net.element("valve")) == 1);
    CHECK(session.advance(10).empty());
    CHECK(session.waiting().empty());
}
