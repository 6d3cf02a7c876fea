// The wall map against closed forms.
#include "engine/design/wall_map.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/base/tolerances.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::design;

namespace {

const DevicePlan length{-30, 150};
constexpr int circle_points = 64;
/// A periodic cubic spline through n points of a circle of radius r misses it by less than r (pi/n)^4
/// (measured below, too).
double circle_error(double r) {
    return r * std::pow(std::numbers::pi / circle_points, 4);
}

WallRegion circle(double x, double y, double r, double wall, double blend, bool clockwise = false) {
    WallRegion region;
    region.name = "circle";
    for (int i = 0; i < circle_points; ++i) {
        const double a = 2 * std::numbers::pi * (clockwise ? -i : i) / circle_points;
        region.outline.emplace_back(x + r * std::cos(a), y + r * std::sin(a));
    }
    region.wall_mm = wall;
    region.blend_mm = blend;
    return region;
}

double smoothstep(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

Material material(double low, double high) {
    Material m;
    m.name = "trial";
    m.wall_min_mm.value = low;
    m.wall_max_mm.value = high;
    return m;
}

}  // namespace

TEST_CASE("wall map: the base alone is the same everywhere", "[wall]") {
    const WallMap map(Wall{3.2, {}, {}}, length);
    CHECK(map.at(-1000, 7) == 3.2);
    CHECK(map.at(60, -20) == 3.2);
    CHECK(map.min() == 3.2);
    CHECK(map.max() == 3.2);
    CHECK(map.steepest({-30, -40}, {150, 40}).mm_per_mm == 0);
}

TEST_CASE("wall map: stations are met, monotone between and constant beyond", "[wall]") {
    const Wall wall{9, {{0, 3.5}, {0.3, 3.5}, {0.7, 2.5}, {0.9, 2.0}, {1, 2.2}}, {}};
    const WallMap map(wall, length);
    for (const WallStation& s : wall.stations)
        CHECK(map.at(-30 + 180 * s.along, 5) == Approx(s.wall_mm).epsilon(1e-14));
    CHECK(map.at(-100, 0) == 3.5);
    CHECK(map.at(400, 0) == 2.2);
    CHECK(map.min() == 2.0);
    CHECK(map.max() == 3.5);
    double before = map.at(-30, 0);
    for (double along = 0; along <= 0.9; along += 0.001) {
        const double now = map.at(-30 + 180 * along, 0);
        CHECK(now <= before + 1e-12);
        before = now;
    }
    for (double along = 0; along <= 1; along += 0.01) {
        const double w = map.at(-30 + 180 * along, 0);
        CHECK(w >= map.min() - 1e-12);
        CHECK(w <= map.max() + 1e-12);
    }
}

TEST_CASE("wall map: two stations give the cubic with flat ends", "[wall]") {
    // slopes zero at both ends: the cubic is the smoothstep; steepest in the middle, 1.5 times the mean
    const WallMap map(Wall{3, {{0, 4}, {1, 2}}, {}}, length);
    for (double t = 0; t <= 1; t += 0.05)
        CHECK(map.at(-30 + 180 * t, 0) == Approx(4 - 2 * smoothstep(t)).epsilon(1e-13));
    const auto slope = map.steepest({-30, -10}, {150, 10});
    CHECK(slope.mm_per_mm == Approx(1.5 * 2 / 180).epsilon(1e-6));
    CHECK(slope.where.x() == Approx(60).margin(1));
}

TEST_CASE("wall map: a round region blends as its closed form, either way round", "[wall]") {
    for (const bool clockwise : {false, true}) {
        const double r = 25, blend = 15;
        const WallMap map(Wall{3.2, {}, {circle(60, 10, r, 2.4, blend, clockwise)}}, length);
        double worst = 0;
        for (int i = 0; i < 400; ++i) {
            const double rho = 0.1 * i, a = 0.37 * i;
            const double expected = 3.2 - 0.8 * smoothstep(0.5 + (r - rho) / blend);
            worst =
                std::max(worst, std::abs(map.at(60 + rho * std::cos(a), 10 + rho * std::sin(a)) - expected));
        }
        CHECK(worst < 1.5 * 0.8 / blend * circle_error(r) * 1.01 + 1e-9);
        // steepest on the curve: 1.5 times the step over the blend
        const auto slope = map.steepest({0, -50}, {120, 70});
        CHECK(slope.mm_per_mm == Approx(1.5 * 0.8 / blend).epsilon(1e-6));
        CHECK((slope.where - Vec2(60, 10)).norm() == Approx(r).margin(1e-3));
    }
}

TEST_CASE("wall map: the gradient is that of the wall, and the wall is smooth", "[wall]") {
    std::mt19937_64 random(tests::seed());
    const Wall wall{
        3, {{0.1, 3.4}, {0.5, 3.0}, {0.9, 2.6}}, {circle(40, 0, 30, 4.0, 15), circle(80, 15, 20, 2.2, 10)}};
    const WallMap map(wall, length);
    const double h = 1e-5;
    for (int i = tests::cases(5000, 500, "wall gradients"); i > 0; --i) {
        const double x = tests::uniform(random, -40, 160), y = tests::uniform(random, -50, 50);
        // The middle of a circle is its medial axis: the blends end before it.
        const WallMap::Sample s = map.sample(x, y);
        const double dx = (map.at(x + h, y) - map.at(x - h, y)) / (2 * h);
        const double dy = (map.at(x, y + h) - map.at(x, y - h)) / (2 * h);
        INFO(x << " " << y);
        // The second derivative of the blend jumps at its ends: differences across them are off by h/2 times
        // that jump, 6 x 1.8 / 10^2.
        CHECK(s.gradient.x() == Approx(dx).margin(2e-6));
        CHECK(s.gradient.y() == Approx(dy).margin(2e-6));
        CHECK(s.wall_mm >= map.min() - 1e-12);
        CHECK(s.wall_mm <= map.max() + 1e-12);
    }
}

TEST_CASE("wall map: the higher priority wins, else the later", "[wall]") {
    WallRegion low = circle(50, 0, 30, 2, 4), high = circle(60, 0, 30, 5, 4);
    CHECK(WallMap(Wall{3, {}, {low, high}}, length).at(55, 0) == Approx(5));
    CHECK(WallMap(Wall{3, {}, {high, low}}, length).at(55, 0) == Approx(2));
    high.priority = 1;
    CHECK(WallMap(Wall{3, {}, {high, low}}, length).at(55, 0) == Approx(5));
    const WallMap map(Wall{3, {}, {high, low}}, length);
    const WallMap copy = map;
    CHECK(copy.at(55, 0) == map.at(55, 0));
    CHECK(copy.at(0, 90) == 3);
}

TEST_CASE("wall map: distance to a crescent is that to its nearest side", "[wall]") {
    // A thin bent region: many local nearest points; compared with a brute-force search of the same curve.
    WallRegion bent;
    for (int i = 0; i <= 12; ++i)
        bent.outline.emplace_back(60 + 40 * std::cos(0.25 * i), 40 * std::sin(0.25 * i));
    for (int i = 12; i >= 0; --i)
        bent.outline.emplace_back(60 + 30 * std::cos(0.25 * i), 30 * std::sin(0.25 * i));
    bent.wall_mm = 4;
    bent.blend_mm = 6;
    const WallMap map(Wall{3, {}, {bent}}, length);
    const auto curve = surface::PeriodicCurve::through(bent.outline);
    std::vector<Vec2> fine;
    for (int i = 0; i < 26 * 2000; ++i) fine.push_back(curve.point(i / 2000.0));
    const surface::Outline outline(curve, 64);
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(2000, 150, "crescent distances"); i > 0; --i) {
        const Vec2 p{tests::uniform(random, 10, 110), tests::uniform(random, -20, 50)};
        double least = 1e300;
        for (const Vec2& q : fine) least = std::min(least, (p - q).norm());
        const double inside = outline.inside(p) ? least : -least;
        INFO(p.transpose());
        CHECK(map.at(p.x(), p.y()) == Approx(3 + smoothstep(0.5 + inside / 6)).margin(1e-4));
    }
}

