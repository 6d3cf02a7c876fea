#include "engine/surface/rim.hpp"

#include <catch2/catch.hpp>
#include <numbers>

#include "engine/mesh/soundness.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/underside.hpp"
#include "tests/support/analytic.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

Shell shell_over(const AnalyticSurface& s, const PeriodicCurve& trim, double wall, Rim rim) {
    const SplineSurface carpet = s.carpet(20, 14);
    const auto sides = roll_underside(carpet, [wall](const Vec2&, const Vec3&) { return wall; });
    REQUIRE(sides.ok());
    return {carpet, sides->foot_side, sides->underside, trim, rim};
}

// A round outline with one notch that bends inward with about this radius.
PeriodicCurve notched(double radius) {
    std::vector<Vec2> q;
    const int points = 160;
    for (int k = 0; k < points; ++k) {
        const double a = 2 * std::numbers::pi * k / points;
        // depth over width chosen so that the notch's bottom bends inward: r(a) = 20 - d exp(-(a/w)^2),
        // curvature there about -2 d / (20 w)^2
        const double w = 0.25, d = 0.5 * (1.0 / radius) * std::pow(20 * w, 2);
        const double off = std::remainder(a - 1.0, 2 * std::numbers::pi);
        const double r = 20 - std::min(d, 14.0) * std::exp(-off * off / (w * w));
        q.push_back(Vec2(35, 25) + r * Vec2(std::cos(a), std::sin(a)));
    }
    return PeriodicCurve::through(q);
}

}  // namespace

TEST_CASE("A rounded rim is tangent to both sides and bulges half the wall", "[rim]") {
    const AnalyticSurface s = cylinder(70, 50, 30);
    const Shell shell = shell_over(s, uv_circle({35, 25}, 18), 3.0, {Rim::Kind::rounded, 0});
    for (double t = 0; t < 24; t += 1.7) {
        const RimRows rows = rim_rows(shell, t);
        REQUIRE(rows.degree == 3);
        REQUIRE(rows.rows.size() == 4);
        const Vec2 uv = shell.trim.point(t);
        CHECK((rows.rows[0] - shell.foot_side.point(uv)).norm() == Approx(0).margin(1e-12));
        CHECK((rows.rows[3] - shell.underside.point(uv)).norm() == Approx(0).margin(1e-12));
        CHECK((rows.rows[1] - rows.rows[0]).normalized().dot(shell.foot_side.normal(uv)) ==
              Approx(0).margin(1e-9));
        CHECK((rows.rows[2] - rows.rows[3]).normalized().dot(shell.underside.normal(uv)) ==
              Approx(0).margin(1e-9));
        // outward: away from the middle of the trim
        const Vec2 inward = Vec2(35, 25) - uv;
        const SurfacePoint at = shell.foot_side.first(uv);
        CHECK((rows.rows[1] - rows.rows[0]).dot(at.su * inward.x() + at.sv * inward.y()) < 0);
        const Vec3 middle = 0.5 * (rows.rows[0] + rows.rows[3]);
        CHECK((rim_point(rows, 0.5) - middle).norm() == Approx(1.5).epsilon(0.02));
        CHECK((rim_point(rows, 0) - rows.rows[0]).norm() == Approx(0).margin(1e-12));
        CHECK((rim_point(rows, 1) - rows.rows[3]).norm() == Approx(0).margin(1e-12));
    }
    CHECK(rim_reach(shell.rim, 3.0) == Approx(1.5));
}

TEST_CASE("Bevels have their breadth at 45 degrees, less where the wall is thin", "[rim]") {
    const Shell shell = shell_over(plane(70, 50), uv_circle({35, 25}, 18), 3.0, {Rim::Kind::bevelled, 0.5});
    const RimRows rows = rim_rows(shell, 3.3);
    REQUIRE(rows.degree == 1);
    REQUIRE(rows.rows.size() == 4);
    const Vec3 bevel = rows.rows[1] - rows.rows[0];
    CHECK(bevel.norm() == Approx(0.5).epsilon(0.01));
    CHECK(bevel.normalized().z() == Approx(-std::sqrt(0.5)).margin(1e-6));
    CHECK((rows.rows[2] - rows.rows[3]).normalized().z() == Approx(std::sqrt(0.5)).margin(1e-6));
    for (double wall : {3.0, 1.0, 0.5, 0.2}) {
        const Shell thin =
            shell_over(plane(70, 50), uv_circle({35, 25}, 18), wall, {Rim::Kind::bevelled, 1.0});
        const RimRows r = rim_rows(thin, 3.3);
        CHECK(r.rows[1].z() > r.rows[2].z());  // the bevels never meet
    }
    const Shell square = shell_over(plane(70, 50), uv_circle({35, 25}, 18), 3.0, {Rim::Kind::square, 0});
    CHECK(rim_rows(square, 3.3).rows.size() == 2);
    CHECK(rim_reach(square.rim, 3.0) == 0);
}

TEST_CASE("A corner sharper than the rim is round is found, and only then", "[rim]") {
    for (Rim::Kind kind : {Rim::Kind::rounded, Rim::Kind::bevelled, Rim::Kind::square})
        for (double radius : {0.6, 1.0, 2.2, 4.0}) {
            const Rim rim{kind, 1.2};
            Shell shell = shell_over(plane(70, 50), notched(radius), 3.0, rim);
            const auto corners = sharp_corners(shell);
            INFO("kind " << static_cast<int>(kind) << " radius " << radius);
            const double least = least_corner_radius(rim, 3.0);
            // the curve's own least inward radius
            double sharpest = 1e9;
            for (double s = 0; s < shell.trim.period(); s += 0.02) {
                const Vec2 d = shell.trim.tangent(s), dd = shell.trim.second(s);
                const double k = (d.x() * dd.y() - d.y() * dd.x()) / std::pow(d.norm(), 3);
                if (k < 0) sharpest = std::min(sharpest, -1 / k);
            }
            CHECK(corners.empty() == (sharpest > least));
            CHECK(check_rim(shell).ok() == corners.empty());
            for (const SharpCorner& c : corners) {
                CHECK(c.radius_mm < c.asked_mm);
                CHECK((c.where - shell.foot_side.point(shell.trim.point(c.s))).norm() < 0.2);
            }
            const auto mesh = mesh_shell(shell);
            CHECK(mesh.ok() == corners.empty());
            if (mesh.ok()) CHECK(self_intersections(mesh->mesh, 10).empty());
        }
}
