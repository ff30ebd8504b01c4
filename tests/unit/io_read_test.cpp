#include "catch.hpp"

#include <chrono>
#include <filesystem>
#include <fstream>

#include <fedfrom/io/read.hpp>
#include <fedfrom/model/diagnostic_codes.hpp>

#include "marked_text.hpp"

using namespace fedfrom;
using marked::model_with;

namespace {

/// Complaints of the reader itself: each text has one, at the mark.
const std::vector<marked::Case> shape_cases{
    {"empty_file", "", "@ \n "},
    {"syntax", "/name", "{\"format\": \"fedfrom/1\",\n \"name\": @nul}"},
    {"syntax", "/name", "{\"name\": @'x'}"},
    {"syntax", "", "{\"format\": \"fedfrom/1\", @name: 1}"},
    {"syntax", "", "{\"name\" @\"x\"}"},
    {"syntax", "", "{\"name\": \"x\" @\"edition\": \"1\"}"},
    {"syntax", "/name", "{\"name\": \"a\\@q\"}"},
    {"syntax", "/name", "{\"name\": \"a@\tb\"}"},
    {"syntax", "/name", "{\"name\": \"@\\ud800x\"}"},
    {"syntax", "/name", "{\"name\": \"@\\udc00\"}"},
    {"syntax", "", model_with("") + "@x"},
    {"truncated", "/name", "{\"format\": \"fedfrom/1\", \"name\": \"Sm@"},
    {"truncated", "", "{@"},
    {"encoding", "", "{\"name\": \"\xC3\xA9@\xFF\"}"},
    {"encoding", "", "{\"name\": \"@\xED\xA0\x80\"}"},
    {"wrong_format", "/format", "{\"format\": @\"fedfrom/9\", \"name\": \"x\", \"elements\": {}}"},
    {"wrong_type", "", "@[]"},
    {"wrong_type", "/elements", "{\"format\": \"fedfrom/1\", \"name\": \"x\", \"elements\": @[]}"},
    {"missing_key", "", "@{\"format\": \"fedfrom/1\", \"name\": \"x\"}"},
    {"missing_key", "", "@{\"name\": \"x\", \"elements\": {}}"},
    {"missing_key", "/elements/e", model_with("\"e\": @{}")},
    {"unknown_key", "/nam", "{\"format\": \"fedfrom/1\", \"name\": \"x\", \"elements\": {}, @\"nam\": 1}"},
    {"unknown_key", "/elements/e/postions", model_with("\"e\": {\"kind\": \"bus\", @\"postions\": []}")},
    {"duplicate_key", "/elements/bat", model_with("@\"bat\": {\"kind\": \"bus\"}")},
    {"duplicate_key", "/elements/e/name", model_with("\"e\": {\"kind\": \"bus\", \"name\": \"a\", @\"name\": \"b\"}")},
    {"duplicate_key", "/variants/v/patch/name", model_with("", "\"variants\": {\"v\": {\"patch\": {\"name\": \"a\", @\"name\": \"b\"}}}")},
    {"bad_id", "/elements/Bus", model_with("@\"Bus\": {\"kind\": \"bus\"}")},
    {"bad_id", "/elements/e/inputs/power/0", model_with("\"e\": {\"kind\": \"bus\", \"inputs\": {\"power\": [@\"Main\"]}}")},
    {"bad_id", "/elements/" + std::string(129, 'a'), model_with("@\"" + std::string(129, 'a') + "\": {\"kind\": \"bus\"}")},
    {"bad_word", "/elements/e/kind", model_with("\"e\": {\"kind\": @\"buss\"}")},
    {"bad_word", "/elements/e/reach", model_with("\"e\": {\"kind\": \"switch\", \"positions\": [\"A\"], \"reach\": @\"cokpit\"}")},
    {"bad_word", "/elements/e/positions/1", model_with("\"e\": {\"kind\": \"switch\", \"positions\": [\"A\", @\"\"]}")},
    {"wrong_type", "/elements/e/fallible", model_with("\"e\": {\"kind\": \"bus\", \"fallible\": @1}")},
    {"wrong_type", "/elements/e/after_s", model_with("\"e\": {\"kind\": \"bus\", \"after_s\": @\"2\"}")},
    {"wrong_type", "/elements/e/store/applications", model_with("\"e\": {\"kind\": \"bottle\", \"store\": {\"applications\": @1.5}}")},
    {"wrong_type", "/elements/e/protects", model_with("\"e\": {\"kind\": \"contactor\", \"protects\": @false}")},
    {"wrong_type", "/elements/e/needs/at", model_with("\"e\": {\"kind\": \"bus\", \"needs\": {\"at\": @{}}}")},
    {"wrong_type", "/elements/e/needs/at/cb", model_with("\"e\": {\"kind\": \"bus\", \"needs\": {\"at\": {\"sw\": \"A\", @\"cb\": \"in\"}}}")},
    {"wrong_type", "/elements/e/inputs/power", model_with("\"e\": {\"kind\": \"bus\", \"inputs\": {\"power\": @\"main\"}}")},
    {"wrong_type", "/elements/e/without/0", model_with("\"e\": {\"kind\": \"valve\", \"inputs\": {\"power\": [\"main\"]}, \"without\": [@[\"power\"]]}")},
    {"not_both", "/elements/e/needs/all", model_with("\"e\": {\"kind\": \"bus\", \"needs\": {\"any\": [], @\"all\": []}}")},
    {"not_both", "/elements/e/inputs/power/0", model_with("\"e\": {\"kind\": \"bus\", \"inputs\": {\"power\": [@{\"from\": \"main\", \"tie\": \"t\"}]}}")},
    {"missing_key", "/elements/e/needs", model_with("\"e\": {\"kind\": \"bus\", \"needs\": @{}}")},
    {"missing_key", "/elements/e/needs", model_with("\"e\": {\"kind\": \"bus\", \"needs\": @{\"at_least\": 1}}")},
    {"missing_key", "/elements/e/inputs/power", model_with("\"e\": {\"kind\": \"bus\", \"inputs\": {\"power\": @{\"of\": []}}}")},
    {"unknown_key", "/elements/e/needs/al", model_with("\"e\": {\"kind\": \"bus\", \"needs\": {@\"al\": []}}")},
    {"empty_list", "/elements/e/passes_in", model_with("\"e\": {\"kind\": \"breaker\", \"passes_in\": @[]}")},
    {"empty_list", "/elements/e/follows/sw", model_with("\"e\": {\"kind\": \"valve\", \"follows\": {\"sw\": @{}}}")},
    {"empty_list", "/functions/f/modes", model_with("", "\"functions\": {\"f\": {\"modes\": @{}}}")},
    {"missing_key", "/checks/c/steps/0", model_with("", "\"checks\": {\"c\": {\"steps\": [@{\"look_at\": \"lamp\"}]}}")},
    {"out_of_range", "/elements/e/after_s", model_with("\"e\": {\"kind\": \"bus\", \"after_s\": @1e400}")},
    {"out_of_range", "/elements/e/store/applications", model_with("\"e\": {\"kind\": \"bottle\", \"store\": {\"applications\": @3000000000}}")},
    {"out_of_range", "/variants/v/patch", model_with("", "\"variants\": {\"v\": {\"patch\": @{\"x\": 1e999}}}")},
    {"wrong_type", "/variants/v/patch", model_with("", "\"variants\": {\"v\": {\"patch\": @\"x\"}}")},
    {"wrong_type", "/common_causes/c/fails/0", model_with("", "\"common_causes\": {\"c\": {\"fails\": [@[\"bat\"]]}}")},
};

double seconds_since(std::chrono::steady_clock::time_point start) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

}  // namespace

