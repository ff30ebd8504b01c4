// A session against a full settle and judgement of the same events, and what it reports against what differs.
#include <map>
#include <random>
#include <string>
#include <tuple>

#include <fedfrom/solve/session.hpp>

#include "catch.hpp"
#include "networks.hpp"

using namespace fedfrom;

namespace {

class Events {
public:
    Events(const Compiled& c, std::uint64_t seed) : c_(c), random_(seed) {}

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

using Item = std::pair<SessionChange::Of, std::uint32_t>;
using Codes = std::map<Item, std::uint8_t>;

/// Everything a session reports, from an outcome.
Codes codes_of(const Outcome& out) {
    const Compiled& c = out.network().compiled();
    using Of = SessionChange::Of;
    Codes codes;
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const ElementInfo& info = c.elements[e];
        codes[{Of::status, e}] = static_cast<std::uint8_t>(out.status(ElementHandle{e}));
        if (!info.fitted) continue;
        if (!info.positions.empty()) {
            const auto at = out.position(ElementHandle{e});
            codes[{Of::position, e}] = at ? static_cast<std::uint8_t>(std::ranges::find(info.positions, *at) - info.positions.begin()) : unknown_code;
        }
        if (info.tripped) {
            const auto tripped = out.tripped(*info.id);
            codes[{Of::tripped, e}] = tripped ? *tripped : unknown_code;
        }
        if (!info.shows.empty()) codes[{Of::shown, e}] = detail::show_code(*info.element, out.shown({e}));
    }
    return codes;
}

}  // namespace

TEST_CASE("A session says what settling says, and reports exactly what differs", "[property]") {
    std::size_t steps = 0, hunting = 0, changes = 0;
    for (const Network& net : networks()) {
        const Compiled& c = net.compiled();
        for (std::uint64_t seed = 0; seed < 60; ++seed) {
            Events events(c, seed);
            State state = running_state(net);
            Session session(state);
            Codes known = codes_of(settle(state));
            std::vector<Judgement> judged = settle(state).judged();
            for (int i = 0; i < 60; ++i, ++steps) {
                INFO(net.model().name << " " << net.model().variant << ", seed " << seed << ", step " << i);
                for (const Event& e : events.step()) REQUIRE(session.apply(e) == state.apply(e));
                const auto reported = session.settle();
                const Outcome out = settle(state);
                REQUIRE((session.state() == state));
                hunting += !out.hunting().empty();
                changes += reported.size();

                const Codes now = codes_of(out);
                std::map<Item, std::size_t> seen;
                for (const SessionChange& change : reported) {
                    REQUIRE(++seen[{change.of, change.index}] == 1);
                    if (change.of == SessionChange::Of::function) {
                        REQUIRE(change.judged_before == judged[change.index]);
                        REQUIRE(change.judged_after == out.judged()[change.index]);
                        REQUIRE_FALSE(change.judged_before == change.judged_after);
                        judged[change.index] = change.judged_after;
                    } else {
                        REQUIRE(change.before != change.after);
                        REQUIRE(known.at({change.of, change.index}) == change.before);
                        known[{change.of, change.index}] = change.after;
                    }
                    REQUIRE_FALSE(text(change, net).empty());
                }
                REQUIRE((known == now));
                REQUIRE((judged == out.judged()));
                const auto key = [](const SessionChange& s) { return std::tuple(s.of == SessionChange::Of::function, s.index, s.of); };
                REQUIRE(std::ranges::is_sorted(reported, {}, key));
            }
        }
    }
    CHECK(steps == 5 * 60 * 60);
    CHECK(changes > steps);
    WARN(hunting << " of " << steps << " steps hunt");
}

TEST_CASE("A session that settles one pass at a time ends where one call ends", "[property]") {
    std::size_t waited = 0;
    for (const Network& net : networks()) {
        for (std::uint64_t seed = 100; seed < 110; ++seed) {
            Events events(net.compiled(), seed);
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
