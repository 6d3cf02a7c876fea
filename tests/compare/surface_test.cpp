// How far apart surfaces are, on surfaces whose distance is known in closed form.
#include "engine/compare/surface.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "engine/surface/shell_mesh.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::compare;

namespace {

Difference of(const Sheet& now, const Reference& other) {
    Progress progress;
    auto made = difference(now, other, progress);
    REQUIRE(made.ok());
    return *made;
}

surface::ShellMesh meshed(const surface::Shell& shell) {
    auto mesh = surface::mesh_shell(shell);
    REQUIRE(mesh.ok());
    return *mesh;
}

void move(surface::SplineSurface& surface, const Vec3& by) {
    for (Vec3& p : surface.control) p += by;
}

double plan_area(const surface::Shell& shell) {
    return tests::enclosed_area(shell.trim);
}

}  // namespace

TEST_CASE("compare: a plate moved by d along its normal is d away everywhere", "[compare]") {
    const tests::Plate plate = tests::plate(surface::Rim::Kind::square);
    const surface::ShellMesh mesh = meshed(plate.shell);
    const double d = 0.37;
    surface::Shell raised = plate.shell;
    move(raised.foot_side, Vec3(0, 0, d));
    move(raised.underside, Vec3(0, 0, d));
    const surface::ShellMesh raised_mesh = meshed(raised);
    const Difference top = of(foot_side(raised, raised_mesh), Reference::foot_side(plate.shell, mesh));
    const Difference under = of(underside(raised, raised_mesh), Reference::underside(plate.shell, mesh));
    for (const double mm : top.mm) CHECK(std::abs(mm - d) < 1e-9);
    for (const double mm : under.mm) CHECK(std::abs(mm + d) < 1e-9);
    // raised: material is added on the foot side and taken away below
    CHECK(top.added_mm3 == Approx(d * top.area_mm2).epsilon(1e-9));
    CHECK(top.taken_mm3 == 0.0);
    CHECK(under.taken_mm3 == Approx(d * under.area_mm2).epsilon(1e-9));
    CHECK(under.most_taken_mm == Approx(d).margin(1e-9));
    CHECK(top.alone_mm2 == 0.0);
    // the polygon of the mesh's border within the curve (chords on the outside of a convex one)
    CHECK(top.area_mm2 < plan_area(plate.shell));
    CHECK(top.area_mm2 == Approx(plan_area(plate.shell)).epsilon(1e-3));
    CHECK(top.mean_mm == Approx(d).margin(1e-9));
    CHECK(top.rms_mm == Approx(d).margin(1e-9));
}

TEST_CASE(
    "compare: concentric spheres are their radii's difference apart, their shells' volumes the closed form",
    "[compare]") {
    // foot side of radius R seen from the foot within: a sphere of R - d lies d nearer to the foot
    const tests::Cap cap = tests::cap(24, 32);
    const double d = 0.8, R = tests::Cap::R;
    surface::Shell inner = cap.shell;
    const Vec3 centre = [&] {
        // the sphere's centre: where the normals of two places meet
        const surface::SurfacePoint a = cap.shell.foot_side.first(
            {0.3 * cap.shell.foot_side.u.length, 0.5 * cap.shell.foot_side.v.length});
        return Vec3(a.s + R * a.normal());
    }();
    for (Vec3& p : inner.foot_side.control) p = centre + (R - d) / R * (p - centre);
    const surface::ShellMesh mesh = meshed(cap.shell), inner_mesh = meshed(inner);
    const Difference found = of(foot_side(inner, inner_mesh), Reference::foot_side(cap.shell, mesh));
    double worst = 0;
    std::size_t alone = 0;
    for (const double mm : found.mm)
        if (std::isfinite(mm))
            worst = std::max(worst, std::abs(mm - d));
        else
            ++alone;
    CHECK(alone == 0);
    CHECK(worst < 2e-4);  // the splines stand for their spheres so well (tests/solid refine them)
    // between the spheres over the same solid angle: (R^3 - (R-d)^3) / 3; per area (R-d)^2 the mean of t is d
    CHECK(found.mean_mm == Approx(d).margin(1e-4));
    CHECK(found.added_mm3 == Approx(d * found.area_mm2).epsilon(1e-3));
}

