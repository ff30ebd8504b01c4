#include <algorithm>
#include <numeric>

#include <fedfrom/logic/modules.hpp>
#include <fedfrom/logic/ordered_diagram.hpp>

#include "catch.hpp"
#include "logic_random.hpp"

using namespace fedfrom;
using namespace fedfrom::testing;

namespace {

std::size_t operands(const Formula& f) {
    std::size_t sum = 0;
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) sum += f.operands(g).size();
    return sum;
}

/// What a node reads, itself left out.
std::vector<bool> below_node(const Formula& f, std::uint32_t node) {
    std::vector<bool> met(f.nodes());
    std::vector<std::uint32_t> todo{node};
    while (!todo.empty()) {
        const std::uint32_t n = todo.back();
        todo.pop_back();
        if (!f.is_gate(n)) continue;
        for (const Term t : f.operands(n))
            if (!met[t.node()]) {
                met[t.node()] = true;
                todo.push_back(t.node());
            }
    }
    return met;
}

}  // namespace

TEST_CASE("A formula is evaluated gate by gate", "[logic]") {
    Formula f(3);
    const Term a = f.variable(0), b = f.variable(1), c = f.variable(2);
    f.top = f.any({f.all({a, b}), !c});
    CHECK(f.value({true, true, true}));
    CHECK(f.value({false, false, false}));
    CHECK_FALSE(f.value({true, false, true}));
    f.top = f.at_least(2, {a, a, b});
    CHECK(f.value({true, false, false}));
    CHECK_FALSE(f.value({false, true, false}));
}

TEST_CASE("Empty gates and gates that need too many are constants", "[logic]") {
    Formula f(1);
    for (const auto& [term, value] : {std::pair{f.all({}), true}, {f.any({}), false}, {f.at_least(0, {f.variable(0)}), true}, {f.at_least(2, {f.variable(0)}), false}}) {
        f.top = term;
        CHECK(f.value({false}) == value);
        CHECK(f.value({true}) == value);
        CHECK(simplified(f).top == (value ? Formula::always : Formula::never));
    }
}

TEST_CASE("What is not of a formula is refused", "[logic]") {
    Formula f(2);
    CHECK_THROWS_AS(f.variable(2), std::invalid_argument);
    CHECK_THROWS_AS(f.all({Term{6}}), std::invalid_argument);  // the gate itself: there are no rings
    CHECK_THROWS_AS(f.value({true}), std::invalid_argument);
    CHECK(f.nodes() == f.first_gate());
}

TEST_CASE("Simplifying folds constants, merges equal gates and draws nested ones together", "[logic]") {
    Formula f(4);
    const Term a = f.variable(0), b = f.variable(1), c = f.variable(2), d = f.variable(3);
    const Term one = f.any({a, b}), same = f.any({b, a, a, Formula::never});
    f.top = f.all({f.any({f.any({c, one}), f.all({d})}), f.any({same, f.at_least(1, {c, d})}), !f.at_least(4, {a, !a})});
    const Formula s = simplified(f);
    // Both operands are any(a, b, c, d), which is one gate and all there is.
    CHECK(s.nodes() - s.first_gate() == 1);
    CHECK(s.operands(s.top.node()).size() == 4);
    CHECK(truth_table(s) == truth_table(f));
}

TEST_CASE("Simplifying changes neither the value of a random formula nor makes it larger", "[logic]") {
    Random random(1);
    std::size_t smaller = 0;
    for (int i = 0; i < 20000; ++i) {
        const Formula f = random_formula(random, {.negations = i % 2 == 0});
        const Formula s = simplified(f);
        INFO("formula " << i);
        CHECK(truth_table(s) == truth_table(f));
        CHECK(s.variables() == f.variables());
        CHECK(operands(s) <= operands(f));
        smaller += operands(s) < operands(f);
        for (std::uint32_t g = s.first_gate(); g < s.nodes(); ++g) {
            const auto terms = s.operands(g);
            const auto n = static_cast<std::uint32_t>(terms.size());
            const bool all_or_any = s.needed(g) == 1 || s.needed(g) == n;
            if (n < 2 || s.needed(g) < 1 || s.needed(g) > n) FAIL("a gate that is none");
            for (const Term t : terms) {
                if (t.node() == 0) FAIL("a constant is left");
                if (all_or_any && std::ranges::count(terms, t) != 1) FAIL("an operand is there twice");
            }
        }
    }
    CHECK(smaller > 10000);
}

