// A session's toggles: one failure comes or goes, and everything that changes is reported.
//
//     bench_session [--smoke]
//
// 1,000 elements, main buses tied in one ring (a loop of about 100 gates). Before
// timing, every toggle's state and levels are compared with a full settle; while
// timing, allocations are counted. Beside it: a snapshot after each toggle, a full
// settle and judgement of the same state, as a host without a session would do it, and what looking at the clock takes.
#include <algorithm>
#include <atomic>
#include <cstdlib>
#include <cstring>
#include <new>
#include <random>

#include <fedfrom/solve/session.hpp>

#include "aircraft.hpp"
#include "clock.hpp"

using namespace fedfrom;

static std::atomic<std::size_t> allocations{0};

[[gnu::noinline]] void* operator new(std::size_t n) {
    ++allocations;
    if (void* p = std::malloc(n)) return p;
    throw std::bad_alloc();
}
// gcc takes the pair for a mistake once it has inlined one of them.
[[gnu::noinline]] void operator delete(void* p) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete(void* p, std::size_t) noexcept { std::free(p); }

namespace {

std::vector<FailureHandle> failures_of(const Compiled& c, bool losses) {
    std::vector<FailureHandle> list;
    for (std::uint32_t f = 0; f < c.failures.size(); ++f)
        if ((c.failures[f].mode == "loss") == losses && (losses || c.failures[f].mode == "short")) list.push_back({f});
    return list;
}

/// Fails and repairs at random, so that about four are present.
std::vector<Event> toggles(const Compiled& c, const std::vector<FailureHandle>& failures, std::size_t count) {
    std::mt19937_64 random(3);
    std::vector<Event> list;
    std::vector<FailureHandle> present;
    while (list.size() < count) {
        if (present.size() < 4 || random() % 2) {
            const FailureHandle f = failures[random() % failures.size()];
            if (std::ranges::find(present, f) != present.end()) continue;
            present.push_back(f);
            list.push_back(Event::fail(f));
        } else {
            const std::size_t i = random() % present.size();
            list.push_back(Event::repair({c.failures[present[i].index].element}));
            present.erase(present.begin() + static_cast<std::ptrdiff_t>(i));
        }
    }
    return list;
}

bool agrees(const Network& net, const std::vector<Event>& events) {
    State state = running_state(net);
    Session session(state);
    for (const Event& e : events) {
        session.apply(e);
        session.settle();
        state.apply(e);
        const Outcome out = settle(state);
        if (!(session.state() == state)) return false;
        for (std::uint32_t f = 0; f < out.judged().size(); ++f)
            if (session.judged({f}) != out.judged()[f]) return false;
    }
    return true;
}

void row(const char* what, std::vector<double>& seconds) {
    std::ranges::sort(seconds);
    const auto at = [&](double part) { return seconds[static_cast<std::size_t>(part * static_cast<double>(seconds.size() - 1))] * 1e6; };
    std::printf("%-36s %8.3f %8.3f %8.3f %8.2f\n", what, at(0.5), at(0.99), at(0.999), at(1));
}

}  // namespace

int main(int argc, char** argv) {
    const bool smoke = argc > 1 && std::strcmp(argv[1], "--smoke") == 0;
    bench::say_machine();
    const Network net(bench::aircraft(1000, 1, 20));
    const Compiled& c = net.compiled();
    std::printf("%zu elements, %zu functions, %zu demands, longest loop %u gates\n", c.elements.size(), c.functions.size(), c.demands.size() - 1, c.program.longest_loop());

    const auto losses = toggles(c, failures_of(c, true), smoke ? 50 : 100000);
    const auto shorts = toggles(c, failures_of(c, false), smoke ? 50 : 10000);
    for (const auto* events : {&losses, &shorts})
        if (!agrees(net, {events->begin(), events->begin() + std::min<std::ptrdiff_t>(2000, static_cast<std::ptrdiff_t>(events->size()))})) {
            std::fprintf(stderr, "wrong answer: a session differs from a full settle\n");
            return 1;
        }
    if (smoke) return 0;

    std::printf("%-36s %8s %8s %8s %8s\n", "microseconds", "median", "p99", "p99.9", "most");
    std::vector<double> seconds(losses.size());
    const auto play = [&](const char* what, const std::vector<Event>& events) {
        Session session(running_state(net));
        std::size_t reported = 0, before = 0;
        for (int round = 0; round < 2; ++round) {  // the first to warm up
            seconds.resize(events.size());
            before = allocations;
            reported = 0;
            for (std::size_t i = 0; i < events.size(); ++i) {
                const auto begun = bench::now();
                session.apply(events[i]);
                reported += session.settle().size();
                seconds[i] = bench::now() - begun;
            }
        }
        const std::size_t allocated = allocations - before;
        row(what, seconds);
        std::printf("%-36s %.2f changes a toggle, %zu allocations\n", "", static_cast<double>(reported) / static_cast<double>(events.size()), allocated);
    };
    play("session, losses", losses);
    play("session, shorts", shorts);

    Session session(running_state(net));
    std::vector<std::uint8_t> bytes;
    session.snapshot(bytes);
    seconds.clear();
    for (std::size_t i = 0; i < 20000; ++i) {
        session.apply(losses[i]);
        session.settle();
        const auto begun = bench::now();
        session.snapshot(bytes);
        seconds.push_back(bench::now() - begun);
    }
    row("snapshot", seconds);
    std::printf("%-36s %zu bytes\n", "", bytes.size());

    State state = running_state(net);
    seconds.clear();
    for (std::size_t i = 0; i < 2000; ++i) {
        const auto begun = bench::now();
        state.apply(losses[i]);
        bench::keep(settle(state));
        seconds.push_back(bench::now() - begun);
    }
    row("settle and judge anew, losses", seconds);
    Settler<One> settler(c);
    Frozen<One> frozen(c);
    seconds.clear();
    for (std::size_t i = 0; i < 20000; ++i) {
        const auto begun = bench::now();
        settler.load(state.memory());
        settler.settle(frozen);
        seconds.push_back(bench::now() - begun);
    }
    row("settle alone, everything", seconds);
    seconds.clear();
    for (std::size_t i = 0; i < 20000; ++i) {
        const auto begun = bench::now();
        seconds.push_back(bench::now() - begun);
    }
    row("nothing: the clock, in each of these", seconds);
}
