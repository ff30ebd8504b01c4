// Small published fault trees and networks, each with its source.
#include <fedfrom/logic/minimal_sets.hpp>

#include "catch.hpp"
#include "logic_random.hpp"

using namespace fedfrom;
using namespace fedfrom::testing;

using Sets = std::vector<std::vector<std::uint32_t>>;

TEST_CASE("The five-component bridge: Lovely Professional University, DMTH404 Statistics, unit 17.3, page 237", "[logic]") {
    // 0 source-top, 1 source-bottom, 2 top-bottom both ways, 3 top-sink, 4 bottom-sink; a variable that holds has failed.
    Formula f(5);
    const auto works = [&](std::uint32_t v) { return !f.variable(v); };
    f.top = !f.any({f.all({works(0), works(3)}), f.all({works(1), works(4)}), f.all({works(0), works(2), works(4)}), f.all({works(1), works(2), works(3)})});
    const MinimalSets cuts = minimal_sets(f);
    CHECK(cuts.sets() == Sets{{0, 1}, {3, 4}, {0, 2, 4}, {1, 2, 3}});
    CHECK(minimal_sets_by_gates(f).sets() == cuts.sets());
    const OrderedDiagram d = ordered_diagram(f);
    // From the structure, all 32 states summed.
    const std::vector<double> p(5, 0.1);
    CHECK(close(probability(d, p), 0.02152L));
    CHECK(close(rare_event(cuts, p), 0.022L));
    CHECK(min_cut_upper_bound(cuts, p) == Approx(0.02185921989995).epsilon(1e-11));
    for (const std::uint32_t v : {0u, 1u, 3u, 4u}) CHECK(birnbaum(d, p)[v] == Approx(0.1062).epsilon(1e-12));
    CHECK(birnbaum(d, p)[2] == Approx(0.0162).epsilon(1e-12));
    CHECK(probability(d, std::vector<double>(5, 0.01)) == Approx(2.019502e-4).epsilon(1e-7));
}

TEST_CASE("k out of n has C(n, n-k+1) minimal cut sets: the same, page 237; three of four engines at 0.97", "[logic]") {
    struct Row {
        std::uint32_t k, n;
        double works, all;
        std::size_t cuts;
    };
    for (const Row& row : {Row{1, 2, 0.9, 0.99, 1}, {2, 3, 0.9, 0.972, 3}, {2, 3, 0.99, 0.999702, 3}, {2, 4, 0.9, 0.9963, 4}, {3, 4, 0.97, 0.99481357, 6}, {3, 5, 0.9, 0.99144, 10}}) {
        Formula f(row.n);
        std::vector<Term> all;
        for (std::uint32_t v = 0; v < row.n; ++v) all.push_back(!f.variable(v));
        f.top = !f.at_least(row.k, all);
        CHECK(minimal_sets(f).count() == row.cuts);
        CHECK(minimal_sets_by_gates(f).count() == row.cuts);
        CHECK(1 - probability(ordered_diagram(f), std::vector<double>(row.n, 1 - row.works)) == Approx(row.all).epsilon(1e-9));
    }
}

TEST_CASE("The car's brakes: Ebeling, An Introduction to Reliability and Maintainability Engineering", "[logic]") {
    // 0 master cylinder, 1 line, 2 cable, 3 to 6 wheel cylinders, 7 to 10 pads, the last two of either at the rear.
    Formula f(11);
    std::vector<Term> wheels;
    for (std::uint32_t i = 0; i < 4; ++i) wheels.push_back(f.any({f.variable(3 + i), f.variable(7 + i)}));
    const Term foot = f.any({f.variable(0), f.variable(1), f.all(wheels)}), mechanical = f.any({f.variable(2), f.all({f.variable(9), f.variable(10)})});
    f.top = f.all({foot, mechanical});
    const MinimalSets cuts = minimal_sets(f);
    CHECK(cuts.count() == 20);
    CHECK(cuts.count_by_order() == std::vector<std::uint64_t>{0, 0, 2, 2, 4, 12});  // of sixteen of order five, four hold both rear pads
    CHECK(cuts.sets(3) == Sets{{0, 2}, {1, 2}, {0, 9, 10}});
    // From the structure, all states summed.
    struct Row {
        double p, exact, sum;
    };
    for (const Row& row : {Row{0.01, 2.0101006184e-4, 2.020412e-4}, {0.05, 5.13101644434e-3, 5.27875e-3}, {0.1, 0.021078729010, 0.02252}}) {
        const std::vector<double> p(11, row.p);
        CHECK(probability(ordered_diagram(f), p) == Approx(row.exact).epsilon(1e-10));
        CHECK(rare_event(cuts, p) == Approx(row.sum).epsilon(1e-6));
    }
}

TEST_CASE("Two small trees: lecture notes on fault trees, notes5c", "[logic]") {
    Formula power(3);
    power.top = power.any({power.all({power.variable(0), power.variable(1)}), power.variable(2)});
    // The notes round to 0.01.
    CHECK(close(probability(ordered_diagram(power), std::vector{0.067, 0.075, 0.005}), 0.009999875L));
    // Absorption: E3 makes the first branch superfluous.
    Formula f(5);
    const Term e1 = f.variable(0), e2 = f.variable(1), e3 = f.variable(2), e4 = f.variable(3), e5 = f.variable(4);
    f.top = f.any({f.all({e1, f.all({e3, e4})}), f.any({e2, f.any({e5, e3})})});
    CHECK(minimal_sets(f).sets() == Sets{{1}, {2}, {4}});
    CHECK(minimal_sets_by_gates(f).sets() == Sets{{1}, {2}, {4}});
}
