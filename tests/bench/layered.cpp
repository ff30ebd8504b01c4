// Full evaluation of a layered network: every gate, for 512 scenarios side by side.
//
//     bench_layered [--smoke]
//
// Twenty layers of fifty elements, each fed by any of four of the layer before; every
// scenario loses about one element in twenty. An edge is a feed. Before timing, every
// element in every scenario is compared with a breadth-first search. Beside it: the
// machine's limit, one operand read from the first-level cache and combined.
#include <cstdlib>
#include <cstring>
#include <random>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/solve/sweep.hpp>

#include "clock.hpp"

using namespace fedfrom;

namespace {

constexpr std::size_t in_layer = 50, feeds = 4, scenarios = 512;

Model layered(std::size_t layers) {
    std::mt19937_64 random(7);
    Model m{.name = "Layers"};
    const auto id = [](std::size_t i) { return "e" + std::to_string(100000 + i); };
    for (std::size_t i = 0; i < layers * in_layer; ++i) {
        Element e{.kind = i < in_layer ? Kind::battery : Kind::consumer};
        while (i >= in_layer && e.inputs["power"].feeds.size() < feeds) e.inputs["power"].feeds.push_back({.from = id((i / in_layer - 1) * in_layer + random() % in_layer)});
        m.elements[id(i)] = std::move(e);
    }
    return m;
}

using Scenario = std::vector<bool>;  // by element: lost

/// Layer by layer, from what an element's feeds say.
std::vector<bool> supplied_in(const Compiled& c, const Scenario& lost) {
    std::vector<bool> supplied(lost.size());
    for (std::uint32_t e = 0; e < lost.size(); ++e) {
        bool fed = e < in_layer;
        for (const FeedInfo& f : c.feeds)
            if (c.ports[f.port].element == e) fed = fed || supplied[f.upstream];
        supplied[e] = fed && !lost[e];
    }
    return supplied;
}

template <class W>
class Wide512 {
public:
    Wide512(const Compiled& c, std::span<const One> base, const std::vector<Scenario>& lost) : c_(c), evaluator_(c.program), values_(c.program.variables()) {
        for (Variable v = 0; v < base.size(); ++v) values_[v] = W::filled(any(base[v]));
        values_[0] = W::filled(true);
        for (std::uint32_t e = 0; e < c.elements.size(); ++e)
            for (std::size_t s = 0; s < scenarios; ++s)
                if (lost[s][e]) values_[c.failures[c.elements[e].failures.first].variable].bits[s / 64] |= std::uint64_t{1} << s % 64;
    }
    void run() {
        detail::run_hot<W>([&] { evaluator_.logic(values_); });
    }
    bool supplied(std::uint32_t e, std::size_t scenario) const {
        const Literal l = c_.elements[e].supplied;
        return (values_[l.variable()].bits[scenario / 64] >> scenario % 64 & 1) != l.negated();
    }

private:
    const Compiled& c_;
    detail::Evaluator<W> evaluator_;
    std::vector<W> values_;
};

/// Operands a second, where each costs one read of a first-level cache line and one operation.
template <class W>
double limit() {
    std::vector<W> values(256, W::filled(true));
    constexpr int rounds = 10000;
    const auto times = bench::time([&] {
        detail::run_hot<W>([&] {
            for (int r = 0; r < rounds; ++r) {
                W a = values[0], b = a, x = a, y = a;
                for (std::size_t i = 0; i < values.size(); i += 4) {
                    a &= values[i];
                    b &= values[i + 1];
                    x &= values[i + 2];
                    y &= values[i + 3];
                }
                values[static_cast<std::size_t>(r) % values.size()] = (a & b) & (x & y);
            }
        });
        bench::keep(values);
    });
    return rounds * static_cast<double>(values.size()) / times.best_s;
}

template <class Isa>
bool measure(const char* name, InstructionSet set, const Compiled& c, std::span<const One> base, const std::vector<Scenario>& lost, const std::vector<std::vector<bool>>& expected, bool smoke) {
    if (set > best_instruction_set()) return true;
    using W = Wide<Isa>;
    Wide512<W> wide(c, base, lost);
    wide.run();
    for (std::size_t s = 0; s < scenarios; ++s)
        for (std::uint32_t e = 0; e < c.elements.size(); ++e)
            if (wide.supplied(e, s) != expected[s][e]) return false;
    if (smoke) return true;
    const auto times = bench::time([&] {
        wide.run();
        bench::keep(wide);
    });
    const double edges = static_cast<double>(c.feeds.size()) * scenarios, operands = static_cast<double>(c.program.operands.size()) * scenarios;
    std::printf("%-10s %14.3g %14.3g %14.3g %14.3g\n", name, edges / times.best_s, edges / times.median_s, operands / times.best_s, limit<W>() * scenarios);
    return true;
}

}  // namespace

int main(int argc, char** argv) {
    const bool smoke = argc > 1 && std::strcmp(argv[1], "--smoke") == 0;
    bench::say_machine();
    const Network net(layered(smoke ? 4 : 20));
    const Compiled& c = net.compiled();
    const State running = running_state(net);
    std::mt19937_64 random(11);
    std::vector<Scenario> lost(scenarios, Scenario(c.elements.size()));
    for (Scenario& scenario : lost)
        for (std::size_t e = 0; e < scenario.size(); ++e) scenario[e] = random() % 20 == 0;
    std::vector<std::vector<bool>> expected;
    for (const Scenario& scenario : lost) expected.push_back(supplied_in(c, scenario));
    std::printf("%zu elements, %zu feeds, %zu gates, %zu operands\n", c.elements.size(), c.feeds.size(), c.program.gates.size(), c.program.operands.size());
    if (!smoke) std::printf("%-10s %14s %14s %14s %14s\n%-10s %14s %14s %14s %14s\n", "scenario-", "edges/s", "edges/s", "operands/s", "operands/s", "", "best", "median", "best", "limit");
    const bool right = measure<Baseline>("baseline", InstructionSet::baseline, c, running.memory(), lost, expected, smoke)
#if defined(__x86_64__)
                       && measure<Avx2>("AVX2", InstructionSet::avx2, c, running.memory(), lost, expected, smoke) &&
                       measure<Avx512>("AVX-512", InstructionSet::avx512, c, running.memory(), lost, expected, smoke)
#endif
        ;
    if (!right) std::fprintf(stderr, "wrong answer: the network differs from a search\n");
    return right ? 0 : 1;
}
