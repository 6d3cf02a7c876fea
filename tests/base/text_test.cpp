#include "engine/base/text.hpp"

#include <catch2/catch.hpp>
#include <clocale>
#include <cstring>
#include <limits>
#include <random>
#include <vector>

#include "tests/support/random_cases.hpp"

using namespace archwright;

TEST_CASE("a number survives being written and read") {
    std::mt19937_64 random(tests::seed());
    const int count = tests::cases(1'000'000, 20'000, "numbers written and read");
    for (int i = 0; i < count; ++i) {
        const std::uint64_t bits = random();
        double value = 0;
        std::memcpy(&value, &bits, sizeof value);
        if (!std::isfinite(value)) continue;
        const auto back = parse_number(exact(value));
        REQUIRE(back.has_value());
        REQUIRE(*back == value);
    }
}

TEST_CASE("only whole finite numbers are numbers") {
    for (const char* text :
         {"", " 1", "1 ", "1,5", "nan", "inf", "-inf", "1e999", "0x10", "1.2.3", "++1", "3mm"})
        CHECK_FALSE(parse_number(text).has_value());
    CHECK(parse_number("+2.5") == 2.5);
    CHECK(parse_number("-1e-3") == -0.001);
}

TEST_CASE("nothing reads minus zero") {
    CHECK(exact(-0.0) == "0");
    CHECK(rounded(-0.04, 1) == "0.0");
    CHECK(rounded(-0.06, 1) == "-0.1");
    CHECK(rounded(1e308, 1).size() > 300);
    CHECK(rounded(std::numeric_limits<double>::quiet_NaN(), 1) == "not a number");
}

TEST_CASE("an angle always carries its word") {
    CHECK(inclination(3.04) == "3.0 degrees inverted");
    CHECK(inclination(-2.5) == "2.5 degrees everted");
    CHECK(inclination(-0.01) == "0.0 degrees");
}

TEST_CASE("the nearest word is offered, and none when none is near") {
    const std::vector<std::string> keys = {"trim.cup_medial_mm", "wall.base_mm", "rim.kind"};
    CHECK(nearest_word("wall.base", keys) == "wall.base_mm");
    CHECK(nearest_word("wal.base_mm", keys) == "wall.base_mm");
    CHECK(nearest_word("zzzzzzzzzzzzzz", keys).empty());
    CHECK(edit_distance("kitten", "sitting") == 3);  // Levenshtein's textbook pair
}

TEST_CASE("a German locale changes no figure") {
    const std::string before = std::setlocale(LC_ALL, nullptr);
    if (std::setlocale(LC_ALL, "de_DE.utf8") == nullptr) {
        tests::skipped("no German locale on this machine (tests/run.sh makes one with localedef)");
        return;
    }
    CHECK(exact(3.2) == "3.2");
    CHECK(rounded(3.25, 1) == "3.2");
    CHECK(parse_number("3.2") == 3.2);
    CHECK_FALSE(parse_number("3,2").has_value());
    std::setlocale(LC_ALL, before.c_str());
}
