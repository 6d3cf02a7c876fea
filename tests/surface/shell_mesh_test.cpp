#include "engine/surface/shell_mesh.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/base/parallel.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/surface/rim.hpp"
#include "engine/surface/underside.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

Shell shell_over(const AnalyticSurface& s, const PeriodicCurve& trim, double wall, Rim::Kind rim,
                 int spans = 24) {
    const SplineSurface carpet = s.carpet(spans, spans);
    const auto sides = roll_underside(carpet, [wall](const Vec2&, const Vec3&) { return wall; });
    REQUIRE(sides.ok());
    return {carpet, sides->foot_side, sides->underside, trim, {rim, 0.5}};
}

// Area of one part of a shell's mesh.
double area(const ShellMesh& m, std::size_t begin, std::size_t end) {
    double sum = 0;
    for (std::size_t k = begin; k < end; ++k) sum += m.mesh.area(k);
    return sum;
}

}  // namespace

TEST_CASE("Volume and areas of offset solids meet the closed forms, better as the chord shrinks",
          "[shell_mesh]") {
    const double t = 3.0;
    const std::vector<AnalyticSurface> shapes{
        plane(70, 50),       cylinder(70, 50, 30),    cylinder(70, 50, -30), sphere(70, 50, 40),
        sphere(70, 50, -40), saddle(70, 50, 90, -60), torus(70, 50, 60, 30)};
    for (const AnalyticSurface& s : shapes) {
        const PeriodicCurve trim = uv_circle({35, 25}, 18, 32);
        const OffsetSolid truth = offset_solid(s, trim, t);
        const Shell shell = shell_over(s, trim, t, Rim::Kind::square);
        std::vector<double> volume, foot, under;
        for (double chord : {0.08, 0.02, 0.005}) {
            const auto m = mesh_shell(shell, {chord});
            REQUIRE(m.ok());
            const Soundness e = find_soundness(m->mesh);
            CHECK(e.sound());
            CHECK(e.components == 1);
            CHECK(self_intersections(m->mesh, 10).empty());
            volume.push_back(std::abs(e.volume - truth.volume));
            foot.push_back(std::abs(area(*m, 0, m->foot_side_end) - truth.foot_area));
            under.push_back(std::abs(area(*m, m->foot_side_end, m->underside_end) - truth.under_area));
        }
        INFO(s.name << " volume " << truth.volume << " errors " << volume[0] << " " << volume[1] << " "
                    << volume[2]);
        // the gate: 0.05 % plus 2/3 x chord x curved area
        const double curved = truth.foot_area + truth.under_area + 2 * std::numbers::pi * 18 * t;
        CHECK(volume[1] < 5e-4 * truth.volume + 2.0 / 3.0 * 0.02 * curved);
        // chord errors are of first order in the chord (second in the edge): a quarter of it, a quarter of
        // them
        for (const auto& errors : {volume, foot, under}) {
            INFO(errors[0] << " " << errors[1] << " " << errors[2]);
            CHECK(errors[2] < 0.5 * errors[0]);
            CHECK(errors[2] < 2e-3 * truth.foot_area);
        }
        // outward: the foot side looks along the carpet's normal
        const auto m = mesh_shell(shell);
        for (std::size_t k = 0; k < m->foot_side_end; k += 97) {
            const Vec2& uv = m->uv[static_cast<std::size_t>(m->mesh.triangles[k][0])];
            CHECK(m->mesh.normal2(k).dot(shell.carpet.normal(uv)) > 0);
        }
    }
}

TEST_CASE("Closed forms agree with the reference integrals", "[shell_mesh]") {
    // the tests' own reference, checked by hand formulas
    const double t = 3, R = 30;
    const PeriodicCurve ring = uv_circle({35, 25}, 18, 48);
    CHECK(offset_solid(plane(70, 50), ring, t).volume == Approx(std::numbers::pi * 324 * t).epsilon(1e-6));
    CHECK(offset_solid(cylinder(70, 50, R), ring, t).volume ==
          Approx(std::numbers::pi * 324 * (t + t * t / (2 * R))).epsilon(1e-6));
    const double alpha = 0.4;
    const OffsetSolid cap =
        offset_solid(sphere(70, 50, R), sphere_circle(sphere(70, 50, R), R, alpha, 48), t);
    CHECK(cap.foot_area == Approx(2 * std::numbers::pi * R * R * (1 - std::cos(alpha))).epsilon(1e-6));
    CHECK(cap.volume ==
          Approx(2 * std::numbers::pi / 3 * (std::pow(R + t, 3) - std::pow(R, 3)) * (1 - std::cos(alpha)))
              .epsilon(1e-6));
}

