#include <algorithm>
#include <array>
#include <map>

#include <fedfrom/logic/diagram.hpp>
#include <fedfrom/logic/ordered_diagram.hpp>

#include "catch.hpp"
#include "logic_random.hpp"

using namespace fedfrom;
using namespace fedfrom::testing;

namespace {

std::vector<bool> values(std::size_t row, std::uint32_t variables) {
    std::vector<bool> v(variables);
    for (std::uint32_t i = 0; i < variables; ++i) v[i] = (row >> i & 1) != 0;
    return v;
}

std::vector<bool> table_of(const Diagrams& d, Diagram f) {
    std::vector<bool> table(std::size_t{1} << d.variables());
    for (std::size_t row = 0; row < table.size(); ++row) table[row] = d.value(f, values(row, d.variables()));
    return table;
}

/// A level above what it reads, no node with two equal edges, plain high edges, no node twice.
bool is_reduced(const Diagrams& d, Diagram f) {
    std::vector<std::array<std::uint32_t, 3>> seen;
    for (const std::uint32_t n : d.walk(f)) {
        const detail::DecisionNode& node = d.node(n);
        if (node.low == node.high || (node.high & 1) != 0) return false;
        if (d.level({node.low}) <= node.level || d.level({node.high}) <= node.level) return false;
        seen.push_back({node.level, node.low, node.high});
    }
    std::ranges::sort(seen);
    return std::ranges::adjacent_find(seen) == seen.end();
}

}  // namespace

TEST_CASE("The diagram of a random formula has its value, its models and its restrictions", "[logic]") {
    Random random(11);
    for (int i = 0; i < 20000; ++i) {
        INFO("formula " << i);
        const Formula f = random_formula(random, {.most_variables = i % 100 == 0 ? 10u : 6u, .negations = i % 3 != 0});
        Diagrams d(f.variables());
        const Diagram top = diagram_of(f, d);
        const std::vector<bool> table = truth_table(f);
        CHECK(table_of(d, top) == table);
        CHECK(is_reduced(d, top));
        CHECK(d.models(top) == static_cast<std::uint64_t>(std::ranges::count(table, true)));
        CHECK(d.models(!top) == static_cast<std::uint64_t>(std::ranges::count(table, false)));

        const std::uint32_t v = below(random, f.variables());
        const bool value = below(random, 2) == 1;
        const Diagram restricted = d.restrict(top, v, value);
        bool same = true;
        for (std::size_t row = 0; row < table.size(); ++row) {
            const std::size_t fixed = value ? row | std::size_t{1} << v : row & ~(std::size_t{1} << v);
            same = same && d.value(restricted, values(row, f.variables())) == table[fixed];
        }
        CHECK(same);
    }
}

TEST_CASE("One function implies another where it does in every row, and no node is made to find out", "[logic]") {
    Random random(13);
    Diagrams d(5);
    std::vector<Diagram> made;
    for (std::uint32_t v = 0; v < d.variables(); ++v) made.push_back(d.variable(v));
    int implied = 0;
    for (int i = 0; i < 20000; ++i) {
        INFO("pair " << i);
        const auto any = [&] {
            const Diagram f = made[below(random, static_cast<std::uint32_t>(made.size()))];
            return below(random, 2) == 0 ? f : !f;
        };
        const Diagram f = any(), g = any(), h = any(), either = d.any(f, g), chosen = d.if_then_else(f, g, h);
        const std::vector<bool> of_f = table_of(d, f), of_g = table_of(d, g);
        bool expected = true;
        for (std::size_t row = 0; row < of_f.size(); ++row) expected = expected && (!of_f[row] || of_g[row]);
        const std::size_t nodes = d.nodes();
        CHECK(d.implies(f, g) == expected);
        CHECK(d.implies(f, g) == expected);  // as it is remembered
        CHECK(d.implies(f, either));
        CHECK(d.nodes() == nodes);
        CHECK((d.all(f, !g) == Diagrams::never) == expected);  // what is remembered for one is right for the others
        CHECK(d.any(f, g) == either);
        CHECK(d.if_then_else(f, g, h) == chosen);
        implied += expected;
        if (made.size() < 400) made.push_back(below(random, 2) == 0 ? chosen : d.all(f, g));
    }
    CHECK(implied > 500);
    for (const Diagram f : made) {
        CHECK(d.implies(Diagrams::never, f));
        CHECK(d.implies(f, Diagrams::always));
        CHECK(d.implies(f, Diagrams::never) == (f == Diagrams::never));
    }
}

TEST_CASE("Equal functions of one store are one diagram, however they were made", "[logic]") {
    Random random(12);
    Diagrams d(3);
    std::map<std::vector<bool>, Diagram> known;
    std::vector<Diagram> made{Diagrams::never, d.variable(0), d.variable(1), d.variable(2)};
    for (int i = 0; i < 5000; ++i) {
        const auto any = [&] { return made[below(random, static_cast<std::uint32_t>(made.size()))]; };
        const Diagram f = any(), g = any(), h = any();
        const Diagram some[] = {f, !g, h, f};
        const Diagram ways[] = {d.at_least(below(random, 6), some), d.if_then_else(f, g, !h), d.all(f, !g), d.any(f, g)};
        const Diagram result = ways[below(random, 4)];
        const auto [at, is_new] = known.emplace(table_of(d, result), result);
        CHECK(at->second == result);
        if (is_new) made.push_back(result);
    }
    CHECK(known.size() == 256);  // every function of three variables
}