TEST_CASE("What operands share is written once", "[logic]") {
    const auto operators = [](const Formula& f) { return f.nodes() - f.first_gate(); };
    Formula f(5);
    const Term a = f.variable(0), b = f.variable(1), c = f.variable(2), d = f.variable(3), e = f.variable(4);
    for (const bool other_way : {false, true}) {
        const auto sum = [&](std::initializer_list<Term> terms) { return other_way ? f.all(terms) : f.any(terms); };
        const auto product = [&](std::initializer_list<Term> terms) { return other_way ? f.any(terms) : f.all(terms); };
        // a·b·c + a·b·d + e·d is a·b·(c + d) + e·d.
        f.top = sum({product({a, b, c}), product({a, b, d}), product({e, d})});
        CHECK(operands(factored(f)) == 9);
        CHECK(operators(factored(f)) == 4);
        CHECK(truth_table(factored(f)) == truth_table(f));
        // What holds with less need not be said with more.
        f.top = sum({product({a, b}), product({a, b, d})});
        CHECK(operands(factored(f)) == 2);
        CHECK(truth_table(factored(f)) == truth_table(f));
        // A negated gate is one of the other kind.
        f.top = sum({!sum({a, b}), product({!a, c})});
        CHECK(operands(factored(f)) == 4);
        CHECK(truth_table(factored(f)) == truth_table(f));
    }
    // A gate that others read too stays as it is.
    const Term shared = f.all({a, b});
    f.top = f.any({shared, f.all({a, c}), f.all({shared, d})});
    CHECK(truth_table(factored(f)) == truth_table(f));
}

TEST_CASE("Factoring does not change the value of a random formula", "[logic]") {
    Random random(6);
    std::size_t fewer = 0;
    for (int i = 0; i < 20000; ++i) {
        const Formula f = random_formula(random, {.negations = i % 2 == 0});
        INFO("formula " << i);
        CHECK(truth_table(factored(f)) == truth_table(f));
        fewer += operands(factored(f)) < operands(simplified(f));
    }
    CHECK(fewer > 1000);
    // Sums of products over few variables, where nearly everything is shared; and the other way about.
    for (int i = 0; i < 5000; ++i) {
        Formula f(6);
        const bool other_way = i % 2 == 0;
        std::vector<Term> products;
        for (std::uint32_t p = 0; p < 2 + below(random, 8); ++p) {
            std::vector<Term> terms;
            for (std::uint32_t t = 0; t < 1 + below(random, 5); ++t) terms.push_back(f.variable(below(random, 6)).negated_if(below(random, 4) == 0));
            products.push_back(other_way ? f.any(terms) : f.all(terms));
        }
        f.top = other_way ? f.all(products) : f.any(products);
        INFO("products " << i);
        CHECK(truth_table(factored(f)) == truth_table(f));
    }
}

TEST_CASE("Renumbering moves the variables and nothing else", "[logic]") {
    Random random(2);
    for (int i = 0; i < 500; ++i) {
        const Formula f = random_formula(random, {});
        Order order(f.variables());
        for (std::uint32_t v = 0; v < order.size(); ++v) order[v] = v;
        std::ranges::shuffle(order, random);
        const std::vector<bool> before = truth_table(f), after = truth_table(renumbered(f, positions(order)));
        bool same = true;
        for (std::size_t row = 0; row < before.size(); ++row) {
            std::size_t moved = 0;
            for (std::uint32_t level = 0; level < order.size(); ++level) moved |= (row >> order[level] & 1) << level;
            same = same && before[row] == after[moved];
        }
        CHECK(same);
    }
}

TEST_CASE("Every way to an order, and the best of them, gives an order of all variables", "[logic]") {
    Random random(3);
    for (int i = 0; i < 2000; ++i) {
        const Formula f = simplified(random_formula(random, {.most_variables = 9, .most_gates = 12}));
        std::vector<Order> orders{best_order(f), heaviest_first_order(f), widest_first_order(f), drawn_together(f, heaviest_first_order(f))};
        for (const Walk w : {Walk::as_written, Walk::small_first, Walk::large_first, Walk::shared_first, Walk::far_first}) orders.push_back(depth_first_order(f, w));
        for (Order order : orders) {
            CHECK(order.size() == f.variables());
            std::ranges::sort(order);
            CHECK(std::ranges::adjacent_find(order) == order.end());
        }
    }
}

