// Measuring against closed forms: planes, spheres, cylinders, triangles.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "editor/view/measure.hpp"
#include "tests/picture/synthetic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::editor;
using picture::SectionCut;

namespace {

Vec3 random_place(std::mt19937_64& random, double reach) {
    std::uniform_real_distribution<double> at(-reach, reach);
    return {at(random), at(random), at(random)};
}

}  // namespace

TEST_CASE("angles and circles of three places") {
    CHECK(*view::angle_at({1, 0, 0}, {0, 0, 0}, {0, 5, 0}) == Approx(90.0));
    CHECK(*view::angle_at({1, 0, 0}, {0, 0, 0}, {-2, 0, 0}) == Approx(180.0));
    CHECK(*view::angle_at({1, 0, 0}, {0, 0, 0}, {3, 0, 0}) == Approx(0.0).margin(1e-9));
    CHECK_FALSE(view::angle_at({1, 0, 0}, {1, 0, 0}, {3, 0, 0}));
    CHECK_FALSE(view::radius_through({0, 0, 0}, {1, 1, 1}, {2, 2, 2}));
    CHECK_FALSE(view::radius_through({0, 0, 0}, {0, 0, 0}, {2, 2, 2}));
    const int count = tests::cases(20000, 2000, "triangles");
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> turn(0, 2 * std::numbers::pi), size(0.5, 80);
    for (int i = 0; i < count; ++i) {
        // three places of a circle anywhere in space
        const Vec3 middle = random_place(random, 100), a = random_place(random, 1).normalized();
        const Vec3 b = a.cross(random_place(random, 1)).normalized();
        const double radius = size(random), s = turn(random);
        std::uniform_real_distribution<double> apart(0.3, 1.8);
        const double t = s + apart(random), u = t + apart(random);
        const auto on = [&](double angle) {
            return Vec3(middle + radius * (std::cos(angle) * a + std::sin(angle) * b));
        };
        const auto found = view::radius_through(on(s), on(t), on(u));
        REQUIRE(found);
        CHECK(*found == Approx(radius).epsilon(1e-7));
        // the angle at the circle is half of that at its middle
        CHECK(*view::angle_at(on(s), on(u), on(t)) ==
              Approx(0.5 * (t - s) * 180 / std::numbers::pi).epsilon(1e-6));
    }
}

TEST_CASE("a tape on a sphere lies along its great circle, on a plane it is straight") {
    const double radius = 40;
    const TriangleMesh sphere = picture::synthetic::sphere({5, -3, 12}, radius, 120);
    const Vec3 middle(5, -3, 12);
    const int count = tests::cases(200, 20, "tapes on a sphere");
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> turn(0.05, 1.5), about(0, 2 * std::numbers::pi);
    for (int i = 0; i < count; ++i) {
        // in an upright plane through the middle, both on the upper half
        const double way = about(random), low = -turn(random), high = turn(random);
        const Vec3 along(std::cos(way), std::sin(way), 0);
        const auto at = [&](double lean) {
            return Vec3(middle + radius * (std::sin(lean) * along + std::cos(lean) * Vec3::UnitZ()));
        };
        const auto length = view::along_surface(sphere, at(low), at(high));
        REQUIRE(length);
        // of a polygon round the circle: a little short
        CHECK(*length <= radius * (high - low) + 1e-6);
        CHECK(*length == Approx(radius * (high - low)).epsilon(1e-3));
        CHECK(*length >= (at(high) - at(low)).norm() * 0.999);
    }
    // one over the other: across the foot, half round
    const auto half =
        view::along_surface(sphere, middle + radius * Vec3::UnitZ(), middle - radius * Vec3::UnitZ());
    REQUIRE(half);
    CHECK(*half == Approx(std::numbers::pi * radius).epsilon(1e-3));
    CHECK_FALSE(view::along_surface(sphere, middle + Vec3(0, 0, 60), middle - Vec3(0, 0, 60)));
    TriangleMesh plane;
    plane.points = {{-50, -50, 1}, {50, -50, 1}, {50, 50, 1}, {-50, 50, 1}};
    plane.triangles = {{0, 1, 2}, {0, 2, 3}};
    CHECK(*view::along_surface(plane, {-20, 3, 1}, {31, 17, 1}) == Approx(std::hypot(51, 14)));
}

TEST_CASE("the bend of a section is its circle") {
    const Vec3 middle(0, 0, 30);
    const double radius = 30;
    const TriangleMesh sphere = picture::synthetic::sphere(middle, radius, 160);
    for (const double x : {0.0, 8.0, 18.0}) {
        const SectionCut cut{0, x + 1e-3, "F", ""};
        const auto section = picture::cut_section(sphere, cut);
        const double expected = std::sqrt(radius * radius - x * x);
        const Vec3 place(x, 0, 30 - expected);
        const auto raised = view::bend_at(section, cut, place, -Vec3::UnitZ());
        REQUIRE(raised);
        CHECK(raised->radius_mm == Approx(expected).epsilon(0.02));
        CHECK_FALSE(raised->hollow);  // seen from outside
        CHECK(view::bend_at(section, cut, place, Vec3::UnitZ())->hollow);
    }
    TriangleMesh plane;
    plane.points = {{-50, -50, 1}, {50, -50, 1}, {50, 50, 6}, {-50, 50, 6}};
    plane.triangles = {{0, 1, 2}, {0, 2, 3}};
    const SectionCut cut{0, 3, "F", ""};
    CHECK_FALSE(view::bend_at(picture::cut_section(plane, cut), cut, {3, 0, 3.5}, Vec3::UnitZ()));
    CHECK_FALSE(view::bend_at({}, cut, {3, 0, 3.5}, Vec3::UnitZ()));
}

TEST_CASE("a section along a line is that of the axis it lies on") {
    const TriangleMesh sphere = picture::synthetic::sphere({10, 0, 30}, 30, 60);
    const SectionCut axis{0, 17.003, "F", ""};
    const SectionCut line{2, 0, "A", "", {{17.003, -20}, {17.003, 35}}};
    const auto a = picture::cut_section(sphere, axis), b = picture::cut_section(sphere, line);
    REQUIRE(a.size() == 1);
    REQUIRE(b.size() == 1);
    CHECK(a[0].length() == Approx(b[0].length()).epsilon(1e-9));
    for (const Vec3& p : b[0].points) {
        CHECK(std::abs(line.off(p)) < 1e-9);
        CHECK(line.across(p) == Approx(p.y() + 20).margin(1e-9));
        CHECK((line.place(line.across(p), p.z()) - p).norm() < 1e-9);
    }
    const SectionCut sagittal{1, -4, "S", ""};
    CHECK(sagittal.place(12, 3) == Vec3(12, -4, 3));
    CHECK(sagittal.across({12, -4, 3}) == 12);
}
