#include <algorithm>

#include <fedfrom/logic/minimal_sets.hpp>

#include "catch.hpp"
#include "logic_random.hpp"

using namespace fedfrom;
using namespace fedfrom::testing;

namespace {

using Sets = std::vector<std::vector<std::uint32_t>>;

/// Every variable of some set holds.
bool covered(std::size_t row, const Sets& sets) {
    return std::ranges::any_of(sets, [&](const auto& set) { return (row_of(set) & ~row) == 0; });
}

long double probability_of(const std::vector<std::uint32_t>& set, std::span<const double> p) {
    long double product = 1;
    for (const std::uint32_t v : set) product *= static_cast<long double>(p[v]);
    return product;
}

struct Case {
    Formula formula;
    std::vector<bool> table;
    Sets expected;
    std::vector<double> p;
};

Case random_case(Random& random, bool negations) {
    const std::uint32_t most = below(random, 20) == 0 ? 10 : 7;
    Case c{random_formula(random, {.most_variables = most, .most_gates = 9, .negations = negations}), {}, {}, {}};
    c.table = truth_table(c.formula);
    c.expected = sets_of(minimal_rows(c.table));
    c.p = random_probabilities(random, c.formula.variables());
    return c;
}

Sets no_larger_than(const Sets& sets, std::size_t order) {
    Sets some;
    std::ranges::copy_if(sets, std::back_inserter(some), [&](const auto& set) { return set.size() <= order; });
    return some;
}

/// Whatever was asked and however far it came: what the answer says of itself is so.
void check_honest(const Case& c, const MinimalSets& found) {
    const Sets sets = found.sets();
    // Nothing but minimal sets.
    CHECK(std::ranges::includes(c.expected, sets, [](const auto& a, const auto& b) { return a.size() != b.size() ? a.size() < b.size() : a < b; }));
    CHECK(found.count() == sets.size());
    if (found.complete) {
        CHECK(sets == c.expected);
        CHECK(found.dropped == 0);
        CHECK(found.complete_to == no_limit);
    }
    if (found.complete_to) CHECK(no_larger_than(sets, *found.complete_to) == no_larger_than(c.expected, *found.complete_to));
    if (found.complete_from)
        for (const auto& set : c.expected)
            if (probability_of(set, c.p) >= static_cast<long double>(*found.complete_from)) CHECK(std::ranges::find(sets, set) != sets.end());
    const long double missing = probability_of_rows(c.p, [&](std::size_t row) { return c.table[row] && !covered(row, sets); });
    CHECK(static_cast<long double>(found.dropped) >= std::min(1.0L, missing));  // the sum of all assignments rounds too
    CHECK(found.dropped <= 1);

    const long double cover = probability_of_rows(c.p, [&](std::size_t row) { return covered(row, sets); });
    const double bound = min_cut_upper_bound(found, c.p), rare = rare_event(found, c.p);
    long double sum = 0, product = 1;
    for (const auto& set : sets) {
        sum += probability_of(set, c.p);
        product *= 1 - probability_of(set, c.p);
    }
    CHECK(close(rare, sum));
    CHECK(static_cast<long double>(bound) >= cover * (1 - 1e-14L));
    CHECK(static_cast<double>(bound) <= 1);
    CHECK(bound <= rare * (1 + 1e-12));
    // One less the product has few digits where it is small.
    CHECK(std::fabs(static_cast<long double>(bound) - (1 - product)) <= 1e-12L);
}

}  // namespace

TEST_CASE("Minimal sets of random formulas are those that every assignment tried gives", "[logic]") {
    Random random(20250101);
    for (int i = 0; i < 12000; ++i) {
        INFO("formula " << i);
        const Case c = random_case(random, i % 2 == 0);
        const MinimalSets found = minimal_sets(c.formula, {.p = c.p});
        CHECK(found.complete);
        CHECK(found.sets() == c.expected);
        check_honest(c, found);
    }
}

TEST_CASE("Minimal sets to an order are those and no others, by diagram and by gates", "[logic]") {
    Random random(20250102);
    std::size_t cut = 0, proven_whole = 0;
    for (int i = 0; i < 5000; ++i) {
        INFO("formula " << i);
        const Case c = random_case(random, i % 4 == 0);
        const Wanted wanted{.order = below(random, c.formula.variables() + 1), .p = c.p};
        const MinimalSets found = minimal_sets(c.formula, wanted);
        CHECK(found.sets() == no_larger_than(c.expected, wanted.order));
        CHECK(found.complete == (found.count() == c.expected.size()));
        check_honest(c, found);
        if (i % 4 == 0) continue;
        const MinimalSets by_gates = minimal_sets_by_gates(c.formula, wanted);
        CHECK(by_gates.sets() == found.sets());
        CHECK(by_gates.complete_to >= wanted.order);
        check_honest(c, by_gates);
        cut += !by_gates.complete;
        proven_whole += by_gates.complete;
    }
    CHECK(cut > 500);
    CHECK(proven_whole > 500);
}

TEST_CASE("Minimal sets at least so probable are all there, by diagram and by gates, and what is missing is bounded", "[logic]") {
    Random random(20250103);
    std::size_t cut = 0;
    for (int i = 0; i < 5000; ++i) {
        INFO("formula " << i);
        const Case c = random_case(random, i % 4 == 0);
        const double limits[] = {1, 0.5, 0.1, 1e-2, 1e-4, 1e-10, 1e-300};
        const Wanted wanted{.at_least = limits[below(random, 7)], .p = c.p};
        check_honest(c, minimal_sets(c.formula, wanted));
        if (i % 4 == 0) continue;
        const MinimalSets by_gates = minimal_sets_by_gates(c.formula, wanted);
        CHECK(by_gates.complete_from);
        check_honest(c, by_gates);
        cut += !by_gates.complete;
    }
    CHECK(cut > 500);
}

TEST_CASE("Whatever the budget, the answer does not say more than it knows", "[logic]") {
    Random random(20250104);
    std::size_t nothing = 0, some = 0, all = 0;
    for (int i = 0; i < 4000; ++i) {
        INFO("formula " << i);
        const Case c = random_case(random, i % 4 == 0);
        Wanted wanted{.p = c.p, .budget = {.nodes = 1 + below(random, 40), .steps = below(random, 60)}};
        if (i % 3 == 0) wanted.order = below(random, 4);
        if (i % 3 == 1) wanted.at_least = 0.01;
        const MinimalSets found = minimal_sets(c.formula, wanted);
        check_honest(c, found);
        (found.complete ? all : found.complete_to ? some : nothing) += 1;
    }
    CHECK(nothing > 100);
    CHECK(some > 100);
    CHECK(all > 100);
}
