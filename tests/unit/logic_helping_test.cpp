#include <algorithm>
#include <numeric>

#include <fedfrom/logic/helping.hpp>

#include "catch.hpp"
#include "logic_random.hpp"

using namespace fedfrom;
using namespace fedfrom::testing;

namespace {

/// By the definition, row by row.
std::vector<std::uint32_t> helping_of(const std::vector<bool>& table, std::uint32_t variables) {
    std::vector<std::uint32_t> found;
    for (std::uint32_t v = 0; v < variables; ++v)
        for (std::size_t row = 0; row < table.size(); ++row)
            if (!(row >> v & 1) && table[row] && !table[row | std::size_t{1} << v]) {
                found.push_back(v);
                break;
            }
    return found;
}

std::vector<std::uint32_t> all_variables(const Formula& f) {
    std::vector<std::uint32_t> list(f.variables());
    std::iota(list.begin(), list.end(), 0u);
    return list;
}

/// v0 and v_n, or v1 and v_n+1, and so on: under an ascending order its diagram is large.
Formula pairs(std::uint32_t count) {
    Formula f(2 * count);
    std::vector<Term> both;
    for (std::uint32_t i = 0; i < count; ++i) both.push_back(f.all({f.variable(i), f.variable(count + i)}));
    f.top = f.any(both);
    return f;
}

}  // namespace

TEST_CASE("Variables that can help are those of the definition, under any order", "[logic]") {
    Random random(31);
    int some_help = 0;
    for (int i = 0; i < 20000; ++i) {
        INFO("formula " << i);
        const Formula f = random_formula(random, {.most_variables = i % 50 == 0 ? 10u : 6u, .most_gates = 12, .negations = i % 8 != 0});
        Order order = all_variables(f);
        std::ranges::shuffle(order, random);
        OrderedDiagram d = ordered_diagram(f, order);
        const std::vector<std::uint32_t> expected = helping_of(truth_table(f), f.variables());
        CHECK(helping(d, all_variables(f)) == expected);
        CHECK(std::ranges::includes(read_negated(f), expected));
        CHECK(helping(d, read_negated(f)) == expected);
        if (i % 8 == 0) CHECK(read_negated(f).empty());
        some_help += !expected.empty();
    }
    CHECK(some_help > 4000);
}

TEST_CASE("Of variables that can help, those asked for are told", "[logic]") {
    Formula f(4);
    f.top = f.all({!f.variable(0), f.variable(1), !f.variable(3)});
    OrderedDiagram d = ordered_diagram(f);
    CHECK(helping(d, all_variables(f)) == std::vector<std::uint32_t>{0, 3});
    CHECK(helping(d, std::vector<std::uint32_t>{3, 1}) == std::vector<std::uint32_t>{3});
    CHECK(helping(d, std::vector<std::uint32_t>{1, 2}).empty());
    CHECK(helping(d, std::vector<std::uint32_t>{}).empty());
}

TEST_CASE("A variable that is negated may well not help", "[logic]") {
    Formula f(2);
    const Term a = f.variable(0), b = f.variable(1);
    f.top = f.any({f.all({a, b}), f.all({!a, b})});  // b
    OrderedDiagram d = ordered_diagram(f);
    CHECK(read_negated(f) == std::vector<std::uint32_t>{0});
    CHECK(helping(d, read_negated(f)).empty());

    f.top = !f.all({!a, !f.any({b, a})});  // nothing is left negated once that is pushed down
    CHECK(read_negated(f).empty());
}

TEST_CASE("Constants have none that helps", "[logic]") {
    Formula f(2);
    for (const Term top : {Formula::never, Formula::always}) {
        f.top = top;
        OrderedDiagram d = ordered_diagram(f);
        CHECK(helping(d, all_variables(f)).empty());
        CHECK(read_negated(f).empty());
    }
}

TEST_CASE("Asking who helps makes no node, and stops at the budget's steps", "[logic]") {
    const Formula f = pairs(10);
    OrderedDiagram d = ordered_diagram(f, all_variables(f));
    const std::size_t nodes = d.diagrams.nodes();
    d.diagrams.allow({.steps = d.diagrams.steps() + 100});
    CHECK_THROWS_AS(helping(d, all_variables(f)), BudgetSpent);
    CHECK(d.diagrams.nodes() == nodes);
    d.diagrams.allow({});
    const std::uint64_t before = d.diagrams.steps();
    CHECK(helping(d, all_variables(f)).empty());
    CHECK(d.diagrams.steps() > before + 100);
    CHECK(d.diagrams.nodes() == nodes);
}