TEST_CASE("The heaviest variable is the one the top reads through the fewest others", "[logic]") {
    Formula f(4);
    f.top = f.any({f.all({f.variable(0), f.any({f.variable(1), f.variable(2)})}), f.variable(3)});
    CHECK(heaviest_first_order(f) == Order{3, 0, 1, 2});
    // Once 0 is placed the other half of its gate's weight goes to what is left of it.
    Formula g(4);
    g.top = g.any({g.all({g.variable(0), g.variable(1)}), g.all({g.variable(2), g.variable(3), g.variable(0)})});
    CHECK(heaviest_first_order(g) == Order{0, 1, 2, 3});
}

TEST_CASE("Far first goes by the variable that reaches least, widest first by what reaches a quarter", "[logic]") {
    Formula f(70);  // more than one word of variables
    const Term last = f.variable(69), near = f.variable(68);
    Term spine = f.all({last, f.variable(0)});
    for (std::uint32_t v = 1; v < 10; ++v) spine = v % 2 == 1 ? f.any({f.variable(v), spine}) : f.all({f.variable(v), spine});
    f.top = f.any({f.all({near, last}), spine});
    // Of 12 gates `last` reaches all, v of the spine 11 - v, `near` 2. Both operands of the top hang on one that reaches 2; further in, the gate comes before the variable.
    const Order far = depth_first_order(f, Walk::far_first), wide = widest_first_order(f);
    CHECK(std::vector(far.begin(), far.begin() + 12) == Order{69, 68, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9});
    CHECK(std::vector(wide.begin(), wide.begin() + 12) == Order{69, 0, 1, 2, 3, 4, 5, 6, 7, 8, 68, 9});
}

TEST_CASE("What belongs together is drawn together", "[logic]") {
    // Eight pairs, and an order that has the first of all before the second of any: under that the diagram doubles with each pair.
    constexpr std::uint32_t pairs = 8;
    Formula f(2 * pairs);
    std::vector<Term> both;
    for (std::uint32_t i = 0; i < pairs; ++i) both.push_back(f.all({f.variable(i), f.variable(pairs + i)}));
    f.top = f.any(both);
    Order apart(2 * pairs);
    std::iota(apart.begin(), apart.end(), 0);
    const auto nodes = [&](const Order& order) {
        const OrderedDiagram d = ordered_diagram(f, order);
        return d.diagrams.nodes(d.top);
    };
    CHECK(nodes(apart) == (2u << pairs) - 2);
    CHECK(nodes(drawn_together(f, apart)) == 2 * pairs);
}

TEST_CASE("Modules are the gates below which nothing else reads anything", "[logic]") {
    Random random(4);
    std::size_t inner = 0;
    for (int i = 0; i < 4000; ++i) {
        INFO("formula " << i);
        const Formula f = simplified(random_formula(random, {.most_variables = 10, .most_gates = 12}));
        std::vector<bool> met = below_node(f, f.top.node());
        met[f.top.node()] = true;
        std::vector<std::uint32_t> expected;
        for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) {
            if (!met[g]) continue;
            const std::vector<bool> below = below_node(f, g);
            bool alone = true;
            for (std::uint32_t reader = f.first_gate(); reader < f.nodes(); ++reader)
                if (met[reader] && reader != g && !below[reader])
                    for (const Term t : f.operands(reader)) alone = alone && !below[t.node()];
            if (alone) expected.push_back(g);
        }
        CHECK(modules(f) == expected);
        inner += expected.size() > 1;
    }
    CHECK(inner > 200);
}

TEST_CASE("The variables of a module stand together", "[logic]") {
    // Two modules of four variables, each two of three with a common one, read twice by the rest.
    Formula f(9);
    std::vector<Term> halves;
    for (const std::uint32_t first : {0u, 4u}) {
        const Term a = f.variable(first), b = f.variable(first + 1), c = f.variable(first + 2), d = f.variable(first + 3);
        halves.push_back(f.at_least(2, {f.any({a, d}), f.any({b, d}), c}));
    }
    f.top = f.any({f.all({halves[0], f.variable(8)}), f.all({halves[1], f.variable(8)}), f.all({halves[0], halves[1]})});
    const std::vector<std::uint32_t> level = positions(best_order(f));
    for (const std::uint32_t first : {0u, 4u}) {
        const auto [least, most] = std::minmax({level[first], level[first + 1], level[first + 2], level[first + 3]});
        CHECK(most - least == 3);
    }
}