TEST_CASE("A store that forgets keeps what it is told to", "[logic]") {
    Random random(13);
    for (int i = 0; i < 500; ++i) {
        const Formula f = random_formula(random, {}), g = random_formula(random, {.most_variables = f.variables()});
        if (f.variables() != g.variables()) continue;
        Diagrams d(f.variables());
        Diagram kept[] = {diagram_of(f, d), Diagrams::always};
        const Diagram x = d.variable(0);
        kept[1] = d.if_then_else(x, !kept[0], kept[0]);
        const std::vector<bool> before = table_of(d, kept[1]);
        const std::size_t nodes = d.nodes();
        d.keep_only(kept);
        CHECK(d.nodes() <= nodes);
        CHECK(table_of(d, kept[0]) == truth_table(f));
        CHECK(table_of(d, kept[1]) == before);
        // And finds its nodes again.
        CHECK(d.if_then_else(d.variable(0), !kept[0], kept[0]) == kept[1]);
    }
}

TEST_CASE("A spent budget is said, and what was there before is still good", "[logic]") {
    Diagrams d(40, {.nodes = 100});
    // Pairs that stand far apart: exponential in this order.
    Diagram f = Diagrams::never;
    std::uint32_t pairs = 0;
    Diagram before = f;
    try {
        for (; pairs < 20; ++pairs) {
            before = f;
            f = d.any(f, d.all(d.variable(pairs), d.variable(20 + pairs)));
        }
        FAIL("20 pairs in 100 nodes");
    } catch (const BudgetSpent&) {
        CHECK(pairs > 1);
    }
    std::vector<bool> v(40);
    CHECK_FALSE(d.value(before, v));
    v[0] = v[20] = true;
    CHECK(d.value(before, v));
    CHECK(d.all(before, !before) == Diagrams::never);

    // With more it goes on, and with none it knows what it knew.
    d.allow({.nodes = 100, .steps = 0});
    CHECK(d.any(before, before) == before);
    CHECK_THROWS_AS(d.all(before, d.variable(39)), BudgetSpent);
    d.allow({});
    for (; pairs < 10; ++pairs) f = d.any(f, d.all(d.variable(pairs), d.variable(20 + pairs)));
    CHECK(d.value(f, v));
    CHECK(d.models(f) == (std::uint64_t{1} << 40) - (std::uint64_t{59049} << 20));  // of each of ten pairs three of four do not hold

    Diagrams slow(40, {.steps = 5});
    CHECK_THROWS_AS(([&] {
                        Diagram all = Diagrams::always;
                        for (std::uint32_t i = 0; i < 40; ++i) all = slow.all(slow.variable(i), all);
                    }()),
                    BudgetSpent);
}

TEST_CASE("Diagrams are as deep as there are variables, not as the stack is", "[logic]") {
    constexpr std::uint32_t n = 200'000;
    Formula f(n);
    std::vector<Term> all, odd;
    for (std::uint32_t v = 0; v < n; ++v) {
        all.push_back(f.variable(v));
        if (v % 2 == 1) odd.push_back(f.variable(v));
    }
    f.top = f.all({f.any(all), f.all(odd)});
    Diagrams d(n);
    const Diagram top = diagram_of(f, d);
    CHECK(d.nodes(top) == n / 2);  // that all odd ones hold says that any does
    CHECK(d.models(top) == static_cast<std::uint64_t>(-1));
    CHECK(d.restrict(top, n - 1, false) == Diagrams::never);
    // A chain of gates as deep, and every other walk over it.
    Formula chain(n);
    chain.top = chain.variable(0);
    for (std::uint32_t v = 1; v < n; ++v) chain.top = v % 2 == 0 ? chain.all({chain.variable(v), chain.top}) : chain.any({chain.variable(v), chain.top});
    const OrderedDiagram deep = ordered_diagram(chain);
    CHECK(deep.diagrams.nodes(deep.top) == n);
}

TEST_CASE("A diagram of 60 variables counts its models to the last", "[logic]") {
    Diagrams d(70);
    std::vector<Diagram> some;
    for (std::uint32_t v = 0; v < 60; ++v) some.push_back(d.variable(v));
    Diagrams exact(60);
    std::vector<Diagram> same;
    for (std::uint32_t v = 0; v < 60; ++v) same.push_back(exact.variable(v));
    CHECK(exact.models(exact.at_least(59, same)) == 61);
    CHECK(exact.models(exact.at_least(1, same)) == (std::uint64_t{1} << 60) - 1);
    CHECK(d.models(d.at_least(59, some)) == 61 * 1024);
    CHECK(d.models(d.at_least(1, some)) == static_cast<std::uint64_t>(-1));
    CHECK(d.models(!d.at_least(1, some)) == 1024);
}
