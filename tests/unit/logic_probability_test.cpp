#include <algorithm>

#include <fedfrom/logic/minimal_sets.hpp>
#include <fedfrom/logic/ordered_diagram.hpp>
#include <fedfrom/logic/probability.hpp>

#include "catch.hpp"
#include "logic_random.hpp"

using namespace fedfrom;
using namespace fedfrom::testing;

TEST_CASE("The probability of a random formula has twelve digits, with zeros, ones and tiny ones among its variables'", "[logic]") {
    Random random(21);
    for (int i = 0; i < 20000; ++i) {
        INFO("formula " << i);
        const Formula f = random_formula(random, {.most_variables = i % 100 == 0 ? 10u : 6u, .negations = i % 3 != 0});
        const std::vector<double> p = random_probabilities(random, f.variables());
        const std::vector<bool> table = truth_table(f);
        const OrderedDiagram d = ordered_diagram(f);
        CHECK(close(probability(d, p), probability_of_rows(p, [&](std::size_t row) { return table[row]; })));
        CHECK(close(probability(d.diagrams, !d.top, std::vector<double>(p.size(), 0.25)),
                    probability_of_rows(std::vector<double>(p.size(), 0.25), [&](std::size_t row) { return !table[row]; })));

        const std::vector<double> importance = birnbaum(d, p);
        for (std::uint32_t v = 0; v < f.variables(); ++v) {
            std::vector<double> with = p, without = p;
            with[v] = 1;
            without[v] = 0;
            const auto holds = [&](std::size_t row) { return table[row]; };
            const long double high = probability_of_rows(with, holds), low = probability_of_rows(without, holds);
            // A difference: good to a part of what was subtracted.
            if (std::fabs(static_cast<long double>(importance[v]) - (high - low)) > 1e-13L * (high + low) + 1e-320L) FAIL("variable " << v << ": " << importance[v]);
        }
    }
}

TEST_CASE("A probability that one less a probability would lose is not lost", "[logic]") {
    // not(not a or not b), and the same once more: through negated edges.
    Formula f(4);
    const Term a = f.variable(0), b = f.variable(1), c = f.variable(2), d = f.variable(3);
    f.top = !f.any({!a, !b, f.all({!c, !d})});
    const std::vector<double> p{1e-150, 1e-150, 0.25, 1e-3};
    CHECK(close(probability(ordered_diagram(f), p), 1e-300L * (1 - 0.75L * 0.999L)));
}

TEST_CASE("What is no probability is refused", "[logic]") {
    Formula f(2);
    f.top = f.variable(0);
    const OrderedDiagram d = ordered_diagram(f);
    const double nan = std::nan("");
    for (const std::vector<double>& p : {std::vector<double>{0.5}, {0.5, 1.5}, {-0.1, 0.5}, {nan, 0.5}}) {
        CHECK_THROWS_AS(probability(d, p), std::invalid_argument);
        CHECK_THROWS_AS(birnbaum(d, p), std::invalid_argument);
        CHECK_THROWS_AS(rare_event(minimal_sets(f), p), std::invalid_argument);
        CHECK_THROWS_AS(min_cut_upper_bound(minimal_sets(f), p), std::invalid_argument);
        CHECK_THROWS_AS(minimal_sets(f, {.p = p}), std::invalid_argument);
    }
    CHECK_THROWS_AS(minimal_sets(f, {.at_least = 0.1}), std::invalid_argument);
    CHECK_THROWS_AS(minimal_sets(f, {.order = 1, .at_least = 0.1, .p = {0.1, 0.1}}), std::invalid_argument);
    CHECK_THROWS_AS(minimal_sets(f, {.at_least = nan, .p = {0.1, 0.1}}), std::invalid_argument);
}

TEST_CASE("The min-cut upper bound is one where a set is certain, and no less than the likeliest set anywhere", "[logic]") {
    Formula f(3);
    f.top = f.any({f.variable(0), f.all({f.variable(1), f.variable(2)})});
    const MinimalSets cuts = minimal_sets(f);
    CHECK(min_cut_upper_bound(cuts, std::vector{1.0, 0.0, 0.0}) == 1);
    CHECK(min_cut_upper_bound(cuts, std::vector{0.0, 1.0, 1.0}) == 1);
    CHECK(min_cut_upper_bound(cuts, std::vector{1.0, 1.0, 1.0}) == 1);
    CHECK(min_cut_upper_bound(cuts, std::vector{0.0, 1.0, 0.0}) == 0);
    CHECK(rare_event(cuts, std::vector{1.0, 1.0, 1.0}) == 2);
    CHECK(rare_event(cuts, std::vector{0.0, 0.0, 1.0}) == 0);
    for (const double q : {1e-300, 1e-17, 1e-9, 0.1, 0.499, 0.5, 0.501, 0.9, 1 - 1e-9, 1 - 1e-16}) {
        const double bound = min_cut_upper_bound(cuts, std::vector{q, 0.0, 1.0});
        CHECK(close(bound, static_cast<long double>(q)));
    }
}

TEST_CASE("The min-cut upper bound over many sets, likely and not, is that of their list", "[logic]") {
    Random random(22);
    for (int i = 0; i < 300; ++i) {
        Formula f(12);
        std::vector<Term> products;
        for (std::uint32_t k = 0; k < 1 + below(random, 30); ++k) products.push_back(f.all({f.variable(below(random, 12)), f.variable(below(random, 12)), f.variable(below(random, 12))}));
        f.top = f.any(products);
        const MinimalSets cuts = minimal_sets(f);
        std::vector<double> p(12);
        for (double& q : p) q = std::pow(static_cast<double>(1 + below(random, 1000)) / 1000, i % 3 == 0 ? 0.05 : i % 3 == 1 ? 1 : 10);
        long double logarithm = 0;
        for (const auto& set : cuts.sets()) {
            long double product = 1;
            for (const std::uint32_t v : set) product *= static_cast<long double>(p[v]);
            logarithm += std::log1p(-product);
        }
        CHECK(close(min_cut_upper_bound(cuts, p), -std::expm1(logarithm)));
    }
    // More than 64 sets of one half and more.
    Formula many(100);
    std::vector<Term> all;
    for (std::uint32_t v = 0; v < 100; ++v) all.push_back(many.variable(v));
    many.top = many.any(all);
    CHECK(min_cut_upper_bound(minimal_sets(many), std::vector<double>(100, 0.5)) == 1);
    CHECK(close(min_cut_upper_bound(minimal_sets(many), std::vector<double>(100, 0.49)), -std::expm1(100 * std::log1p(-0.49L))));
}
