#include "catch.hpp"

#include <limits>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "table_samples.hpp"

using namespace fedfrom;

TEST_CASE("to_json writes one row a line", "[table]") {
    CHECK(to_json(samples::sheet()) == R"--({
  "format": "fedfrom-table/1",
  "title": "Standby bus",
  "captions": [
    {"label": "Model", "text": "Two-bus example, edition 1"},
    {"label": "State", "text": "gen_l lost"},
    {"label": "", "text": "A line alone."}
  ],
  "columns": [
    {"name": "Element", "unit": ""},
    {"name": "Load", "unit": "A"},
    {"name": "Status", "unit": ""}
  ],
  "rows": [
    ["radio_1", 3.5, "kept"],
    ["galley", null, null],
    ["pump", 12, "standby"]
  ],
  "marks": [
    [null, null, "kept"],
    [null, null, "lost"],
    [null, null, "degraded"]
  ],
  "footnotes": [
    "Currents are those of cruise."
  ],
  "caution": "For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment list, and the authority's rules, govern."
}
)--");
}

TEST_CASE("to_json is JSON whatever it holds, and gives the text back", "[table]") {
    const auto json = nlohmann::json::parse(to_json(samples::hostile()));
    CHECK(json["rows"][0][0] == "=1+1");
    CHECK(json["rows"][0][1] == "a|b\nc");
    CHECK(json["rows"][2][0] == "\x1b[31mred");
    CHECK(json["rows"][2][1] == "caf\u00e9 \u20ac \ufffd");
    CHECK(json["columns"][1]["unit"] == "<A>");
    CHECK(json["caution"] == std::string(caution));
    CHECK_FALSE(json.contains("marks"));
}

TEST_CASE("to_json keeps integers whole and writes null for what is no number", "[table]") {
    Table t;
    t.rows = {{std::numeric_limits<std::int64_t>::max(), 0.1, std::numeric_limits<double>::infinity(), {}}, {Mark::not_fitted}};
    const auto json = nlohmann::json::parse(to_json(t));
    CHECK(json["rows"][0].dump() == "[9223372036854775807,0.1,null,null]");
    CHECK(json["rows"][1].dump() == "[null,null,null,null]");
    CHECK(json["marks"][1].dump() == R"(["not_fitted",null,null,null])");
    CHECK(json["columns"].size() == 4);
}

TEST_CASE("to_json of several tables is a list", "[table]") {
    const std::vector<Table> two{samples::sheet(), samples::hostile()};
    const auto alone = [&](std::size_t i) { return to_json(two[i]).substr(0, to_json(two[i]).size() - 1); };
    CHECK(to_json(two) == "[\n" + alone(0) + ",\n" + alone(1) + "\n]\n");
    CHECK(to_json(std::vector<Table>{}) == "[]\n");
}