TEST_CASE("The reader says what is wrong with the shape, and where", "[io]") {
    for (const marked::Case& c : shape_cases) {
        const auto [json, line, column] = marked::unmarked(c.text);
        INFO(c.text);
        const ReadResult r = try_parse_model(json, "mine.json");
        REQUIRE_FALSE(r.diagnostics.empty());
        CHECK(r.diagnostics.size() == 1);
        const Diagnostic& d = r.diagnostics.front();
        INFO(text(d));
        CHECK(d.code == c.code);
        CHECK(d.pointer == c.pointer);
        CHECK(d.line == line);
        CHECK(d.column == column);
        CHECK(d.file == "mine.json");
        CHECK(is_structural(d.code));
        CHECK(d.message.back() == '.');
    }
}

TEST_CASE("The nearest word is the hint", "[io]") {
    const auto hint = [](const std::string& json) { return try_parse_model(json).diagnostics.at(0).hint; };
    CHECK(hint(model_with("\"e\": {\"kind\": \"bus\", \"postions\": []}")) == "Did you mean `positions`?");
    CHECK(hint(model_with("\"e\": {\"kind\": \"contacter\"}")) == "Did you mean `contactor`?");
    CHECK(hint(model_with("\"e\": {\"kind\": \"bus\", \"inputs\": {\"power\": [\"mian\"]}}")) == "Did you mean `main`?");
    CHECK(hint(model_with("\"e\": {\"kind\": \"bus\", \"needs\": {\"at\": {\"sw\": \"C\"}}}")) == "Did you mean `A`?");
}

