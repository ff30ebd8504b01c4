#include <algorithm>
#include <set>

#include <fedfrom/logic/family.hpp>
#include <fedfrom/logic/solutions.hpp>

#include "catch.hpp"
#include "logic_random.hpp"

using namespace fedfrom;
using namespace fedfrom::testing;

namespace {

using Masks = std::set<std::size_t>;  // each a set of members, as bits

Masks masks_of(const Families& s, Family f) {
    Masks found;
    s.for_each(f, [&](std::span<const std::uint32_t> set) {
        CHECK(found.insert(row_of({set.begin(), set.end()})).second);
        return true;
    });
    return found;
}

Family family_of(Families& s, const Masks& masks) {
    Family f = Families::none;
    for (const std::size_t m : masks) f = s.unite(f, s.set(members(m)));
    return f;
}

bool contains(std::size_t set, std::size_t part) { return (part & ~set) == 0; }

Masks minimal(const Masks& from) {
    Masks kept;
    for (const std::size_t m : from)
        if (std::ranges::none_of(from, [&](std::size_t other) { return other != m && contains(m, other); })) kept.insert(m);
    return kept;
}

Masks product(const Masks& f, const Masks& g) {
    Masks all;
    for (const std::size_t a : f)
        for (const std::size_t b : g) all.insert(a | b);
    return minimal(all);
}

std::uint64_t weight(const Families& s, std::size_t mask) {
    std::uint64_t sum = 0;
    for (const std::uint32_t m : members(mask)) sum += s.weight(m);
    return sum;
}

Masks no_heavier(const Families& s, const Masks& from, std::uint32_t most) {
    Masks kept;
    std::ranges::copy_if(from, std::inserter(kept, kept.end()), [&](std::size_t m) { return weight(s, m) <= most; });
    return kept;
}

Masks random_masks(Random& random, std::uint32_t levels) {
    Masks masks;
    for (std::uint32_t n = below(random, 10); n > 0; --n) masks.insert((random() & random()) & ((std::size_t{1} << levels) - 1));
    if (below(random, 10) == 0) masks.insert(0);
    return masks;
}

}  // namespace

TEST_CASE("Operations on random families are those on lists of sets", "[logic]") {
    Random random(31);
    for (int i = 0; i < 3000; ++i) {
        INFO("round " << i);
        const std::uint32_t levels = 1 + below(random, 8);
        Families s(levels);
        const Masks a = random_masks(random, levels), b = random_masks(random, levels), c = minimal(a), d = minimal(b);
        const Family f = family_of(s, a), g = family_of(s, b), h = family_of(s, c), k = family_of(s, d);
        CHECK(masks_of(s, f) == a);
        CHECK(s.count(f) == a.size());
        CHECK((f == g) == (a == b));
        Masks united = a, without;
        united.insert(b.begin(), b.end());
        CHECK(masks_of(s, s.unite(f, g)) == united);
        std::ranges::copy_if(a, std::inserter(without, without.end()), [&](std::size_t m) { return std::ranges::none_of(b, [&](std::size_t part) { return contains(m, part); }); });
        CHECK(masks_of(s, s.without(f, g)) == without);
        Masks both = c;
        both.insert(d.begin(), d.end());
        CHECK(masks_of(s, s.unite_minimal(h, k)) == minimal(both));
        CHECK(masks_of(s, s.product_minimal(h, k)) == product(c, d));
        std::vector<std::uint64_t> by_order(s.count_by_order(f));
        for (const std::size_t m : a) --by_order[members(m).size()];
        CHECK(std::ranges::all_of(by_order, [](std::uint64_t left) { return left == 0; }));
    }
}

TEST_CASE("A truncated product is right for its limit whatever was computed before in the same store", "[logic]") {
    Random random(32);
    std::size_t cut = 0, whole = 0;
    for (int i = 0; i < 600; ++i) {
        INFO("round " << i);
        const std::uint32_t levels = 2 + below(random, 7);
        std::vector<std::uint32_t> weights(levels);
        for (std::uint32_t& w : weights) w = i % 2 == 0 ? 1 : below(random, 5);
        Families s(levels, {}, weights);
        std::vector<Masks> masks;
        std::vector<Family> families;
        for (int n = 0; n < 4; ++n) {
            masks.push_back(minimal(random_masks(random, levels)));
            families.push_back(family_of(s, masks.back()));
        }
        // The same operands under every limit, up, down and mixed: what one leaves in the cache, the next finds.
        for (int n = 0; n < 60; ++n) {
            const std::uint32_t x = below(random, 4), y = below(random, 4);
            const std::uint32_t most = below(random, 10) == 0 ? no_limit : n % 3 == 0 ? static_cast<std::uint32_t>(n / 6) : below(random, 9);
            const Trimmed found = s.product_minimal(families[x], families[y], most);
            const Masks all = product(masks[x], masks[y]), expected = no_heavier(s, all, most);
            CHECK(masks_of(s, found.family) == expected);
            if (!found.dropped) CHECK(expected == all);
            // Nothing too heavy, nothing dropped: the other way round it may err, and says so.
            std::uint64_t heaviest = 0;
            for (const std::size_t a : masks[x])
                for (const std::size_t b : masks[y]) heaviest = std::max(heaviest, weight(s, a | b));
            if (heaviest <= most) CHECK_FALSE(found.dropped);
            if (!expected.empty()) (found.dropped ? cut : whole) += 1;

            // Cut short: the same sets within the limit, and something of every other.
            const Masks covering = masks_of(s, s.product_cut_short(families[x], families[y], most));
            CHECK(no_heavier(s, covering, most) == expected);
            CHECK(minimal(covering) == covering);
            for (const std::size_t a : masks[x])
                for (const std::size_t b : masks[y])
                    if (std::ranges::none_of(covering, [&](std::size_t part) { return contains(a | b, part); })) FAIL("a union is not covered");

            const Trimmed trimmed = s.trim(families[x], most);
            CHECK(masks_of(s, trimmed.family) == no_heavier(s, masks[x], most));
            CHECK(trimmed.dropped == (s.count(trimmed.family) != masks[x].size()));
        }
    }
    CHECK(cut > 2000);
    CHECK(whole > 2000);
}

