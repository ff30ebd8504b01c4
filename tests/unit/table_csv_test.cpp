#include "catch.hpp"

#include <string>
#include <vector>

#include "table_samples.hpp"

using namespace fedfrom;

TEST_CASE("to_csv writes head, rows, then what belongs to the sheet", "[table]") {
    CHECK(to_csv(samples::sheet()) ==
          "Element,Load (A),Status\r\n"
          "radio_1,3.5,kept\r\n"
          "galley,,lost\r\n"
          "pump,12,degraded: standby\r\n"
          "Standby bus,,\r\n"
          "\"Model: Two-bus example, edition 1\",,\r\n"
          "State: gen_l lost,,\r\n"
          "A line alone.,,\r\n"
          "Currents are those of cruise.,,\r\n"
          "\"For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment list, and the authority's rules, govern.\",,\r\n");
}

TEST_CASE("to_csv gives a spreadsheet no formula and keeps every field in its place", "[table]") {
    CHECK(to_csv(samples::hostile()) ==
          "'=HEAD(),a|b (<A>)\r\n"
          "'=1+1,\"a|b\nc\"\r\n"
          "<script>alert('x')</script>,*bold* _it_ gen_l `c` [l](u) $x$ \\\r\n"
          "\" [31mred\",café € �\r\n"
          "'@cmd,\"say \"\"hi\"\",  x\"\r\n"
          "# <b>T</b>,\r\n"
          "Model: a b </dl>,\r\n"
          "'- not a list,\r\n"
          "\"For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment list, and the authority's rules, govern.\",\r\n");
}

TEST_CASE("to_csv neutralises text and never a number", "[table]") {
    const auto field = [](Cell c) {
        const std::string csv = to_csv({.columns = {{"x"}}, .rows = {{std::move(c)}}});
        return csv.substr(3, csv.find("\r\n", 3) - 3);
    };
    CHECK(field("=1") == "'=1");
    CHECK(field("+1") == "'+1");
    CHECK(field("-1") == "'-1");
    CHECK(field("@a") == "'@a");
    CHECK(field("\t=1") == "' =1");
    CHECK(field("\r=1") == "\"'\n=1\"");
    CHECK(field("\uff1d1") == "'\uff1d1");
    CHECK(field("a=1") == "a=1");
    CHECK(field({"=1", Mark::lost}) == "lost: =1");
    CHECK(field({"lost", Mark::lost}) == "lost");
    CHECK(field({"", Mark::lost}) == "lost");
    CHECK(field(-1) == "-1");
    CHECK(field(-1.5) == "-1.5");
    CHECK(field({-2, Mark::exceeded}) == "-2");
}

TEST_CASE("to_csv puts an empty line between tables", "[table]") {
    const std::vector<Table> two{samples::sheet(), samples::hostile()};
    CHECK(to_csv(two) == to_csv(two[0]) + "\r\n" + to_csv(two[1]));
}
