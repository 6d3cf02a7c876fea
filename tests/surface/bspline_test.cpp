#include "engine/surface/bspline.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "engine/surface/grid_fit.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

std::vector<double> places(const Basis& basis, int count, std::mt19937_64& random) {
    std::uniform_real_distribution<double> within(0.0, basis.length);
    std::vector<double> t = {0.0, basis.length};
    for (int i = 0; i <= basis.spans(); ++i) t.push_back(basis.span() * i);
    for (int i = 0; i < count; ++i) t.push_back(within(random));
    return t;
}

double combination(const Basis& basis, const std::vector<double>& c, double t, int derivative) {
    std::array<double, 4> n, d1, d2;
    const int first = basis.evaluate(t, n, &d1, &d2);
    const auto& b = derivative == 0 ? n : derivative == 1 ? d1 : d2;
    double sum = 0;
    for (int p = 0; p < 4; ++p) sum += b[p] * c[first + p];
    return sum;
}

}  // namespace

TEST_CASE("The basis sums to one, reproduces straight lines and parabolas, and its derivatives follow") {
    std::mt19937_64 random(seed());
    for (int count : {4, 5, 6, 7, 8, 9, 12, 50}) {
        const Basis basis{count, 37.5};
        std::vector<double> line, square;
        for (int i = 0; i < count; ++i) {
            line.push_back(basis.greville(i));
            // blossom of t^2 at the three inner knots
            const double a = basis.knot(i + 1), b = basis.knot(i + 2), c = basis.knot(i + 3);
            square.push_back((a * b + b * c + c * a) / 3.0);
        }
        const std::vector<double> one(static_cast<std::size_t>(count), 1.0);
        for (double t : places(basis, 100, random)) {
            CHECK(combination(basis, one, t, 0) == Approx(1.0).margin(1e-14));
            CHECK(combination(basis, one, t, 1) == Approx(0.0).margin(1e-12));
            CHECK(combination(basis, one, t, 2) == Approx(0.0).margin(1e-11));
            CHECK(combination(basis, line, t, 0) == Approx(t).margin(1e-12));
            CHECK(combination(basis, line, t, 1) == Approx(1.0).margin(1e-12));
            CHECK(combination(basis, square, t, 0) == Approx(t * t).margin(1e-10));
            CHECK(combination(basis, square, t, 1) == Approx(2.0 * t).margin(1e-10));
            CHECK(combination(basis, square, t, 2) == Approx(2.0).margin(1e-10));
        }
    }
}

TEST_CASE("A spline and its first two derivatives are continuous across every knot") {
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> any(-1.0, 1.0);
    for (int count : {5, 7, 9, 20}) {
        const Basis basis{count, 10.0};
        std::vector<double> c;
        for (int i = 0; i < count; ++i) c.push_back(any(random));
        const double h = 1e-9;
        for (int k = 1; k < basis.spans(); ++k)
            for (int d = 0; d < 3; ++d)
                CHECK(combination(basis, c, basis.span() * k - h, d) ==
                      Approx(combination(basis, c, basis.span() * k + h, d)).margin(1e-5));
    }
}

TEST_CASE("Derivatives and curvatures of a surface agree with the closed forms") {
    for (const AnalyticSurface& exact : {sphere(60, 50, 70), cylinder(60, 50, 40), saddle(60, 50, 90, -70)}) {
        const SplineSurface s = exact.carpet(40, 32);
        for (double u = 3; u < 58; u += 7)
            for (double v = 3; v < 48; v += 7) {
                const SurfacePoint a = s.second({u, v}), b = exact.at({u, v});
                CHECK((a.s - b.s).norm() < 1e-5);
                CHECK((a.su - b.su).norm() < 1e-4);
                CHECK((a.sv - b.sv).norm() < 1e-4);
                CHECK((a.suu - b.suu).norm() < 2e-3);
                CHECK((a.suv - b.suv).norm() < 2e-3);
                CHECK((a.svv - b.svv).norm() < 2e-3);
            }
    }
    const Curvatures cup = sphere(60, 50, 70).carpet(40, 32).curvatures({31, 22});
    CHECK(cup.k1 == Approx(1.0 / 70).epsilon(0.01));  // bends towards the foot: positive
    CHECK(cup.k2 == Approx(1.0 / 70).epsilon(0.01));
    const Curvatures ridge = cylinder(60, 50, -40).carpet(40, 32).curvatures({31, 22});
    CHECK(ridge.k1 == Approx(0.0).margin(1e-4));
    CHECK(ridge.k2 == Approx(-1.0 / 40).epsilon(0.01));
}

TEST_CASE("Projection finds the nearest point of a sphere") {
    const AnalyticSurface exact = sphere(60, 50, 70);
    const SplineSurface s = exact.carpet(40, 32);
    const Vec3 centre = exact.point({30, 25}) + 70.0 * exact.normal({30, 25});
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> any(0.2, 0.8), off(-8.0, 8.0);
    const int count = cases(2000, 200, "projection");
    for (int k = 0; k < count; ++k) {
        const Vec2 uv(60 * any(random), 50 * any(random));
        const double h = off(random);
        Vec2 found = uv + Vec2(off(random), off(random)) * 0.5;
        CHECK(s.project(exact.point(uv) + h * exact.normal(uv), found, 30) ==
              Approx(std::abs(h)).margin(1e-4));
        CHECK((found - uv).norm() < 1e-2);
        CHECK((centre - s.point(found)).norm() == Approx(70.0).margin(1e-4));
    }
}

TEST_CASE("Refinement is the same surface and the same field") {
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> any(-5.0, 5.0);
    for (const auto& [nu, nv] : {std::pair{4, 4}, {5, 7}, {13, 9}}) {
        SplineSurface s{{nu, 30.0}, {nv, 20.0}, {}};
        SplineField f{s.u, s.v, {}};
        for (int i = 0; i < nu * nv; ++i) {
            s.control.emplace_back(any(random), any(random), any(random));
            f.control.push_back(any(random));
        }
        const SplineSurface fine = refine(s);
        const SplineField fine_field = refine(f);
        REQUIRE(fine.u.spans() == 2 * s.u.spans());
        for (int k = 0; k < 200; ++k) {
            const Vec2 uv(3.0 * (any(random) + 5.0), 2.0 * (any(random) + 5.0));
            CHECK((fine.point(uv) - s.point(uv)).norm() < 1e-12);
            CHECK(std::abs(fine_field.value(uv) - f.value(uv)) < 1e-12);
        }
    }
}
