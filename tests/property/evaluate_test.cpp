// Programs of many gates of one shape, evaluated in runs and two runs in step, against the gates one by one as they were drafted.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <random>
#include <span>
#include <vector>

#include <fedfrom/network/order.hpp>
#include <fedfrom/solve/evaluate.hpp>
#include <fedfrom/solve/sweep.hpp>

#include "catch.hpp"

using namespace fedfrom;

namespace {

constexpr std::uint32_t inputs = 9;

/// Layers of gates, most of them an `any` and an `all` that reads it; some of those read another one of the layer too.
detail::GateBuilder drafted(std::mt19937_64& random) {
    detail::GateBuilder b;
    while (b.inputs < inputs) b.input();
    const auto one_in = [&](unsigned n) { return random() % n == 0; };
    for (int layer = 0; layer < 6; ++layer) {
        const auto before = static_cast<std::uint32_t>(b.inputs + b.gates.size());
        const auto some = [&](std::size_t count, std::size_t negated) {
            std::vector<Literal> operands;
            while (operands.size() < count) {
                const Literal l = Literal::of(1 + static_cast<Variable>(random() % (before - 1)));
                operands.push_back(operands.size() < negated ? !l : l);
            }
            return operands;
        };
        const std::size_t width = 1 + random() % 4, alternatives = 2 + random() % 4, others = one_in(4) ? 2 : 1, negated = random() % (others + 1);
        const bool negates_alternatives = one_in(8), reads_another = one_in(4);
        std::vector<Literal> first;
        while (first.size() < width) first.push_back(b.any(some(alternatives, negates_alternatives)));
        for (const Literal any : first) {
            std::vector<Literal> operands = some(others, negated);
            if (reads_another) operands[0] = negated ? !first[random() % width] : first[random() % width];
            operands.insert(operands.begin() + static_cast<std::ptrdiff_t>(random() % (operands.size() + 1)), any);
            if (one_in(16)) continue;
            if (one_in(16)) b.at_least(2, detail::Operands(operands));
            else b.all(operands);
        }
        if (one_in(4)) b.choose(some(1, 0)[0], some(1, 0)[0], some(1, 1)[0]);
    }
    return b;
}

/// Of one scenario, by draft variable.
std::vector<bool> one_by_one(const detail::GateBuilder& b, std::vector<bool> values) {
    const auto holds = [&](Literal l) { return values[l.variable()] != l.negated(); };
    for (const detail::DraftGate& g : b.gates) {
        const auto operands = b.operands(g);
        const auto on = static_cast<std::size_t>(std::ranges::count_if(operands, holds));
        if (g.op == Gate::Op::choose) values.push_back(holds(operands[0]) ? holds(operands[1]) : holds(operands[2]));
        else values.push_back(on >= (g.op == Gate::Op::all ? operands.size() : g.op == Gate::Op::any ? 1 : g.count));
    }
    return values;
}

using Scenarios = std::vector<std::vector<bool>>;  // each by draft variable

template <class W, class Put, class Get>
void check(const detail::Ordered& ordered, const Scenarios& expected, Put put, Get get) {
    std::vector<W> values(ordered.program.variables(), W::filled(true));  // gates, too, are told to be wrong
    for (Variable v = 1; v < inputs; ++v)
        for (std::size_t s = 0; s < expected.size(); ++s) put(values[v], s, expected[s][v]);
    detail::Evaluator<W> evaluator(ordered.program);
    detail::run_hot<W>([&] { evaluator.logic(values); });
    for (std::size_t s = 0; s < expected.size(); ++s)
        for (Variable draft = 1; draft < expected[s].size(); ++draft) {
            const Literal at = ordered.at(Literal::of(draft));
            REQUIRE((get(values[at.variable()], s) != at.negated()) == expected[s][draft]);
        }
}

template <class Isa>
void check_wide(const detail::Ordered& ordered, const Scenarios& expected) {
    check<Wide<Isa>>(
        ordered, expected,
        [](Wide<Isa>& w, std::size_t s, bool on) {
            const std::uint64_t bit = std::uint64_t{1} << s % 64;
            w.bits[s / 64] = on ? w.bits[s / 64] | bit : w.bits[s / 64] & ~bit;
        },
        [](const Wide<Isa>& w, std::size_t s) { return (w.bits[s / 64] >> s % 64 & 1) != 0; });
}

}  // namespace

TEST_CASE("Gates evaluated in runs of one shape give what each gives alone, on every kind of word", "[property]") {
    std::size_t in_step = 0, others_in_step_would_be_later = 0;
    for (std::uint64_t seed = 0; seed < 400; ++seed) {
        std::mt19937_64 random(seed);
        const detail::GateBuilder draft = drafted(random);
        const detail::Ordered ordered = detail::Orderer(draft).run();
        const Program& p = ordered.program;
        for (std::size_t c = 1; c < p.components.size(); ++c) {
            in_step += p.components[c].in_step;
            const Component &before = p.components[c - 1], &now = p.components[c];
            if (now.in_step || now.last - now.first != before.last - before.first || p.gates[now.first].op != Gate::Op::all) continue;
            for (std::uint32_t g = now.first; g < now.last; ++g)
                others_in_step_would_be_later += p.operands_of(p.gates[g])[0].variable() > p.output(before.first + g - now.first) && p.operands_of(p.gates[g])[0].variable() < p.output(before.last);
        }
        Scenarios expected;
        for (int s = 0; s < 512; ++s) {
            std::vector<bool> values{true};
            while (values.size() < inputs) values.push_back(random() % 2);
            expected.push_back(one_by_one(draft, std::move(values)));
        }
        INFO("seed " << seed);
        check_wide<Baseline>(ordered, expected);
#if defined(__x86_64__)
        if (best_instruction_set() >= InstructionSet::avx2) check_wide<Avx2>(ordered, expected);
        if (best_instruction_set() >= InstructionSet::avx512) check_wide<Avx512>(ordered, expected);
#endif
        check<Lanes>(
            ordered, Scenarios(expected.begin(), expected.begin() + 64),
            [](Lanes& w, std::size_t s, bool on) { w.bits = on ? w.bits | std::uint64_t{1} << s : w.bits & ~(std::uint64_t{1} << s); }, [](const Lanes& w, std::size_t s) { return (w.bits >> s & 1) != 0; });
        for (int s = 0; s < 8; ++s)
            check<One>(ordered, {expected[s]}, [](One& w, std::size_t, bool on) { w = One::filled(on); }, [](const One& w, std::size_t) { return any(w); });
    }
    CHECK(in_step > 200);
    CHECK(others_in_step_would_be_later > 20);
}
