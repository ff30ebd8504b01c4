// What an event writes, as it is told without touching the state, against a copy of the state that took it.
#include <algorithm>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include <fedfrom/solve/writes.hpp>

#include "catch.hpp"
#include "networks.hpp"

using namespace fedfrom;

namespace {

/// Every event there is, with every position and value.
std::vector<Event> all_events(const Compiled& c) {
    std::vector<Event> list{Event::clear_all()};
    for (std::uint32_t f = 0; f < c.failures.size(); ++f) {
        list.push_back(Event::fail({f}));
        for (std::uint32_t p = 0; p < c.elements[c.failures[f].element].positions.size(); ++p) list.push_back(Event::fail({f}, p));
    }
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        list.push_back(Event::repair({e}));
        list.push_back(Event::reset({e}));
        for (std::uint32_t p = 0; p < c.elements[e].positions.size(); ++p) list.push_back(Event::set({e}, p));
    }
    for (std::uint32_t g = 0; g < c.givens.size(); ++g)
        for (const bool value : {false, true}) list.push_back(Event::given({g}, value));
    for (std::uint32_t m = 0; m < c.one_shots.size(); ++m) list.push_back(Event::use({m}));
    return list;
}

}  // namespace

TEST_CASE("What an event writes is what it changes in a state that takes it", "[property]") {
    std::size_t written = 0, refused = 0;
    for (const Network& net : networks()) {
        const Compiled& c = net.compiled();
        const std::vector<Event> events = all_events(c);
        std::mt19937_64 random(3);
        for (int i = 0; i < 12; ++i) {
            State from = running_state(net);
            for (int n = 0; n < i; ++n) from.apply(events[1 + random() % (events.size() - 1)]);
            settle(from);
            const State before = from;
            for (const Event& event : events) {
                State with = from;
                if (const Refusal refusal = with.apply(event); refusal != Refusal::none) {
                    ++refused;
                    try {
                        detail::writes_of(from, event);
                        FAIL("what the state refuses was written");
                    } catch (const NotPossible& e) {
                        REQUIRE(std::string(e.what()) == text(refusal, event, net));
                    }
                    continue;
                }
                std::vector<std::pair<Variable, bool>> told, expected;
                for (const detail::Write& w : detail::writes_of(from, event)) told.emplace_back(w.variable, w.value);
                for (Variable v = 0; v < with.memory().size(); ++v)
                    if (with.memory()[v] != from.memory()[v]) expected.emplace_back(v, any(with.memory()[v]));
                written += expected.size();
                REQUIRE(told == expected);
            }
            REQUIRE(from == before);
        }
    }
    CHECK(written > 10'000);
    CHECK(refused > 1'000);
}
