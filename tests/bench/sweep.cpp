// Every pair and triple of failures, with functions, minimality and the full meaning.
//
//     bench_sweep [--smoke]
//
// 1,000 elements, main buses tied in rings of twenty (loops of about 100 gates), 128
// functions, some judged under demands; then the same with a short on every element. Before timing, random
// combinations are settled alone and compared. Beside it: the same combinations settled one by one.
#include <cstdlib>
#include <cstring>
#include <random>

#include <fedfrom/solve/sweep.hpp>

#include "aircraft.hpp"
#include "clock.hpp"

using namespace fedfrom;

namespace {

const char* name_of(InstructionSet set) { return set == InstructionSet::avx512 ? "AVX-512" : set == InstructionSet::avx2 ? "AVX2" : "baseline"; }

std::vector<Event> failures(const State& from, const char* mode, std::size_t most) {
    const Compiled& c = from.network().compiled();
    std::vector<Event> list;
    for (std::uint32_t f = 0; f < c.failures.size() && list.size() < most; ++f)
        if (c.failures[f].mode == mode) list.push_back(Event::fail({f}));
    return list;
}

/// A sample of single combinations against settling them alone.
bool agrees(const State& from, const std::vector<Event>& events, int order) {
    std::mt19937_64 random(7);
    for (int i = 0; i < 60; ++i) {
        std::vector<Event> few;
        for (int e = 0; e < order; ++e) few.push_back(events[random() % events.size()]);
        std::ranges::sort(few, {}, &Event::index);
        few.erase(std::unique(few.begin(), few.end()), few.end());
        const auto result = Sweep(from, {.order = static_cast<int>(few.size()), .events = few, .all = true}).run();
        State state = from;
        for (const Event& e : few) state.apply(e);
        const Outcome out = settle(state);
        std::size_t known = 0;
        for (const SweepHit& hit : result.hits)
            if (hit.events[few.size() - 1] != none) {
                ++known;
                if (out.judged()[hit.goal].level != hit.level) return false;
            }
        const Outcome before = Sweep(from).before();
        for (std::size_t f = 0; f < out.judged().size(); ++f) known -= out.judged()[f].level != before.judged()[f].level;
        if (known != 0) return false;
    }
    return true;
}

bool agrees(const State& from, const std::vector<Event>& events) {
    for (int order = 1; order <= 3; ++order)
        if (!agrees(from, events, order)) return false;
    return true;
}

/// Where every element can be shorted.
Model shorted_anywhere(Model m) {
    for (auto& [id, e] : m.elements) e.failures.try_emplace("short");
    return m;
}

void measure(const char* what, const State& from, const std::vector<Event>& events, int order, InstructionSet set) {
    const Sweep sweep(from, {.order = order, .events = events, .instructions = set});
    const double begun = bench::now();
    const SweepResult r = sweep.run();
    const double seconds = bench::now() - begun;
    const auto& c = from.network().compiled();
    const double n = static_cast<double>(r.events.size()), combinations = order == 2 ? n + n * (n - 1) / 2 : n + n * (n - 1) / 2 + n * (n - 1) * (n - 2) / 6;
    std::printf("%-24s %-9s %12.0f %12llu %8.3f s %10.3g %10.3g %8zu %7.2f %% %8llu\n", what, name_of(set), combinations, static_cast<unsigned long long>(r.combinations), seconds,
                combinations / seconds, static_cast<double>(r.combinations) / seconds, r.hits.size(), 100.0 * static_cast<double>(r.evaluated) * 512 / static_cast<double>(r.combinations) / static_cast<double>(c.program.gates.size()),
                static_cast<unsigned long long>(r.alone));
}

}  // namespace

int main(int argc, char** argv) {
    const bool smoke = argc > 1 && std::strcmp(argv[1], "--smoke") == 0;
    bench::say_machine();
    const Network net(bench::aircraft(smoke ? 200 : 1000, 1, 20));
    const State from = running_state(net);
    const auto losses = failures(from, "loss", 1000), shorts = failures(from, "short", 1000);
    const Network shorted(shorted_anywhere(bench::aircraft(smoke ? 200 : 1000, 1, 20)));
    const State from_shorted = running_state(shorted);
    const auto every_short = failures(from_shorted, "short", 2000);
    if (!agrees(from, losses) || !agrees(from, shorts) || !agrees(from_shorted, every_short)) {
        std::fprintf(stderr, "wrong answer: a sweep differs from settling alone\n");
        return 1;
    }
    std::printf("%zu elements, %zu functions, %zu losses, %zu shorts\n", net.compiled().elements.size(), net.compiled().functions.size(), losses.size(), shorts.size());
    std::printf("with a short on every element: %zu shorts\n", every_short.size());
    if (smoke) return 0;

    std::printf("%-24s %-9s %12s %12s %10s %10s %10s %8s %9s %8s\n", "", "", "combinations", "examined", "", "comb./s", "examined/s", "minimal", "gates", "alone");
    for (const InstructionSet set : {InstructionSet::baseline, InstructionSet::avx2, InstructionSet::avx512}) {
        if (set > best_instruction_set()) continue;
        measure("every pair of losses", from, losses, 2, set);
        measure("every triple of losses", from, losses, 3, set);
        measure("every triple of shorts", from, shorts, 3, set);
        measure("shorts on everything", from_shorted, every_short, 2, set);
        measure("  and every triple", from_shorted, every_short, 3, set);
    }
    const double begun = bench::now();
    std::size_t settled = 0;
    for (std::size_t i = 0; i < 100; ++i, ++settled) {
        State state = from;
        state.apply(losses[i]);
        state.apply(losses[i + 100]);
        bench::keep(settle(state));
    }
    const double seconds = bench::now() - begun;
    std::printf("%-24s %-9s %12zu %12zu %8.3f s %10.3g\n", "one by one, pairs", "", settled, settled, seconds, static_cast<double>(settled) / seconds);
    std::printf("examined: without what can reach no function, which changes nothing; gates: share of the network's gates evaluated in a block of 512\n");
}
