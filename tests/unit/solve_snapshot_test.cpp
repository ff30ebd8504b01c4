// States as bytes: the way there and back, and everything that is refused.
#include <random>

#include <fedfrom/io/read.hpp>
#include <fedfrom/io/variant.hpp>
#include <fedfrom/solve/session.hpp>

#include "catch.hpp"

using namespace fedfrom;

namespace {

Model ostrea() { return read_model(std::string(FEDFROM_SOURCE_DIR) + "/examples/ostrea7/ostrea7.json"); }

std::string refusal(const Network& net, std::span<const std::uint8_t> bytes) {
    try {
        read_snapshot(net, bytes);
    } catch (const SnapshotMismatch& e) {
        return e.what();
    }
    return "accepted";
}

Event random_event(const Compiled& c, std::mt19937_64& random) {
    const auto pick = [&](std::size_t n) { return static_cast<std::uint32_t>(random() % n); };
    switch (pick(6)) {
        case 0: return Event::set({pick(c.elements.size())}, pick(3));
        case 1: return Event::given({pick(c.givens.size())}, pick(2) == 1);
        case 2: return Event::reset({pick(c.elements.size())});
        case 3: return Event::use({pick(c.one_shots.size())});
        default: return Event::fail({pick(c.failures.size())});
    }
}

}  // namespace

TEST_CASE("A restored state is the same state, gives the same bytes and behaves the same") {
    const Model model = ostrea();
    const Network net(model), elsewhere(model);  // as in another process
    std::mt19937_64 random(5);
    for (int round = 0; round < 300; ++round) {
        State state = running_state(net);
        for (int i = 0; i < 8; ++i) {
            state.apply(random_event(net.compiled(), random));
            if (i % 2) settle(state);
        }
        const auto bytes = snapshot(state);
        State again = read_snapshot(elsewhere, bytes);
        REQUIRE(snapshot(again) == bytes);
        REQUIRE((read_snapshot(net, bytes) == state));
        const Event next = random_event(net.compiled(), random);
        REQUIRE(state.apply(next) == again.apply(next));
        const Outcome a = settle(state), b = settle(again);
        REQUIRE(a.judged() == b.judged());
        REQUIRE(snapshot(state) == snapshot(again));
    }
}

TEST_CASE("What hunts still hunts once restored") {
    Model m{.name = "Hunter"};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "battery", .via = {{"relay"}}}}}}};
    m.elements["relay"] = {.kind = Kind::relay, .goes = {{"open", "bus"}}, .after_s = 1};
    const Network net(m);
    State state = running_state(net);
    REQUIRE(any(state.frozen().cells.front()));
    State again = read_snapshot(net, snapshot(state));
    CHECK((again == state));
    CHECK(settle(again).status("bus") == Status::unknown);
}

TEST_CASE("A session's snapshot is its state's") {
    const Network net(ostrea());
    Session session(running_state(net));
    session.apply(Event::fail(net.failure("sg_l")));
    session.settle();
    std::vector<std::uint8_t> bytes;
    session.snapshot(bytes);
    CHECK(bytes == snapshot(session.state()));
}

TEST_CASE("A snapshot of another aircraft is refused with what differs") {
    Model model = ostrea();
    const auto bytes = snapshot(running_state(Network(model)));
    CHECK(refusal(Network(variant_of(model, "b")), bytes).find("Its variant is \"\", here \"b\".") != std::string::npos);
    model.edition = "next";
    CHECK(refusal(Network(model), bytes).find("here \"next\".") != std::string::npos);
    model = ostrea();
    model.elements.at("cb_gcu_l").positions = {"in", "out"};
    model.elements.at("cb_gcu_l").passes_in = {"in"};
    CHECK(refusal(Network(model), bytes).find("Its elements or givens differ.") != std::string::npos);
    model = ostrea();
    model.functions.begin()->second.modes.begin()->second.rank += 5;
    CHECK(refusal(Network(model), bytes) == "This snapshot is of another network. Its functions differ.");
}

TEST_CASE("Bytes that are no snapshot, are cut short or go on are refused") {
    const Network net(ostrea());
    State state = running_state(net);
    state.fail("sg_l").fail("batt");
    settle(state);
    auto bytes = snapshot(state);
    CHECK(refusal(net, {}).find("no state") != std::string::npos);
    for (std::size_t n = 0; n < bytes.size(); ++n) REQUIRE(refusal(net, std::span(bytes).first(n)) != "accepted");
    bytes.push_back(0);
    CHECK(refusal(net, bytes) == "These bytes are damaged: they go on after their end.");
    bytes.pop_back();
    std::mt19937_64 random(1);
    for (int i = 0; i < 3000; ++i) {
        auto damaged = bytes;
        damaged[random() % damaged.size()] = static_cast<std::uint8_t>(random());
        try {
            State any = read_snapshot(net, damaged);
            settle(any);
        } catch (const SnapshotMismatch&) {
        }
    }
}
