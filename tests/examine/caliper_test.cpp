// Caliper sizes against a scan: what a difference means.
#include "engine/examine/caliper_check.hpp"

#include <catch2/catch.hpp>

using namespace archwright;
using Catch::Contains;

namespace {

/// A scan of a heel of 62 and a ball of 90 mm, changed so.
std::vector<foot::Measurement> scanned(double factor, double more_mm = 0.0) {
    foot::Measurement heel, ball;
    heel.id = "heel_breadth";
    heel.value = 62.0 * factor + more_mm;
    heel.uncertainty = 0.8;
    ball.id = "forefoot_breadth";
    ball.value = 90.0 * factor + more_mm;
    ball.uncertainty = 2.8;
    return {heel, ball};
}

std::string told(const std::vector<foot::Measurement>& scan) {
    const auto check = examine::check_calipers({62.0, 90.0}, scan);
    REQUIRE(check);
    CHECK(check->verdict == Verdict::look);
    return check->message;
}

}  // namespace

TEST_CASE("Sizes that agree pass; nothing is said where no size was given") {
    const auto check = examine::check_calipers({62.5, 89.0}, scanned(1.0));
    REQUIRE(check);
    CHECK(check->verdict == Verdict::pass);
    CHECK_FALSE(examine::check_calipers({}, scanned(1.0)));
    CHECK_FALSE(examine::check_calipers({62.0, 90.0}, {}));
}

TEST_CASE("Each difference is told as what it is") {
    CHECK_THAT(told(scanned(2.54)), Contains("ratio of two units"));
    CHECK_THAT(told(scanned(1.0 / 25.4)), Contains("ratio of two units"));
    CHECK_THAT(told(scanned(1.0, 10.0)), Contains("outside of the plaster"));
    CHECK_THAT(told(scanned(0.95)), Contains("same share"));
    auto crushed = scanned(1.0);
    crushed[0].value += 5.0;
    CHECK_THAT(told(crushed), Contains("crushed or opened") && Contains("heel"));
    auto squeezed = scanned(1.0);
    squeezed[1].value -= 9.0;
    CHECK_THAT(told(squeezed), Contains("squeezed"));
    auto both = scanned(1.0);
    both[0].value += 6.0;
    both[1].value -= 8.0;
    CHECK_THAT(told(both), Contains("opposite ways"));
}

TEST_CASE("The uncertainty of a landmark widens what agrees") {
    auto scan = scanned(1.0);
    scan[1].value += 4.5;
    CHECK(examine::check_calipers({62.0, 90.0}, scan)->verdict == Verdict::look);
    scan[1].uncertainty = 7.0;
    CHECK(examine::check_calipers({62.0, 90.0}, scan)->verdict == Verdict::pass);
}
