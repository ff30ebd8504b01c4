#include "catch.hpp"

#include <fedfrom/io/read.hpp>
#include <fedfrom/io/variant.hpp>

#include "marked_text.hpp"

using namespace fedfrom;
using marked::model_with;

TEST_CASE("A variant is the model with its patch", "[io]") {
    const Model m = read_model(std::string(FEDFROM_SOURCE_DIR) + "/tests/models/two_bus.json");
    const Model b = variant_of(m, "b");
    CHECK(b.variant == "b");
    CHECK(b.variants == m.variants);
    CHECK(b.elements.at("gear_valve").inputs.at("power").feeds.at(0).from == "main_r");
    CHECK(variant_of(m, "a") == m);
    CHECK(variant_of(m, "") == m);
    CHECK(variant_of(b, "b") == b);
    CHECK(variant_of(b, "") == b);
}

TEST_CASE("Variants build on each other, by merge patches and lists of operations", "[io]") {
    const Model m = parse_model(model_with("", R"("base": "plain", "variants": {
        "one": {"on": "plain", "patch": {"elements": {"second": {"kind": "battery"}}}},
        "two": {"on": "one", "patch": [{"op": "replace", "path": "/elements/main/inputs/power/0", "value": "second"},
                                       {"op": "remove", "path": "/elements/vlv"}]},
        "three": {"on": "two", "patch": {"elements": {"cb": null}, "name": "Third"}}})"));
    const Model three = variant_of(m, "three");
    CHECK(three.name == "Third");
    CHECK(three.elements.at("main").inputs.at("power").feeds.at(0).from == "second");
    CHECK_FALSE(three.elements.contains("cb"));
    CHECK_FALSE(three.elements.contains("vlv"));
    CHECK(variant_of(m, "one").elements.contains("vlv"));
}

TEST_CASE("Asking for what is not there names the nearest", "[io]") {
    const Model m = parse_model(model_with("", R"("variants": {"later": {"patch": {}}})"));
    CHECK_THROWS_AS(variant_of(m, "latre"), UnknownId);
    CHECK_THROWS_WITH(variant_of(m, "latre"), "`latre` is no variant of this model. Did you mean `later`?");
    Model later = variant_of(m, "later");
    later.variants["other"] = {.patch = "{}"};
    CHECK_THROWS_AS(variant_of(later, "other"), ModelError);
}

TEST_CASE("A problem of a variant names the variant, and is reported once", "[io]") {
    const auto r = try_parse_model(model_with("", R"("variants": {
        "v": {"patch": {"elements": {"main": {"inputs": {"power": ["nowhere"]}}}}},
        "w": {"on": "v", "patch": {"name": "W", "elements": {"lamp": {"colour": "red"}}}}})"));
    REQUIRE(r.diagnostics.size() == 2);
    CHECK(r.diagnostics[0].pointer == "/variants/v");
    CHECK(r.diagnostics[0].code == "dangling_id");
    CHECK(r.diagnostics[0].message.starts_with("In variant `v` at /elements/main/inputs/power/0: `nowhere` is not in the model"));
    CHECK(r.diagnostics[1].pointer == "/variants/w");
    CHECK(r.diagnostics[1].code == "unknown_key");
    CHECK(r.diagnostics[0].line == 12);
    CHECK(r.diagnostics[1].line == 13);
}

TEST_CASE("Patches of a model built in code are checked when asked for", "[io]") {
    Model m = parse_model(model_with(""));
    m.variants["v"] = {.patch = "[{\"op\": \"test\", \"path\": \"/name\", \"value\": \"Large\"}]"};
    REQUIRE(check_variants(m).size() == 1);
    CHECK(check_variants(m)[0].code == "bad_patch");
    CHECK_THROWS_AS(variant_of(m, "v"), ModelError);
}