TEST_CASE("All problems come at once, in the order of the file", "[io]") {
    const std::string json = model_with(R"("x": {"kind": "bus", "inputs": {"power": ["nowhere"]}, "fallible": 1},
  "y": {"kind": "switch", "positions": ["A", "A"], "reach": "nobody"},
  "z": {"kind": "light", "inputs": {"power": [{"from": "cb"}]}, "shows": [{"text": "on", "when": "airborne"}]})",
                                        R"("functions": {"f": {"group": "pwer", "modes": {"m": {"rank": 0, "when": "sw"}}}}, "colour": "red")");
    std::vector<std::string> codes;
    int line = 0;
    for (const Diagnostic& d : try_parse_model(json).diagnostics) {
        codes.push_back(d.code);
        CHECK(d.line >= line);
        line = d.line;
    }
    CHECK(codes == std::vector<std::string>{"dangling_id", "wrong_type", "bad_word", "bare_position", "wrong_collection", "unknown_group",
                                            "out_of_range", "bare_position", "unknown_key"});
    // Of `y` only a part could be read: that A is there twice is left for the next time.
}

TEST_CASE("What follows from a bad value is not complained of", "[io]") {
    // The positions of `e` could not be read, so nobody knows whether C is one.
    const auto r = try_parse_model(model_with("\"e\": {\"kind\": \"switch\", \"positions\": 3}, \"f\": {\"kind\": \"bus\", \"needs\": {\"at\": {\"e\": \"C\"}}}"));
    REQUIRE(r.diagnostics.size() == 1);
    CHECK(r.diagnostics[0].pointer == "/elements/e/positions");
}

TEST_CASE("A thousand problems are listed and then one saying that more follow", "[io]") {
    std::string shape, references;
    for (int i = 0; i < 3000; ++i) {
        const std::string e = (i ? ",\n\"e" : "\"e") + std::to_string(i) + "\": {\"kind\": ";
        shape += e + "\"bus\", \"x\": 1}";
        references += e + "\"bus\", \"inputs\": {\"power\": [\"nowhere\"]}}";
    }
    for (const std::string& elements : {shape, references}) {
        const auto found = try_parse_model(model_with(elements)).diagnostics;
        REQUIRE(found.size() == most_diagnostics + 1);
        CHECK(found.back().code == "more_follow");
        CHECK(std::count_if(found.begin(), found.end(), [](const Diagnostic& d) { return d.code == "more_follow"; }) == 1);
    }
}

