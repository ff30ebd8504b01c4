// Minimal cut sets of functions in networks with loops, of any order, from their formulas.
//
//     bench_cut_sets [--smoke]
//
// Aircraft of 100 to 10,000 elements whose main buses are tied in rings of twenty, and one with a ring of fifty (a loop of 200 gates), losses only. Before timing, the sets of
// up to two losses are compared with a sweep that settles every combination. Beside it: that sweep, which ends at order
// two here and knows nothing beyond.
//
// Then wheel braking and gear on Ostrea 7, which hang on things that keep their position: all combinations of losses at once, and of all failures
// with at most one that spreads; beside them every combination of three one by one, whose sets must be the same.
#include <algorithm>
#include <cstdlib>
#include <cstring>

#include <fedfrom/io/read.hpp>
#include <fedfrom/solve/sweep.hpp>
#include <fedfrom/study/cut_sets.hpp>
#include <fedfrom/study/risk.hpp>

#include "aircraft.hpp"
#include "clock.hpp"

using namespace fedfrom;

namespace {

constexpr std::size_t most_goals = 60;

std::vector<FailureRef> losses(const Compiled& c) {
    std::vector<FailureRef> list;
    for (const FailureInfo& f : c.failures)
        if (f.mode == "loss") list.push_back({.element = *c.elements[f.element].id});
    return list;
}

SweepResult swept(const State& from, std::uint32_t goal, const std::vector<FailureRef>& within) {
    SweepOptions options{.order = 2, .goals = {{goal}}};
    for (const FailureRef& f : within) options.events.push_back(Event::fail(from.network().failure(f.element, f.mode)));
    return Sweep(from, options).run();
}

/// Of up to two losses, what takes the function below normal.
std::size_t below_normal(const SweepResult& r) {
    std::size_t count = 0;
    std::vector<std::uint32_t> alone;
    for (const SweepHit& hit : r.hits) {
        const auto taken = [&](std::uint32_t e) { return std::ranges::find(alone, e) != alone.end(); };
        if (hit.level == Level::normal || (hit.events[1] != none && (taken(hit.events[0]) || taken(hit.events[1])))) continue;
        if (hit.events[1] == none) alone.push_back(hit.events[0]);
        ++count;
    }
    return count;
}

std::vector<std::vector<FailureRef>> of_up_to_three(const CutSets& cuts) {
    std::vector<std::vector<FailureRef>> list;
    for (const auto& set : cuts.sets)
        if (set.size() <= 3) list.push_back(set);
    return list;
}

bool ostrea(bool smoke) {
    const Network net(read_model(FEDFROM_SOURCE_DIR "/examples/ostrea7/ostrea7.json"));
    const State from = running_state(net);
    if (!smoke) std::printf("\n%-16s %-12s %9s %12s %14s %14s %14s %12s\n", "Ostrea 7", "", "failures", "at once, ms", "one by one, ms", "probability, ms", "sets to order 3", "sets");
    for (const char* const function : {"wheel_braking", "gear_extension"})
        for (const bool only_losses : {true, false}) {
            CutSetOptions options{.below = Level::degraded, .most_sets = static_cast<std::size_t>(-1)};
            if (only_losses) options.within = losses(net.compiled());
            if (smoke && !only_losses) continue;
            double begun = bench::now();
            const CutSets at_once = cut_sets(from, function, options);
            const double all = bench::now() - begun;
            begun = bench::now();
            bench::keep(risk(from, function, {.hours = 2, .below = Level::degraded, .within = options.within}));
            const double probability = bench::now() - begun;
            options.budget.nodes = 8;  // too small for a diagram
            begun = bench::now();
            const CutSets one_by_one = cut_sets(from, function, options);
            const double single = bench::now() - begun;
            if (of_up_to_three(at_once) != one_by_one.sets || one_by_one.complete_to != 3) {
                std::fprintf(stderr, "wrong answer: the cut sets of %s\n", function);
                return false;
            }
            if (!smoke)
                std::printf("%-16s %-12s %9zu %12.1f %14.1f %14.1f %14zu %12zu\n", function, only_losses ? "losses" : "all", only_losses ? options.within->size() : net.compiled().failures.size(), 1e3 * all, 1e3 * single,
                            1e3 * probability, one_by_one.sets.size(), at_once.sets.size());
        }
    return true;
}

}  // namespace

int main(int argc, char** argv) {
    const bool smoke = argc > 1 && std::strcmp(argv[1], "--smoke") == 0;
    bench::say_machine();
    std::printf("%9s %6s %6s %12s %14s %14s %16s %14s\n", "elements", "loop", "goals", "all orders", "order 5", "probability", "sweep, order 2", "sets, median");
    std::printf("%9s %6s %6s %12s %14s %14s %16s %14s\n", "", "", "", "ms a goal", "ms a goal", "ms a goal", "ms a goal", "");
    struct Size {
        std::size_t elements, in_ring;
    };
    for (const auto [size, in_ring] : {Size{100, 20}, Size{1000, 20}, Size{1600, 50}, Size{10000, 20}}) {
        if (smoke && size > 100) break;
        Model model = bench::aircraft(size, 1, in_ring);
        for (auto& [id, e] : model.elements) e.failures["loss"].rate = 1e-5;
        const Network net(model);
        const Compiled& c = net.compiled();
        const State from = running_state(net);
        const std::vector<FailureRef> within = losses(c);
        const std::size_t goals = std::min(most_goals, c.functions.size());
        double all = 0, five = 0, probability = 0, sweep = 0;
        std::vector<double> sets;
        for (std::size_t g = 0; g < goals; ++g) {
            const auto f = static_cast<std::uint32_t>(g * c.functions.size() / goals);
            const std::string& id = *c.functions[f].id;
            double begun = bench::now();
            const CutSets cuts = cut_sets(from, id, {.within = within, .most_sets = 0});
            all += bench::now() - begun;
            begun = bench::now();
            const CutSets few = cut_sets(from, id, {.order = 5, .within = within, .most_sets = 0});
            five += bench::now() - begun;
            begun = bench::now();
            bench::keep(risk(from, id, {.hours = 2, .within = within}));
            probability += bench::now() - begun;
            double count = 0;
            for (const std::uint64_t k : cuts.counts) count += static_cast<double>(k);
            sets.push_back(count);
            bool right = cuts.complete;
            for (std::size_t k = 0; k < few.counts.size(); ++k) right = right && few.counts[k] == (k <= 5 && k < cuts.counts.size() ? cuts.counts[k] : 0);
            if (size <= 1000 && g % 10 == 0) {
                begun = bench::now();
                const SweepResult r = swept(from, f, within);
                sweep += 10 * (bench::now() - begun);
                right = right && cuts.counts.size() > 2 && below_normal(r) == cuts.counts[1] + cuts.counts[2];
            }
            if (right) continue;
            std::fprintf(stderr, "wrong answer: the cut sets of %s\n", id.c_str());
            return 1;
        }
        std::ranges::sort(sets);
        const double each = 1e3 / static_cast<double>(goals);
        if (!smoke) std::printf("%9zu %6u %6zu %12.2f %14.2f %14.2f %16.2f %14.3g\n", c.elements.size(), c.program.longest_loop(), goals, all * each, five * each, probability * each, sweep * each, sets[sets.size() / 2]);
    }
    return ostrea(smoke) ? 0 : 1;
}