TEST_CASE("A cached product under one limit does not answer for another", "[logic]") {
    // {0,1} {2} times {3,4} {5}: orders 4, 3, 3, 2.
    Families s(6);
    const Family f = s.unite(s.set(std::vector{0u, 1u}), s.single(2)), g = s.unite(s.set(std::vector{3u, 4u}), s.single(5));
    for (int repeat = 0; repeat < 2; ++repeat) {
        const Trimmed two = s.product_minimal(f, g, 2), four = s.product_minimal(f, g, 4), three = s.product_minimal(f, g, 3);
        CHECK(s.count(two.family) == 1);
        CHECK(two.dropped);
        CHECK(s.count(three.family) == 3);
        CHECK(three.dropped);
        CHECK(s.count(four.family) == 4);
        CHECK_FALSE(four.dropped);
        const Trimmed again = s.product_minimal(f, g, 2);
        CHECK(again.dropped);
        CHECK(again.family == two.family);
    }
}

TEST_CASE("Sets come in the order of their words, and as many as are wanted", "[logic]") {
    Families s(4);
    const Family f = family_of(s, {0b0000, 0b0001, 0b0011, 0b1001, 0b0110, 0b1000});
    std::vector<std::vector<std::uint32_t>> found;
    const auto take = [&](std::size_t most) {
        found.clear();
        s.for_each(f, [&](std::span<const std::uint32_t> set) {
            found.emplace_back(set.begin(), set.end());
            return found.size() < most;
        });
        return found;
    };
    CHECK(take(100) == std::vector<std::vector<std::uint32_t>>{{0, 1}, {0, 3}, {0}, {1, 2}, {3}, {}});
    CHECK(take(2) == std::vector<std::vector<std::uint32_t>>{{0, 1}, {0, 3}});
    CHECK_THROWS_AS(s.set(std::vector{1u, 0u}), std::invalid_argument);
    CHECK_THROWS_AS(s.set(std::vector{1u, 1u}), std::invalid_argument);
    CHECK_THROWS_AS(s.single(4), std::invalid_argument);
}

TEST_CASE("A store of families that forgets keeps what it is told to, and its weights", "[logic]") {
    Random random(33);
    for (int i = 0; i < 300; ++i) {
        Families s(6, {}, {1, 2, 3, 4, 5, 6});
        const Masks a = random_masks(random, 6), b = minimal(random_masks(random, 6));
        Family kept[] = {family_of(s, a), family_of(s, b)};
        const auto heaviest = s.heaviest(kept[0]), lightest = s.lightest(kept[0]);
        s.unite(kept[0], kept[1]);
        s.keep_only(kept);
        CHECK(masks_of(s, kept[0]) == a);
        CHECK(masks_of(s, kept[1]) == b);
        CHECK(s.heaviest(kept[0]) == heaviest);
        CHECK(s.lightest(kept[0]) == lightest);
        CHECK(family_of(s, a) == kept[0]);
        CHECK(masks_of(s, s.product_minimal(kept[1], kept[1], 7).family) == no_heavier(s, b, 7));
    }
}

TEST_CASE("Counts that no word holds say at least so many", "[logic]") {
    Families s(200);
    Family f = Families::unit;
    for (std::uint32_t m = 0; m < 200; m += 2) f = s.product_minimal(f, s.unite(s.single(m), s.single(m + 1)));
    CHECK(s.count(f) == static_cast<std::uint64_t>(-1));
    CHECK(s.nodes(f) == 200);
    CHECK(s.count_by_order(f)[100] == static_cast<std::uint64_t>(-1));
}

TEST_CASE("Minimal solutions of a diagram are those of its function with all else false", "[logic]") {
    Random random(34);
    for (int i = 0; i < 5000; ++i) {
        const Formula f = random_formula(random, {.negations = i % 2 == 0});
        Diagrams d(f.variables());
        const Diagram top = diagram_of(f, d);
        Families s(f.variables());
        const auto expected = sets_of(minimal_rows(truth_table(f)));
        const Masks found = masks_of(s, minimal_solutions(d, top, s));
        CHECK(found.size() == expected.size());
        for (const auto& set : expected) CHECK(found.contains(row_of(set)));
    }
}