TEST_CASE("Hostile depth is one clear diagnostic, at once", "[io]") {
    const auto start = std::chrono::steady_clock::now();
    const auto brackets = try_parse_model(std::string(100'000'000, '['));
    CHECK(brackets.diagnostics.back().code == "too_deep");
    const std::string lists = model_with("\"e\": {\"kind\": \"bus\", \"nothing\": " + std::string(10'000, '[') + std::string(10'000, ']') + "}");
    CHECK(try_parse_model(lists).diagnostics.back().code == "too_deep");
    std::string nots = "\"main\"";
    for (int i = 0; i < 10'000; ++i) nots = "{\"not\": " + nots + "}";
    const auto conditions = try_parse_model(model_with("\"e\": {\"kind\": \"bus\", \"needs\": " + nots + "}"));
    REQUIRE(conditions.diagnostics.size() == 1);
    CHECK(conditions.diagnostics[0].code == "too_deep");
    CHECK(seconds_since(start) < 5);
}

TEST_CASE("A byte order mark is passed over and counts no column", "[io]") {
    CHECK(try_parse_model("\xEF\xBB\xBF" + model_with("")).ok());
    const auto r = try_parse_model("\xEF\xBB\xBF{x");
    REQUIRE(r.diagnostics.size() == 1);
    CHECK(r.diagnostics[0].column == 2);
}

TEST_CASE("Columns count characters", "[io]") {
    const auto r = try_parse_model("{\"format\": \"fedfrom/1\", \"name\": \"é€😀\", \"x\": 1, \"elements\": {}}");
    REQUIRE(r.diagnostics.size() == 1);
    CHECK(r.diagnostics[0].column == 40);
}

TEST_CASE("Numbers near zero are zero; whole numbers may be written with a point", "[io]") {
    const Model m = parse_model(model_with("\"e\": {\"kind\": \"bottle\", \"after_s\": 1e-400, \"store\": {\"applications\": 2.0}}, \"f\": {\"kind\": \"bus\", \"after_s\": 0." +
                                           std::string(500, '0') + "1e2}"));
    CHECK(m.elements.at("e").after_s == 0);
    CHECK(m.elements.at("e").store->applications == 2);
    CHECK(m.elements.at("f").after_s == 0);
}

TEST_CASE("Key order never carries meaning", "[io]") {
    const std::string one = R"({"format": "fedfrom/1", "name": "x", "elements": {"a": {"kind": "battery"}, "b": {"kind": "bus", "inputs": {"power": [{"from": "a", "via": ["c"]}]}}, "c": {"kind": "breaker", "rating": {"amps": 5, "volts": 28}}},
        "variants": {"v": {"patch": {"name": "y", "edition": "2"}}}})";
    const std::string other = R"({"variants": {"v": {"patch": {"edition": "2", "name": "y"}}}, "elements": {"c": {"rating": {"volts": 28, "amps": 5}, "kind": "breaker"}, "b": {"inputs": {"power": [{"via": ["c"], "from": "a"}]}, "kind": "bus"}, "a": {"kind": "battery"}},
        "name": "x", "format": "fedfrom/1"})";
    CHECK(parse_model(one) == parse_model(other));
}

TEST_CASE("parse_model throws every problem", "[io]") {
    const auto [json, line, column] = marked::unmarked(model_with("\"x\": {\"kind\": \"bus\", \"inputs\": {\"power\": [@\"n1\", \"n2\"]}}"));
    const std::string start = "f.json:" + std::to_string(line) + ":" + std::to_string(column) + ": /elements/x/inputs/power/0: `n1` is not in the model";
    try {
        parse_model(json, "f.json");
        FAIL("it was read");
    } catch (const ModelError& e) {
        CHECK(e.diagnostics.size() == 2);
        CHECK(std::string(e.what()).starts_with(start));
    }
}

TEST_CASE("read_model reads a file, and says so when it cannot", "[io]") {
    const Model m = read_model(std::string(FEDFROM_SOURCE_DIR) + "/tests/models/two_bus.json");
    CHECK(m.elements.size() == 17);
    const auto missing = try_read_model("no/such/file.json");
    REQUIRE(missing.diagnostics.size() == 1);
    CHECK(missing.diagnostics[0].code == "cannot_read");
    CHECK(missing.diagnostics[0].file == "no/such/file.json");
    CHECK(try_read_model(std::filesystem::temp_directory_path()).diagnostics.at(0).code == "cannot_read");
}
