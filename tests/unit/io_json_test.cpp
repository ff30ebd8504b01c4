// The reader takes the same language as a parser everybody knows: a model text is broken at random, and both must
// agree on whether it is still JSON.
#include "catch.hpp"

#include <random>

#include <nlohmann/json.hpp>

#include <fedfrom/io/read.hpp>
#include <io/reader.hpp>
#include <io/utf8.hpp>

#include "marked_text.hpp"

using namespace fedfrom;

namespace {

bool is_json(std::string_view text) {
    if (io::find_invalid_utf8(text) != std::string_view::npos) return false;
    io::Reader r(text);
    try {
        r.skip();
        r.finish();
    } catch (const io::Stop&) {
        return false;
    }
    return true;
}

/// JSON, but with a number no double holds, which nlohmann-json does not accept.
bool has_huge_number(const std::string& text) {
    try {
        return nlohmann::json::parse(text).is_discarded();  // it throws instead
    } catch (const nlohmann::json::out_of_range&) {
        return true;
    } catch (const nlohmann::json::exception&) {
        return false;
    }
}

}  // namespace

TEST_CASE("The reader agrees with nlohmann-json on what is JSON", "[io]") {
    const std::vector<std::string> seeds{
        marked::model_with(""),
        R"([1, -0, 0.5, 1e5, 1E+5, 1e-5, -1.25e10, true, false, null, "", "a\"\\\/\b\f\n\r\té", {}, [], {"a": {"b": [1]}}])",
        "\"\\u00e9\\ud83d\\ude00 é€😀\"",
        "[0, 10, 100]",
    };
    constexpr std::string_view bytes = "{}[]\",:\\u0123456789eE+-.truefalsn \n\t\x01\x7F\x80\xC3\xA9\xED\xA0\xF0\xFF";
    std::mt19937 random(20240607);  // printed by INFO where it fails
    for (int i = 0; i < 20'000; ++i) {
        std::string text = seeds[random() % seeds.size()];
        for (std::size_t changes = 1 + random() % 3; changes > 0 && !text.empty(); --changes) {
            const std::size_t at = random() % text.size();
            switch (random() % 4) {
                case 0: text[at] = bytes[random() % bytes.size()]; break;
                case 1: text.insert(at, 1, bytes[random() % bytes.size()]); break;
                case 2: text.erase(at, 1); break;
                case 3: text.resize(at); break;
            }
        }
        if (text.starts_with("\xEF\xBB\xBF")) continue;  // passed over before the reader starts
        INFO(i << ": " << text);
        if (has_huge_number(text)) continue;
        REQUIRE(is_json(text) == nlohmann::json::accept(text));
        try_parse_model(text);  // whatever it is, it is only reported
    }
}

TEST_CASE("Texts come out as nlohmann-json reads them", "[io]") {
    const std::string json = R"("a\"\\\/\b\f\n\r\té\ud83d\ude00\u0000é€😀")";
    std::string out;
    io::Reader r(json);
    r.text(out);
    CHECK(out == nlohmann::json::parse(json).get<std::string>());
}
