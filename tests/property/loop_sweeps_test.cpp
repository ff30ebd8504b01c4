// Sweeps forth and back through random loops, each against its least fixed point, found by evaluating all gates until nothing changes.
#include <algorithm>
#include <cstdint>
#include <random>
#include <vector>

#include "catch.hpp"
#include "study/loop_sweeps.hpp"

using namespace fedfrom;

namespace {

using Values = std::vector<bool>;  // by variable

struct Loop {
    Program program;
    Component component() const { return {.first = 0, .last = static_cast<std::uint32_t>(program.gates.size()), .cyclic = true}; }

    void gate(Gate::Op op, std::uint32_t count, const std::vector<Literal>& operands) {
        const auto first = static_cast<std::uint32_t>(program.operands.size());
        program.operands.insert(program.operands.end(), operands.begin(), operands.end());
        program.gates.push_back({.op = op, .count = count, .first = first, .last = static_cast<std::uint32_t>(program.operands.size())});
    }
    bool value(std::uint32_t g, const Values& at) const {
        const Gate& gate = program.gates[g];
        const auto operands = program.operands_of(gate);
        const auto holds = [&](Literal l) { return at[l.variable()] != l.negated(); };
        const auto n = static_cast<std::uint32_t>(std::ranges::count_if(operands, holds));
        switch (gate.op) {
            case Gate::Op::all: return n == operands.size();
            case Gate::Op::any: return n > 0;
            case Gate::Op::at_least: return n >= gate.count;
            case Gate::Op::choose: return holds(operands[holds(operands[0]) ? 1 : 2]);
        }
        return false;
    }
};

/// Every gate reads an earlier one of a random ring through all of them, and others.
Loop random_loop(std::mt19937_64& random) {
    const auto pick = [&](std::size_t n) { return static_cast<std::uint32_t>(random() % n); };
    const std::uint32_t gates = 2 + pick(14), inputs = 3 + pick(4);
    Loop loop;
    loop.program.inputs = 1 + inputs;
    std::vector<std::uint32_t> ring(gates), before(gates);
    for (std::uint32_t g = 0; g < gates; ++g) ring[g] = g;
    std::ranges::shuffle(ring, random);
    for (std::uint32_t i = 0; i < gates; ++i) before[ring[i]] = ring[(i + gates - 1) % gates];
    const auto input = [&] { return Literal(2 * (1 + pick(inputs)) + pick(2)); };
    const auto of_loop = [&](std::uint32_t g) { return Literal::of(loop.program.output(g)); };
    const std::uint32_t more = pick(4);  // the more of them read others too, the more ways there are
    for (std::uint32_t g = 0; g < gates; ++g) {
        std::vector<Literal> operands{of_loop(before[g]), input()};
        while (pick(4) < more) operands.push_back(pick(3) == 0 ? input() : of_loop(pick(gates)));
        std::ranges::shuffle(operands, random);
        switch (pick(5)) {
            case 0: loop.gate(Gate::Op::all, 0, operands); break;
            case 1: loop.gate(Gate::Op::at_least, 1 + pick(operands.size()), operands); break;
            case 2: loop.gate(Gate::Op::choose, 0, {input(), of_loop(before[g]), of_loop(pick(gates))}); break;
            default: loop.gate(Gate::Op::any, 0, operands);
        }
    }
    return loop;
}

/// Buses with sources of their own, each tied to one before it, in any order.
Loop tied_buses(std::mt19937_64& random) {
    const std::uint32_t buses = 2 + static_cast<std::uint32_t>(random() % 7);
    std::vector<std::uint32_t> place(buses);
    for (std::uint32_t b = 0; b < buses; ++b) place[b] = b;
    std::ranges::shuffle(place, random);
    std::vector<std::vector<std::uint32_t>> tied(buses);
    for (std::uint32_t b = 1; b < buses; ++b) {
        const std::uint32_t other = static_cast<std::uint32_t>(random() % b);
        tied[place[b]].push_back(place[other]);
        tied[place[other]].push_back(place[b]);
    }
    Loop loop;
    loop.program.inputs = 1 + 2 * buses;
    for (std::uint32_t b = 0; b < buses; ++b) {
        std::vector<Literal> feeds{Literal::of(1 + 2 * b)};
        for (const std::uint32_t other : tied[b]) feeds.push_back(Literal::of(loop.program.output(2 * other + 1)));
        loop.gate(Gate::Op::any, 0, feeds);
        loop.gate(Gate::Op::all, 0, {Literal::of(loop.program.output(2 * b)), Literal::of(2 + 2 * b)});
    }
    return loop;
}

/// After how many sweeps nothing changes any more.
std::size_t sweeps_needed(const Loop& loop, const detail::LoopSweeps& sweeps, Values at, const Values& fixed) {
    std::size_t n = 0;
    for (; at != fixed; ++n) {
        if (n > sweeps.most) return n;
        for (const std::uint32_t g : n % 2 == 0 ? sweeps.forth : sweeps.back) at[loop.program.output(g)] = loop.value(g, at);
    }
    return n;
}

}  // namespace

