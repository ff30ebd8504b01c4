// A session against a full settle and judgement of the same events, and what it reports against what differs.
#include <random>
#include <string>

#include <fedfrom/solve/session.hpp>

#include "catch.hpp"
#include "networks.hpp"
#include "session_check.hpp"

using namespace fedfrom;

namespace {

class SessionEvents {
public:
    SessionEvents(const Compiled& c, std::uint64_t seed) : c_(c), random_(seed) {}

    std::vector<Event> step() {
        std::vector<Event> events;
        for (std::size_t n = 1 + pick(3); n > 0; --n) {
            // One draw a statement: the order of drawing must not hang on the compiler.
            const std::size_t kind = pick(40);
            const std::uint32_t value = pick(3);
            if (kind < 18) events.push_back(Event::fail({pick(c_.failures.size())}));
            else if (kind < 25) events.push_back(Event::repair({c_.failures[pick(c_.failures.size())].element}));
            else if (kind < 28) events.push_back(Event::reset({pick(c_.elements.size())}));
            else if (kind < 35) events.push_back(Event::set({pick(c_.elements.size())}, value));
            else if (kind < 37) events.push_back(Event::given({pick(c_.givens.size() + 1)}, value == 1));
            else if (kind < 39) events.push_back(Event::use({pick(c_.one_shots.size() + 1)}));
            else if (pick(4) == 0) events.push_back(Event::clear_all());
        }
        return events;
    }

private:
    const Compiled& c_;
    std::mt19937_64 random_;
    std::uint32_t pick(std::size_t n) { return static_cast<std::uint32_t>(random_() % n); }
};

}  // namespace

TEST_CASE("A session says what settling says, and reports exactly what differs", "[property]") {
    std::size_t steps = 0, hunting = 0, changes = 0;
    for (const Network& net : networks()) {
        for (std::uint64_t seed = 0; seed < 60; ++seed) {
            SessionEvents events(net.compiled(), seed);
            check::Pair pair(running_state(net));
            for (int i = 0; i < 60; ++i, ++steps) {
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", step " << i);
                for (const Event& e : events.step()) pair.apply(e);
                REQUIRE(pair.settle_both() == "");
                hunting += pair.hunting();
            }
            changes += pair.changes();
        }
    }
    CHECK(steps == 5 * 60 * 60);
    CHECK(changes > steps);
    WARN(hunting << " of " << steps << " steps hunt");
}

TEST_CASE("A session in which one thing after another fails and is repaired, mostly without a fault, says what settling says", "[property]") {
    std::size_t toggles = 0, changes = 0;
    for (const Network& net : networks()) {
        const Compiled& c = net.compiled();
        std::vector<bool> begins_fault(c.memory_end, false);
        for (const ZoneInfo& z : c.zones)
            if (z.seed != never) begins_fault[z.seed.variable()] = true;
        for (std::uint64_t seed = 0; seed < 8; ++seed) {
            std::mt19937_64 random(seed);
            const auto pick = [&](std::size_t n) { return static_cast<std::uint32_t>(random() % n); };
            check::Pair pair(running_state(net));
            std::vector<std::uint32_t> failed;
            for (int i = 0; i < 300; ++i, ++toggles) {
                std::uint32_t f = pick(c.failures.size());
                while (begins_fault[c.failures[f].variable] && pick(50) != 0) f = pick(c.failures.size());
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", toggle " << i);
                if (failed.size() < 5 && pick(2) == 0) {
                    pair.apply(Event::fail({f}));
                    failed.push_back(f);
                } else if (!failed.empty()) {
                    const std::uint32_t at = pick(failed.size());
                    pair.apply(Event::repair({c.failures[failed[at]].element}));
                    failed.erase(failed.begin() + at);
                }
                REQUIRE(pair.settle_both() == "");
            }
            changes += pair.changes();
        }
    }
    CHECK(changes > toggles);
}

TEST_CASE("A session that settles one pass at a time ends where one call ends", "[property]") {
    std::size_t waited = 0;
    for (const Network& net : networks()) {
        for (std::uint64_t seed = 100; seed < 110; ++seed) {
            SessionEvents events(net.compiled(), seed);
            Session whole(running_state(net)), slow(running_state(net));
            for (int i = 0; i < 60; ++i) {
                for (const Event& e : events.step()) REQUIRE(whole.apply(e) == slow.apply(e));
                whole.settle();
                slow.settle(1);
                for (; slow.still_moving(); ++waited) slow.settle(1);
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", step " << i);
                REQUIRE((whole.state() == slow.state()));
                for (std::uint32_t f = 0; f < net.compiled().functions.size(); ++f) REQUIRE(whole.judged({f}) == slow.judged({f}));
            }
        }
    }
    CHECK(waited > 100);
}
