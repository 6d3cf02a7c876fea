#include "engine/surface/plan_loop.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "tests/support/analytic.hpp"
#include "tests/support/analytic_shells.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

std::vector<Vec2> circle(const Vec2& centre, double radius, int points) {
    std::vector<Vec2> plan;
    for (int k = 0; k < points; ++k) {
        const double a = 2 * std::numbers::pi * k / points;
        plan.push_back(centre + radius * Vec2(std::cos(a), std::sin(a)));
    }
    return plan;
}

}  // namespace

TEST_CASE("A circle drawn in plan stays one on every surface", "[plan_loop]") {
    for (const AnalyticSurface& s : {plane(70, 50), cylinder(70, 50, 30), sphere(70, 50, 40),
                                     saddle(70, 50, 90, -60), torus(70, 50, 60, 30)}) {
        const SplineSurface surface = s.carpet(24, 24);
        const Vec2 centre = surface.point({35, 25}).head<2>();
        const auto curve = plan_loop(surface, circle(centre, 14, 40));
        INFO(s.name << (curve ? std::string() : curve.fault().message));
        REQUIRE(curve.ok());
        CHECK(curve->signed_area() > 0);
        for (double t = 0; t < curve->period(); t += 0.1) {
            const double off = (surface.point(curve->point(t)).head<2>() - centre).norm() - 14;
            // through the points to Newton's own limit, between them to a cubic's fourth order
            CHECK(std::abs(off) < (std::abs(t - std::round(t)) < 1e-6 ? 1e-6 : 2e-3));
        }
    }
}

TEST_CASE("A loop in plan beside the surface or on its steep flank is refused with the place",
          "[plan_loop]") {
    const SplineSurface flat = plane(70, 50).carpet(8, 8);
    const Vec2 centre = flat.point({35, 25}).head<2>();
    const auto off = plan_loop(flat, circle(centre + Vec2(30, 0), 14, 24));
    REQUIRE_FALSE(off.ok());
    CHECK(off.fault().stage == "loops");
    REQUIRE(off.fault().where.has_value());
    CHECK((off.fault().where->head<2>() - centre - Vec2(44, 0)).norm() < 1);
    CHECK_FALSE(plan_loop(flat, circle(centre, 10, 3)).ok());
    CHECK_FALSE(plan_loop(flat, {{std::nan(""), 0}, {1, 0}, {1, 1}, {0, 1}}).ok());
    CHECK_FALSE(plan_loop(flat, {{1e300, 0}, {1, 0}, {1, 1}, {0, 1}}).ok());
    // half a pipe of radius 20 whose flanks climb to 86 degrees: n.z is 0.2 at y = 19.6
    const SplineSurface pipe = cylinder(80, 60, 20).carpet(24, 24);
    const Vec2 middle = pipe.point({40, 30}).head<2>();
    CHECK(plan_loop(pipe, circle(middle, 19.0, 60)).ok());
    CHECK_FALSE(plan_loop(pipe, circle(middle, 19.9, 60)).ok());
}
