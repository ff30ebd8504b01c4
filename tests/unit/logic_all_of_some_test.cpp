#include <stdexcept>

#include <fedfrom/logic/all_of_some.hpp>
#include <fedfrom/logic/solutions.hpp>

#include "catch.hpp"
#include "logic_random.hpp"

using namespace fedfrom;
using namespace fedfrom::testing;

TEST_CASE("All of some set with a member hold where the definition says so", "[logic]") {
    Random random(41);
    for (int i = 0; i < 5000; ++i) {
        INFO("formula " << i);
        const Formula f = random_formula(random, {.most_variables = i % 50 == 0 ? 9u : 6u});
        Diagrams d(f.variables());
        Families s(f.variables());
        AllOfSome all_of_some(s, minimal_solutions(d, diagram_of(f, d), s), d);
        const std::vector<bool> minimal = minimal_rows(truth_table(f));
        for (std::uint32_t v = 0; v < f.variables(); ++v) {
            const Diagram found = all_of_some.with(v);
            bool same = true;
            for (std::size_t row = 0; row < minimal.size(); ++row) {
                bool expected = false;
                for (std::size_t set = row; set != 0; set = (set - 1) & row) expected = expected || (minimal[set] && (set >> v & 1));
                std::vector<bool> values(f.variables());
                for (const std::uint32_t member : members(row)) values[member] = true;
                same = same && d.value(found, values) == expected;
            }
            CHECK(same);
        }
    }
}

TEST_CASE("Of no set, and of the empty one, no member is told apart", "[logic]") {
    Diagrams d(2);
    Families s(2);
    for (const Family f : {Families::none, Families::unit}) CHECK(AllOfSome(s, f, d).with(1) == Diagrams::never);
    Diagrams other(3);
    CHECK_THROWS_AS(AllOfSome(s, Families::unit, other), std::invalid_argument);
}