TEST_CASE("compare: what has no counterpart says so, and a bump is found where it is", "[compare]") {
    const tests::Plate plate = tests::plate(surface::Rim::Kind::square);
    const surface::ShellMesh mesh = meshed(plate.shell);
    const Sheet whole = foot_side(plate.shell, mesh);
    // the half of it beyond x = 50 alone
    TriangleMesh half;
    half.points = mesh.mesh.points;
    for (std::size_t k = 0; k < mesh.foot_side_end; ++k) {
        const Triangle& t = mesh.mesh.triangles[k];
        const Vec3 middle = (half.points[t[0]] + half.points[t[1]] + half.points[t[2]]) / 3.0;
        if (middle.x() > 50.0) half.triangles.push_back(t);
    }
    double half_area = 0;
    for (std::size_t k = 0; k < half.triangles.size(); ++k) half_area += half.area(k);
    const Difference part = of(whole, Reference(half));
    CHECK(part.alone_mm2 > 0.0);
    // to within a row of triangles along the cut
    CHECK(part.area_mm2 - part.alone_mm2 == Approx(half_area).epsilon(0.15));
    CHECK(part.most_added_mm < 1e-9);
    CHECK(of(whole, Reference(half, true)).alone_mm2 == Approx(part.area_mm2));  // faces the other way
    CHECK(of(whole, Reference(TriangleMesh{})).alone_mm2 == Approx(part.area_mm2));

    // random bumps of the reference far apart: each is a peak of its own size, and of the other sign
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(200, 20, "bumps compared"); i > 0; --i) {
        TriangleMesh flat;
        constexpr int side = 61;
        const double up = tests::uniform(random, 0.2, 3.0), down = tests::uniform(random, 0.2, 3.0);
        const double y = tests::uniform(random, 20.0, 40.0);
        const Vec2 high(15.0, y), low(45.0, 60.0 - y);
        const auto bump = [](const Vec2& at, const Vec2& middle) {
            const double r = (at - middle).norm() / 8.0;
            return r < 1.0 ? std::pow(1.0 - r * r, 2.0) : 0.0;
        };
        for (int a = 0; a < side; ++a)
            for (int b = 0; b < side; ++b) {
                const Vec2 at(a, b);
                flat.points.emplace_back(a, b, up * bump(at, high) - down * bump(at, low));
            }
        for (int a = 0; a + 1 < side; ++a)
            for (int b = 0; b + 1 < side; ++b) {
                const auto at = [](int p, int q) { return static_cast<std::int32_t>(p * side + q); };
                flat.triangles.push_back({at(a, b), at(a + 1, b), at(a + 1, b + 1)});
                flat.triangles.push_back({at(a, b), at(a + 1, b + 1), at(a, b + 1)});
            }
        Sheet plane;
        plane.points = flat.points;
        for (Vec3& p : plane.points) p.z() = 0.0;
        plane.normals.assign(plane.points.size(), Vec3::UnitZ());
        plane.triangles = flat.triangles;
        const Difference found = of(plane, Reference(flat));
        INFO("up " << up << " down " << down << " y " << y);
        REQUIRE(found.peaks.size() == 2);
        for (const Peak& peak : found.peaks) {
            const bool added = peak.mm > 0.0;  // the plane lies over the hollow
            CHECK((peak.where.head<2>() - (added ? low : high)).norm() < 1.0);
            CHECK(std::abs(peak.mm) <= (added ? down : up) + 1e-9);
            CHECK(std::abs(peak.mm) >= 0.95 * (added ? down : up));
        }
        // integral of (1 - r^2 / 64)^2 over the disc of 8: pi 64 / 3
        CHECK(found.added_mm3 == Approx(down * std::numbers::pi * 64.0 / 3.0).epsilon(0.02));
        CHECK(found.taken_mm3 == Approx(up * std::numbers::pi * 64.0 / 3.0).epsilon(0.02));
    }
}

TEST_CASE("compare: given up at any tick it ends with nothing but that it was", "[compare]") {
    const tests::Plate plate = tests::plate(surface::Rim::Kind::square);
    const surface::ShellMesh mesh = meshed(plate.shell);
    Progress progress;
    progress.cancel();
    const auto made =
        difference(foot_side(plate.shell, mesh), Reference::foot_side(plate.shell, mesh), progress);
    REQUIRE_FALSE(made.ok());
    CHECK(made.fault().kind == FaultKind::cancelled);
}