TEST_CASE("As many sweeps through a loop as are said reach its least fixed point", "[property]") {
    std::mt19937_64 random(5);
    std::size_t wrong = 0, all_needed = 0, few = 0;
    for (int i = 0; i < 20'000; ++i) {
        const Loop loop = i % 4 == 0 ? tied_buses(random) : random_loop(random);
        const detail::LoopSweeps sweeps = detail::loop_sweeps(loop.program, loop.component());
        for (const auto* gates : {&sweeps.forth, &sweeps.back}) {
            std::vector<std::uint32_t> sorted = *gates;
            std::ranges::sort(sorted);
            REQUIRE(sorted.size() == loop.program.gates.size());
            for (std::uint32_t g = 0; g < sorted.size(); ++g) REQUIRE(sorted[g] == g);
        }
        few += sweeps.most < loop.program.gates.size() / 2;
        std::size_t most_needed = 0;
        for (int j = 0; j < 40; ++j) {
            Values at(loop.program.variables(), false);
            at[0] = true;
            for (std::uint32_t v = 1; v < loop.program.inputs; ++v) at[v] = random() % 2 == 0;
            Values fixed = at, last;
            while (fixed != last) {
                last = fixed;
                for (std::uint32_t g = 0; g < loop.program.gates.size(); ++g) fixed[loop.program.output(g)] = loop.value(g, last);
            }
            most_needed = std::max(most_needed, sweeps_needed(loop, sweeps, at, fixed));
        }
        wrong += most_needed > sweeps.most;
        all_needed += most_needed == sweeps.most;
    }
    CHECK(wrong == 0);
    CHECK(all_needed > 1'000);
    CHECK(few > 1'000);
}

TEST_CASE("A ring of buses takes four sweeps however many they are", "[property]") {
    for (const std::uint32_t buses : {3u, 20u, 200u}) {
        Loop loop;
        // Of each bus its source, whether it works, and its tie to the next.
        loop.program.inputs = 1 + 3 * buses;
        const auto input = [&](std::uint32_t bus, std::uint32_t which) { return Literal::of(1 + 3 * (bus % buses) + which); };
        const auto gate = [&](std::uint32_t bus, std::uint32_t which) { return Literal::of(loop.program.output(4 * (bus % buses) + which)); };
        for (std::uint32_t b = 0; b < buses; ++b) {
            loop.gate(Gate::Op::any, 0, {input(b, 0), gate(b + buses - 1, 2), gate(b, 3)});   // fed
            loop.gate(Gate::Op::all, 0, {gate(b, 0), input(b, 1)});                          // and works
            loop.gate(Gate::Op::all, 0, {gate(b, 1), input(b, 2)});                          // to the next
            loop.gate(Gate::Op::all, 0, {gate(b + 1, 1), input(b, 2)});                      // from the next
        }
        CHECK(detail::loop_sweeps(loop.program, loop.component()).most <= 4);
    }
}
