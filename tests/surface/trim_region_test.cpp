#include "engine/surface/trim_region.hpp"

#include <catch2/catch.hpp>
#include <random>

#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

TEST_CASE("A trim region answers as its outline does, only faster", "[trim_region]") {
    const PeriodicCurve trim = foot_trim(foot_like(), 9);
    const Outline outline(trim);
    const TrimRegion region(outline);
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> x(-20, 270), y(-20, 140);
    for (int k = 0; k < 4000; ++k) {
        const Vec2 p(x(random), y(random));
        CHECK(region.inside(p) == outline.inside(p));
        CHECK(region.distance(p, 7.0) == Approx(std::min(7.0, outline.distance(p))).margin(1e-12));
    }
}

TEST_CASE("A hole is outside the region", "[trim_region]") {
    const Outline outer(uv_circle({20, 20}, 15)), hole(uv_circle({22, 20}, 4));
    const TrimRegion region(std::vector<std::vector<Vec2>>{outer.points(), hole.points()});
    CHECK(region.inside({10, 20}));
    CHECK_FALSE(region.inside({22, 20}));
    CHECK_FALSE(region.inside({0, 20}));
    CHECK(region.distance({22, 20}, 10) == Approx(4).margin(0.01));
    CHECK_FALSE(region.inside({std::nan(""), 20}));
    CHECK(region.distance({std::nan(""), 20}, 3) == 3);
}
