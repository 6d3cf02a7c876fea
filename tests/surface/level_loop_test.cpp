// Closed curves round where a field is positive.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "engine/surface/level_loop.hpp"
#include "engine/surface/patch_of.hpp"
#include "tests/support/analytic.hpp"

using namespace archwright;

namespace {

double disc(const Vec2& p, const Vec2& centre, double radius) {
    return radius - (p - centre).norm();
}

}  // namespace

TEST_CASE("the loop of a disc is its circle, counter-clockwise, whatever the lattice") {
    for (const double step : {0.3, 0.5, 0.9})
        for (const double radius : {2.0, 7.3, 20.0}) {
            INFO("step " << step << ", radius " << radius);
            const Vec2 centre(31.7, 24.1);
            const auto loop = surface::level_loop([&](const Vec2& p) { return disc(p, centre, radius); },
                                                  Vec2(5, 2), Vec2(60, 50), step, 7.0);
            REQUIRE(loop);
            for (double s = 0.0; s < loop->curve.period(); s += 0.2)
                CHECK((loop->curve.point(s) - centre).norm() == Approx(radius).margin(2e-3 * radius));
            CHECK(loop->curve.signed_area() ==
                  Approx(std::numbers::pi * radius * radius).epsilon(2e-3));  // > 0: counter-clockwise
        }
}

TEST_CASE("what is cut out of a surface is that surface, on its own knots, wherever it is cut") {
    const surface::SplineSurface whole = tests::foot_like().carpet(40, 24);
    const Vec2 size(whole.u.length, whole.v.length);
    for (const auto& [low, high] :
         {std::pair(Vec2(20, 12), Vec2(61, 40)), std::pair(Vec2(0, 0), size),
          std::pair(Vec2(size - Vec2(3, 2)), size), std::pair(Vec2(70, 30), Vec2(70.5, 30.5))}) {
        const surface::CutOut cut = surface::cut_out(whole, low, high);
        CHECK((cut.origin.array() <= low.array() + 1e-9).all());
        CHECK(((cut.origin + Vec2(cut.surface.u.length, cut.surface.v.length)).array() >= high.array() - 1e-9)
                  .all());
        CHECK((cut.origin + Vec2(cut.surface.u.length, cut.surface.v.length) - size).maxCoeff() < 1e-9);
        double worst = 0.0, turned = 0.0;
        for (int i = 0; i <= 33; ++i)
            for (int j = 0; j <= 33; ++j) {
                const Vec2 uv(cut.surface.u.length * i / 33.0, cut.surface.v.length * j / 33.0);
                worst = std::max(worst, (cut.surface.point(uv) - whole.point(cut.origin + uv)).norm());
                turned = std::max(turned, (cut.surface.normal(uv) - whole.normal(cut.origin + uv)).norm());
            }
        CHECK(worst < 1e-9);
        CHECK(turned < 1e-8);
    }
}

TEST_CASE("of two pieces the larger is taken, and two that touch at a saddle stay one curve or two") {
    const Vec2 low(0, 0), high(60, 40);
    const auto two = [](const Vec2& p) {
        return std::max(disc(p, Vec2(15, 20), 6.0), disc(p, Vec2(42, 20), 9.0));
    };
    const auto larger = surface::level_loop(two, low, high, 0.5, 7.0);
    REQUIRE(larger);
    CHECK(larger->curve.signed_area() == Approx(std::numbers::pi * 81.0).epsilon(0.01));
    CHECK(larger->others_mm2 == Approx(std::numbers::pi * 36.0).epsilon(0.02));
    // a lemniscate's level through its saddle: every shift of the lattice gives a simple curve
    for (int k = 0; k < 40; ++k) {
        const double shift = 0.0173 * k;
        const auto eight = [](const Vec2& p) {
            const double x = (p.x() - 30.0) / 10.0, y = (p.y() - 20.0) / 10.0;
            return x * x - y * y - (x * x + y * y) * (x * x + y * y);
        };
        const auto loop = surface::level_loop(eight, low - Vec2::Constant(shift), high, 0.5, 7.0);
        REQUIRE(loop);
        CHECK(loop->curve.signed_area() > 40.0);
    }
}

TEST_CASE("a field that is nowhere positive, or over too little, has no loop; at the border it is closed") {
    const Vec2 low(0, 0), high(30, 30);
    CHECK_FALSE(surface::level_loop([](const Vec2&) { return -1.0; }, low, high, 0.5, 7.0));
    CHECK_FALSE(
        surface::level_loop([](const Vec2& p) { return disc(p, Vec2(15, 15), 1.2); }, low, high, 0.5, 7.0));
    const auto all = surface::level_loop([](const Vec2&) { return 1.0; }, low, high, 0.5, 7.0);
    REQUIRE(all);
    CHECK(all->curve.signed_area() == Approx(900.0).epsilon(0.05));
}
