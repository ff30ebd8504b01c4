// Minimal cut sets of functions in networks with loops, of any order, from their formulas.
//
//     bench_cut_sets [--smoke]
//
// Aircraft of 100 to 10,000 elements whose main buses are tied in rings of twenty, losses only. Before timing, the sets of
// up to two losses are compared with a sweep that settles every combination. Beside it: that sweep, which ends at order
// two here and knows nothing beyond.
#include <algorithm>
#include <cstdlib>
#include <cstring>

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

}  // namespace

int main(int argc, char** argv) {
    const bool smoke = argc > 1 && std::strcmp(argv[1], "--smoke") == 0;
    bench::say_machine();
    std::printf("%9s %6s %12s %14s %14s %16s %14s\n", "elements", "goals", "all orders", "order 5", "probability", "sweep, order 2", "sets, median");
    std::printf("%9s %6s %12s %14s %14s %16s %14s\n", "", "", "ms a goal", "ms a goal", "ms a goal", "ms a goal", "");
    for (const std::size_t size : {100, 1000, 10000}) {
        if (smoke && size > 100) break;
        Model model = bench::aircraft(size, 1, 20);
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
        if (!smoke) std::printf("%9zu %6zu %12.2f %14.2f %14.2f %16.2f %14.3g\n", c.elements.size(), goals, all * each, five * each, probability * each, sweep * each, sets[sets.size() / 2]);
    }
}
