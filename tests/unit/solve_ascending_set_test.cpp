#include <cstdint>
#include <iterator>
#include <random>
#include <set>
#include <vector>

#include <fedfrom/solve/ascending_set.hpp>

#include "catch.hpp"

using fedfrom::detail::AscendingSet;

namespace {

std::vector<std::uint32_t> drained(AscendingSet& set, std::uint32_t from, std::uint32_t end) {
    std::vector<std::uint32_t> list;
    set.drain(from, end, [&](std::uint32_t i) { list.push_back(i); });
    return list;
}

}  // namespace

TEST_CASE("Numbers are taken out once, in ascending order, of the range asked for") {
    AscendingSet set(10'000);
    for (const std::uint32_t i : {9'999u, 5u, 64u, 4'096u, 63u, 5u}) set.insert(i);
    CHECK(drained(set, 6, 4'096) == std::vector<std::uint32_t>{63, 64});
    CHECK(drained(set, 0, 4'096) == std::vector<std::uint32_t>{5});
    CHECK(set.may_have_below(4'097));
    CHECK(!set.any_in(0, 4'096));
    CHECK(drained(set, 0, 10'000) == std::vector<std::uint32_t>{4'096, 9'999});
    CHECK(!set.any_in(0, 10'000));
}

TEST_CASE("What is put in above while numbers are taken out is met, what is put in below is kept") {
    AscendingSet set(10'000);
    set.insert(100);
    std::vector<std::uint32_t> met;
    set.drain(50, 10'000, [&](std::uint32_t i) {
        met.push_back(i);
        if (i == 100) set.insert(7'000);
        if (i == 7'000) set.insert(20);
    });
    CHECK(met == std::vector<std::uint32_t>{100, 7'000});
    CHECK(drained(set, 0, 10'000) == std::vector<std::uint32_t>{20});
}

TEST_CASE("However numbers come and go, the set holds what a plain one holds") {
    constexpr std::uint32_t size = 9'000;
    AscendingSet set(size);
    std::set<std::uint32_t> plain;
    std::mt19937_64 random(5);
    const auto pick = [&](std::uint32_t below) { return static_cast<std::uint32_t>(random() % below); };
    for (int step = 0; step < 20'000; ++step) {
        for (std::uint32_t n = pick(4); n > 0; --n) {
            const std::uint32_t i = pick(size);
            set.insert(i);
            plain.insert(i);
        }
        const std::uint32_t from = pick(2) == 0 ? 0 : pick(size), end = from + pick(size - from + 1);
        const auto first = plain.lower_bound(from), last = plain.lower_bound(end);
        REQUIRE(set.any_in(from, end) == (first != last));
        if (!plain.empty()) REQUIRE(set.may_have_below(*plain.begin() + 1));
        if (pick(3) > 0) continue;
        // Now and then each that is taken out puts in another one, anywhere.
        const bool with_more = pick(4) == 0;
        std::vector<std::uint32_t> met;
        set.drain(from, end, [&](std::uint32_t i) {
            met.push_back(i);
            REQUIRE(plain.lower_bound(from) != plain.end());
            REQUIRE(*plain.lower_bound(met.size() > 1 ? met[met.size() - 2] : from) == i);
            plain.erase(i);
            if (!with_more || met.size() > 20) return;
            const std::uint32_t more = pick(size);
            set.insert(more);
            plain.insert(more);
        });
        if (!with_more) REQUIRE(plain.lower_bound(from) == plain.lower_bound(end));
    }
}
