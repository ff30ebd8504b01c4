#include "catch.hpp"

#include <clocale>
#include <limits>

#include "table/cells.hpp"
#include "table_samples.hpp"

using namespace fedfrom;

TEST_CASE("number_text prints up to ten significant digits", "[table]") {
    CHECK(number_text(0.1) == "0.1");
    CHECK(number_text(1.0 / 3) == "0.3333333333");
    CHECK(number_text(1234567890.0) == "1234567890");
    CHECK(number_text(12345678901.0) == "1.23456789e+10");
    CHECK(number_text(1e-9) == "1e-09");
    CHECK(number_text(-2.5) == "-2.5");
    CHECK(number_text(-0.0) == "0");
    CHECK(number_text(std::numeric_limits<double>::infinity()) == "infinite");
    CHECK(number_text(-std::numeric_limits<double>::infinity()) == "minus infinite");
    CHECK(number_text(std::numeric_limits<double>::quiet_NaN()) == "undefined");
    CHECK(number_text(std::numeric_limits<double>::max()) == "1.797693135e+308");
}

TEST_CASE("writers do not read the locale", "[table]") {
    const std::string before = std::setlocale(LC_ALL, nullptr);
    const std::string expected = to_csv(samples::sheet());
    for (const char* name : {"de_DE.UTF-8", "fr_FR.UTF-8", "C.UTF-8"})
        if (std::setlocale(LC_ALL, name)) CHECK(to_csv(samples::sheet()) == expected);
    std::setlocale(LC_ALL, before.c_str());
}

TEST_CASE("clean replaces what is not UTF-8 and takes control characters out", "[table]") {
    using detail::clean;
    CHECK(clean("caf\u00e9 \U0001F600") == "caf\u00e9 \U0001F600");
    CHECK(clean("a\r\nb\rc\u2028d") == "a\nb\nc\nd");
    CHECK(clean(std::string("a\0b\x7f\x1b", 5)) == "a b  ");
    CHECK(clean("\u009b") == " ");
    CHECK(clean("\u202ex\u2066") == " x ");
    CHECK(clean("\xC0\xAF") == "\ufffd\ufffd");                 // overlong
    CHECK(clean("\xED\xA0\x80") == "\ufffd\ufffd\ufffd");       // a surrogate
    CHECK(clean("\xF4\x90\x80\x80") == "\ufffd\ufffd\ufffd\ufffd");  // above the last code point
    CHECK(clean("\xE2\x82") == "\ufffd\ufffd");                 // cut off
    CHECK(clean("\xE2x") == "\ufffdx");
}

TEST_CASE("a column of numbers stands right, everything else left", "[table]") {
    Table t{.columns = {{"a"}, {"b"}, {"c"}, {.name = "d", .align = Align::center}, {"e"}}};
    t.rows = {{1, "x", {}, 1, 1}, {{}, 2, {}, 2, Mark::lost}};
    CHECK(detail::alignment(t, 0) == Align::right);
    CHECK(detail::alignment(t, 1) == Align::left);
    CHECK(detail::alignment(t, 2) == Align::left);
    CHECK(detail::alignment(t, 3) == Align::center);
    CHECK(detail::alignment(t, 4) == Align::left);
}

TEST_CASE("every writer fills short rows and shows what a long row holds beyond the columns", "[table]") {
    const Table t{.columns = {{"a"}}, .rows = {{}, {"x", "more"}}};
    CHECK(to_csv(t).starts_with("a,\r\n,\r\nx,more\r\n"));
    CHECK(to_text(t).find("x  more") != std::string::npos);
    CHECK(to_markdown(t).find("| x | more |") != std::string::npos);
    CHECK(to_html(t).find("<td>more</td>") != std::string::npos);
    CHECK(to_json(t).find("[\"x\", \"more\"]") != std::string::npos);
}

TEST_CASE("every writer carries the caution, the captions and the footnotes", "[table]") {
    const Table t = samples::sheet();
    for (const std::string& out : {to_text(t, 1000), to_markdown(t), to_csv(t), to_json(t)}) {
        CHECK(out.find(caution) != std::string::npos);
        CHECK(out.find("Two-bus example, edition 1") != std::string::npos);
        CHECK(out.find("Currents are those of cruise.") != std::string::npos);
    }
}
