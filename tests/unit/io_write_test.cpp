#include "catch.hpp"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <fedfrom/io/read.hpp>
#include <fedfrom/io/variant.hpp>
#include <fedfrom/io/write.hpp>

#include "marked_text.hpp"

using namespace fedfrom;

namespace {

std::string file_text(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

std::string model_path(const std::string& name) { return std::string(FEDFROM_SOURCE_DIR) + "/tests/models/" + name; }

void check_round_trip(const Model& m) {
    const std::string json = write_model(m);
    INFO(json);
    const Model back = parse_model(json);
    CHECK(back == m);
    CHECK(write_model(back) == json);
}

}  // namespace

TEST_CASE("Round trip is identity", "[io]") {
    for (const char* name : {"two_bus.json", "every_key.json"}) {
        const Model m = read_model(model_path(name));
        check_round_trip(m);
        for (const auto& [id, unused] : m.variants) check_round_trip(variant_of(m, id));
    }
}

TEST_CASE("The canonical form is fixed", "[io]") {
    // every_key.json is committed in canonical form and uses every key an author can write.
    CHECK(write_model(read_model(model_path("every_key.json"))) == file_text(model_path("every_key.json")));
}

TEST_CASE("The shortest form is written", "[io]") {
    const std::string json = write_model(parse_model(marked::model_with(
        R"("e": {"kind": "valve", "name": "", "inputs": {"power": [{"from": "main", "via": []}]}, "without": [["power", "stays"]], "protects": {}, "fitted": true, "fallible": true, "after_s": 0, "failures": {"loss": {"rate": 0.0001}}})",
        R"("common_causes": {"c": {"name": "C", "fails": [["bat", "loss"]]}})")));
    CHECK(json.find(R"("inputs": {"power": ["main"]})") != std::string::npos);
    CHECK(json.find(R"("protects": true)") != std::string::npos);
    CHECK(json.find(R"({"rate": 1e-4})") != std::string::npos);
    CHECK(json.find(R"("fails": ["bat"])") != std::string::npos);
    for (const char* absent : {"fitted", "fallible", "after_s", "via"}) CHECK(json.find(absent) == std::string::npos);
}

TEST_CASE("Texts that mean something to other programs are only text", "[io]") {
    Model m = parse_model(marked::model_with(""));
    for (const char* name : {"<script>alert(1)</script>", "=HYPERLINK(\"x\")", "+1", "@SUM(A1)", "a\"b\\c\n\t\x01\x7F", "é€😀", "{}[],:", "</td>", "'"}) {
        m.elements["e"] = {.kind = Kind::switch_, .name = name, .positions = {name, "B"}};
        m.elements["e"].shows = {{name, Condition(Condition::Op::at, "e", name)}};
        check_round_trip(m);
    }
    m.elements["e"] = {.kind = Kind::bus, .name = std::string("a\0b", 3)};
    check_round_trip(m);
}

TEST_CASE("Numbers read back as themselves", "[io]") {
    Model m = parse_model(marked::model_with(""));
    for (const double x : {1e-4, 1.0 / 3, 5e-324, 1e9, 123456789.0, 0.1, 1e-10}) {
        m.elements["e"] = {.kind = Kind::bus, .after_s = x};
        check_round_trip(m);
    }
}

TEST_CASE("What JSON cannot hold is not written", "[io]") {
    const auto code_of = [](const Model& m) -> std::string {
        try {
            write_model(m);
        } catch (const ModelError& e) {
            return e.diagnostics.at(0).code;
        }
        return "";
    };
    Model m{.name = "x"};
    m.elements["e"] = {.kind = Kind::bus, .after_s = std::nan("")};
    CHECK(code_of(m) == "out_of_range");
    m.elements["e"] = {.kind = Kind::bus, .name = "\xFF"};
    CHECK(code_of(m) == "encoding");
    m.elements.clear();
    m.variants["v"] = {.patch = "{"};
    CHECK(code_of(m) == "bad_patch");
}

TEST_CASE("A file is written whole or not at all", "[io]") {
    const auto folder = std::filesystem::temp_directory_path() / "fedfrom_write_test";
    std::filesystem::create_directories(folder);
    const Model m = read_model(model_path("two_bus.json"));
    write_model_file(m, folder / "m.json");
    CHECK(read_model(folder / "m.json") == m);
    CHECK(std::distance(std::filesystem::directory_iterator(folder), {}) == 1);
    CHECK_THROWS_AS(write_model_file(m, folder / "none" / "m.json"), Error);
    std::filesystem::remove_all(folder);
}
