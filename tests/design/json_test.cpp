// JSON as a tree: limits that hold against hostile text, numbers that read back the same.
#include "engine/design/json.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "engine/base/text.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::design;

namespace {

std::string json_trouble(const std::string& text, const JsonLimits& limits = {}) {
    const auto json = parse_json(text, "specimen.json", limits);
    REQUIRE_FALSE(json.ok());
    CHECK(json.fault().kind == FaultKind::input);
    CHECK_THAT(json.fault().message, Catch::StartsWith("specimen.json:"));
    return json.fault().message;
}

}  // namespace

TEST_CASE("json: syntax faults name line and column", "[json]") {
    CHECK_THAT(json_trouble("{\n  \"a\": 1,\n  \"b\": oops\n}"), Catch::Contains("line 3"));
    CHECK_THAT(json_trouble("{\"a\": 1,}"), Catch::Contains("line 1"));
    CHECK_THAT(json_trouble(""), Catch::Contains("broken"));
    CHECK_THAT(json_trouble("{\"a\": 1} {"), Catch::Contains("broken"));
    CHECK_THAT(json_trouble("{\"a\": NaN}"), Catch::Contains("line 1"));
    CHECK_THAT(json_trouble("{\"a\": -Infinity}"), Catch::Contains("line 1"));
    CHECK_THAT(json_trouble("{\"a\": 3,5}"), Catch::Contains("line 1"));
    CHECK_THAT(json_trouble(std::string("\x89PNG\r\n\x1a\n\0\0\0", 11)), Catch::Contains("line 1"));
    CHECK_THAT(json_trouble("{\"a\": \"\xff\xfe\"}"), Catch::Contains("UTF-8"));
}

TEST_CASE("json: every truncation of a good text is refused", "[json]") {
    const std::string whole = R"({"a": [1, 2.5e-3, {"b": "c\u00e9"}], "d": null, "e": true})";
    REQUIRE(parse_json(whole, "whole").ok());
    for (std::size_t n = 0; n < whole.size(); ++n) CHECK_FALSE(parse_json(whole.substr(0, n), "part").ok());
}

TEST_CASE("json: hostile texts meet a limit, not the stack or the memory", "[json]") {
    for (const std::string open : {"[", "{\"a\":"}) {
        std::string deep;
        for (int i = 0; i < 500'000; ++i) deep += open;
        CHECK_THAT(json_trouble(deep), Catch::Contains("nested deeper than 32"));
    }
    std::string many = "[0";
    for (int i = 0; i < 1000; ++i) many += ",0";
    JsonLimits few;
    few.values = 500;
    CHECK_THAT(json_trouble(many + "]", few), Catch::Contains("more than 500 values"));
    JsonLimits small;
    small.bytes = 100;
    CHECK_FALSE(parse_json(many + "]", "specimen.json", small).ok());
    CHECK(parse_json(many + "]", "specimen.json").ok());

    std::string at_limit;
    for (int i = 0; i < 32; ++i) at_limit += '[';
    CHECK(parse_json(at_limit + std::string(32, ']'), "x").ok());
    CHECK_FALSE(parse_json("[" + at_limit + std::string(33, ']'), "x").ok());
}

TEST_CASE("json: a key twice in one group is refused, in two groups it is not", "[json]") {
    CHECK_THAT(json_trouble(R"({"wall": 1, "rim": 2, "wall": 3})"), Catch::Contains("\"wall\" stands twice"));
    CHECK_THAT(json_trouble(R"({"a": {"x": 1, "x": 1}})"), Catch::Contains("\"x\" stands twice"));
    CHECK(parse_json(R"({"a": {"x": 1}, "b": {"x": 1}})", "x").ok());
}

TEST_CASE("json: numbers beyond a double are refused", "[json]") {
    CHECK_THAT(json_trouble("{\"a\": 1e400}"), Catch::Contains("too large"));
    CHECK_THAT(json_trouble("{\"a\": -1e999999999}"), Catch::Contains("too large"));
    CHECK(parse_json("{\"a\": 1e308}", "x").ok());
}

TEST_CASE("json: what is printed reads back the same", "[json]") {
    std::mt19937_64 random(tests::seed());
    const int n = tests::cases(200'000, 20'000, "json numbers");
    Json list = Json::list();
    for (int i = 0; i < n; ++i) {
        const std::uint64_t bits = random();
        double value = 0;
        std::memcpy(&value, &bits, sizeof value);
        if (std::isfinite(value)) list.items.push_back(Json::of(value));
    }
    for (const bool compact : {false, true}) {
        const auto back = parse_json(print(list, compact), "numbers");
        REQUIRE(back.ok());
        REQUIRE(*back == list);
    }
    Json text = Json::object();
    text.add("quote \" \\ \n \t \x01 é", Json::of("\x1f漢字"));
    CHECK(*parse_json(print(text), "text") == text);
    CHECK(Json::of(std::nan("")).kind == Json::Kind::null);
    CHECK(print(Json::of(-0.0), true) == "0");
}
