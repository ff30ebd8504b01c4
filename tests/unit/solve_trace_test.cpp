// Coefficients of what events do alone and two together.
#include <fedfrom/solve/trace.hpp>
#include <fedfrom/solve/word.hpp>

#include "catch.hpp"

using namespace fedfrom;
using Word = Wide<Baseline>;

namespace {

/// A table of seven events each way; row 0 and column 0 have none.
template <class Value>
Word table_of(Value value) {
    Word word;
    for (unsigned row = 0; row < 8; ++row)
        for (unsigned column = 0; column < 8; ++column)
            if (value(row, column)) word.bits[0] |= std::uint64_t{1} << (8 * row + column);
    return word;
}
bool lane_of_table(const Word& word, unsigned row, unsigned column) { return word.bits[0] >> (8 * row + column) & 1; }

}  // namespace

TEST_CASE("A trace of single events keeps which ever made a variable differ") {
    detail::Trace<Word> trace(2, 2);
    trace.begin(detail::Trace<Word>::Lanes::singles);
    Word word = Word::filled(true);
    word.bits[3] &= ~std::uint64_t{0b100};
    trace.note(1, word);
    trace.note(1, Word::filled(true));  // and back
    trace.note(0, Word::filled(false));
    REQUIRE(trace.touched().size() == 1);
    CHECK(trace.touched()[0] == 1);
    CHECK(trace.changes(1).together.bits[3] == 0b100);
    CHECK(trace.changes(1).together.bits[2] == 0);
}

TEST_CASE("A trace of pairs keeps which do together what neither does") {
    detail::Trace<Word> trace(3, 3);
    trace.begin(detail::Trace<Word>::Lanes::tables);
    trace.note(0, table_of([](unsigned row, unsigned) { return row == 1; }));
    trace.note(1, table_of([](unsigned row, unsigned column) { return row == 1 && column == 2; }));
    trace.note(2, table_of([](unsigned row, unsigned column) { return row == 1 || column == 1; }));
    CHECK(trace.touched().size() == 3);
    CHECK(lane_of_table(trace.changes(1).together, 1, 2));
    CHECK_FALSE(lane_of_table(trace.changes(1).together, 1, 1));
    CHECK(lane_of_table(trace.changes(2).together, 1, 1));  // each alone does it, which is a coefficient too
    CHECK_FALSE(lane_of_table(trace.changes(2).together, 1, 2));
}

TEST_CASE("A trace of pairs keeps what either does on top of the other") {
    detail::Trace<Word> trace(4, 4);
    trace.begin(detail::Trace<Word>::Lanes::tables);
    trace.note(0, table_of([](unsigned row, unsigned) { return row == 1; }));
    trace.note(1, table_of([](unsigned row, unsigned column) { return row == 1 && column == 2; }));
    trace.note(2, table_of([](unsigned row, unsigned column) { return row == 1 || column == 1; }));
    trace.note(3, table_of([](unsigned, unsigned) { return true; }));
    CHECK(lane_of_table(trace.changes(0).by_row, 1, 2));
    CHECK_FALSE(lane_of_table(trace.changes(0).by_column, 1, 2));
    CHECK(lane_of_table(trace.changes(1).by_row, 1, 2));
    CHECK(lane_of_table(trace.changes(1).by_column, 1, 2));
    CHECK_FALSE(lane_of_table(trace.changes(2).by_row, 1, 1));  // the other has done it already
    CHECK_FALSE(lane_of_table(trace.changes(2).by_column, 1, 1));
    CHECK(lane_of_table(trace.changes(2).by_row, 1, 2));
    CHECK(trace.touched().size() == 3);
}

TEST_CASE("Of some things a trace of pairs keeps only where one event on top of the other makes them 0") {
    detail::Trace<Word> trace(2, 0);
    trace.begin(detail::Trace<Word>::Lanes::tables);
    trace.note(0, table_of([](unsigned row, unsigned) { return row == 1; }));
    trace.note(1, table_of([](unsigned row, unsigned column) { return row == 1 && column != 2; }));
    CHECK_FALSE(lane_of_table(trace.changes(0).by_row, 1, 2));  // it makes it 1
    CHECK(trace.touched().size() == 1);
    CHECK(lane_of_table(trace.changes(1).by_column, 1, 2));
    CHECK_FALSE(lane_of_table(trace.changes(1).by_row, 1, 2));
    CHECK_FALSE(lane_of_table(trace.changes(1).together, 1, 2));
}