TEST_CASE("wall map: the wall is checked against the material and names the item", "[wall][checks]") {
    Wall wall{3, {}, {circle(50, 0, 30, 2.2, 10)}};
    wall.regions[0].name = "arch";
    auto checks = check_wall(wall, material(2, 6));
    CHECK(checks[0].verdict == Verdict::pass);
    CHECK(checks[1].verdict == Verdict::pass);
    checks = check_wall(wall, material(2.5, 6));
    CHECK(checks[0].id == "wall.material");
    CHECK(checks[0].verdict == Verdict::stop);
    CHECK_FALSE(checks[0].signable);
    CHECK(checks[0].figure == 2.2);
    CHECK_THAT(checks[0].message, Catch::Contains("\"arch\"") && Catch::Contains("2.2 mm"));
    checks = check_wall(wall, material(2, 2.5));
    CHECK(checks[0].verdict == Verdict::look);
    CHECK_THAT(checks[0].message, Catch::Contains("wall.base_mm"));
    wall.stations = {{0, 3}, {1, 1}};
    CHECK_THAT(check_wall(wall, material(2, 6))[0].message, Catch::Contains("stations[1]"));
}

TEST_CASE("wall map: faulty regions are stopped, narrow ones are shown", "[wall][checks]") {
    Wall wall;
    wall.regions.resize(1);
    wall.regions[0].name = "eight";
    wall.regions[0].outline = {{0, 0}, {40, 30}, {40, 0}, {0, 30}};
    auto checks = check_wall(wall, material(1, 6));
    CHECK(checks[1].verdict == Verdict::stop);
    CHECK_THAT(checks[1].message, Catch::Contains("\"eight\""));
    wall.regions[0].outline = {{0, 0}, {0, 0}, {0, 0}};
    CHECK(check_wall(wall, material(1, 6))[1].verdict == Verdict::stop);
    CHECK(std::isfinite(WallMap(wall, length).at(0, 0)));

    wall.regions[0] = circle(50, 0, 5, 4.2, 20);  // half of the blend is 10, twice the radius
    checks = check_wall(wall, material(1, 6));
    CHECK(checks[1].verdict == Verdict::look);
    REQUIRE(checks[1].figure);
    CHECK(*checks[1].figure == Approx(1.0 * (1 - smoothstep(0.5 + 5.0 / 20))).margin(0.01));
    CHECK(checks[1].where->x() == Approx(50).margin(1));
}

TEST_CASE("wall map: a steep blend is shown with its place", "[wall][checks]") {
    const WallMap gentle(Wall{4, {}, {circle(50, 0, 30, 2.2, 15)}}, length);
    CHECK(check_wall_slope(gentle, {0, -40}, {100, 40}).verdict == Verdict::pass);
    const WallMap steep(Wall{4, {}, {circle(50, 0, 30, 2.2, 4)}}, length);
    const Check check = check_wall_slope(steep, {0, -40}, {100, 40});
    CHECK(check.verdict == Verdict::look);
    CHECK(*check.figure == Approx(1.5 * 1.8 / 4).epsilon(1e-6));
    CHECK((check.where->head<2>() - Vec2(50, 0)).norm() == Approx(30).margin(0.01));
}