TEST_CASE("A rounded plate has the volume Pappus gives it", "[shell_mesh]") {
    // the rim's section: a cubic with arms k = 2/3 t: area 3/5 k t, first moment 27/140 k^2 t about the edge
    const double t = 3, r = 18, k = 2.0 / 3.0 * t;
    const auto m =
        mesh_shell(shell_over(plane(70, 50), uv_circle({35, 25}, r, 48), t, Rim::Kind::rounded), {0.002});
    REQUIRE(m.ok());
    const double truth =
        std::numbers::pi * r * r * t + 2 * std::numbers::pi * (r * 0.6 * k * t + 27.0 / 140.0 * k * k * t);
    CHECK(m->mesh.volume() == Approx(truth).epsilon(2e-4));
}

TEST_CASE("Shells over random trims are sound with every rim", "[shell_mesh]") {
    const int count = cases(200, 15, "random trims");
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> unit(-1, 1);
    const std::vector<AnalyticSurface> shapes{
        plane(90, 70),      cylinder(90, 70, 28),     cylinder(90, 70, -34),
        sphere(90, 70, 50), saddle(90, 70, 100, -60), torus(90, 70, 60, 32)};
    int built = 0, refused = 0;
    for (int k = 0; k < count; ++k) {
        const AnalyticSurface& s = shapes[static_cast<std::size_t>(k) % shapes.size()];
        std::vector<Vec2> q;
        const double a2 = 0.2 * unit(random), a3 = 0.15 * unit(random), a5 = 0.06 * unit(random),
                     p2 = 3 * unit(random), p3 = 3 * unit(random), p5 = 3 * unit(random);
        for (int i = 0; i < 30; ++i) {
            const double p = 2 * std::numbers::pi * i / 30;
            const double r =
                1 + a2 * std::cos(2 * p + p2) + a3 * std::cos(3 * p + p3) + a5 * std::cos(5 * p + p5);
            q.emplace_back(45 + 28 * r * std::cos(p), 35 + 20 * r * std::sin(p));
        }
        const double wall = 2.4 + 1.5 * unit(random);
        for (Rim::Kind rim : {Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded}) {
            const Shell shell = shell_over(s, PeriodicCurve::through(q), wall, rim);
            const auto m = mesh_shell(shell, {0.05});
            INFO("case " << k << " " << s.name << " wall " << wall << " rim " << static_cast<int>(rim));
            if (!m.ok()) {
                CHECK_FALSE(check_rim(shell).ok());  // refused for no other reason
                ++refused;
                continue;
            }
            ++built;
            const Soundness e = find_soundness(m->mesh);
            CHECK(e.sound());
            CHECK(e.components == 1);
            CHECK(self_intersections(m->mesh, 10).empty());
        }
    }
    CHECK(built > 9 * refused);
}

TEST_CASE("A changed shell moves the points and keeps the triangles", "[shell_mesh]") {
    const AnalyticSurface s = cylinder(70, 50, 30);
    const PeriodicCurve trim = uv_circle({35, 25}, 18);
    for (Rim::Kind rim : {Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded}) {
        const Shell thin = shell_over(s, trim, 2.0, rim), thick = shell_over(s, trim, 4.0, rim);
        auto m = mesh_shell(thin);
        REQUIRE(m.ok());
        CHECK(m->mesh.points.size() == m->foot_side_points + m->underside_points +
                                           m->edges.front().across.size() * m->edges.front().s.size());
        CHECK(m->uv.size() == m->mesh.points.size());
        const auto points = m->mesh.points;
        reevaluate(*m, thin);
        CHECK(points == m->mesh.points);
        const double before = m->mesh.volume();
        reevaluate(*m, thick);
        CHECK(find_soundness(m->mesh).sound());
        CHECK(self_intersections(m->mesh, 10).empty());
        CHECK(m->mesh.volume() > 1.8 * before);
    }
}

TEST_CASE("The shell's mesh is the same for any number of threads", "[shell_mesh]") {
    const Shell shell = shell_over(torus(70, 50, 60, 30), uv_circle({35, 25}, 18), 3.0, Rim::Kind::rounded);
    std::vector<TriangleMesh> meshes;
    for (int threads : {1, 2, 8}) {
        set_thread_count(threads);
        auto m = mesh_shell(shell);
        REQUIRE(m.ok());
        meshes.push_back(std::move(m->mesh));
    }
    set_thread_count(0);
    for (std::size_t k : {1U, 2U}) {
        CHECK(meshes[0].points == meshes[k].points);
        CHECK(meshes[0].triangles == meshes[k].triangles);
    }
}
