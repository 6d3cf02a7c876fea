#include "engine/surface/loop.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

PeriodicCurve random_star(std::mt19937_64& random) {
    std::uniform_real_distribution<double> radius(10.0, 40.0), place(-100.0, 100.0);
    std::uniform_int_distribution<int> count(5, 60);
    const Vec2 centre(place(random), place(random));
    const int n = count(random);
    std::vector<Vec2> points;
    for (int i = 0; i < n; ++i) {
        const double a = 2.0 * std::numbers::pi * i / n;
        points.push_back(centre + radius(random) * Vec2(std::cos(a), std::sin(a)));
    }
    return PeriodicCurve::through(points);
}

double brute_distance(const std::vector<Vec2>& p, const Vec2& q) {
    double best = 1e300;
    for (std::size_t i = 0; i < p.size(); ++i) {
        const Vec2 a = p[i], e = p[(i + 1) % p.size()] - a;
        const double t = std::clamp((q - a).dot(e) / e.squaredNorm(), 0.0, 1.0);
        best = std::min(best, (q - a - t * e).norm());
    }
    return best;
}

// Winding number by summed angles: another method than the one under test.
bool brute_inside(const std::vector<Vec2>& p, const Vec2& q) {
    double turn = 0.0;
    for (std::size_t i = 0; i < p.size(); ++i) {
        const Vec2 a = p[i] - q, b = p[(i + 1) % p.size()] - q;
        turn += std::atan2(a.x() * b.y() - a.y() * b.x(), a.dot(b));
    }
    return static_cast<long>(std::lround(turn / (2.0 * std::numbers::pi))) % 2 != 0;
}

int brute_crossings(const std::vector<Vec2>& p) {
    const auto turn = [](const Vec2& a, const Vec2& b, const Vec2& c) {
        return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
    };
    const std::size_t n = p.size();
    int count = 0;
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = i + 2; j < n; ++j) {
            if (i == 0 && j + 1 == n) continue;
            const Vec2 &a = p[i], &b = p[(i + 1) % n], &c = p[j], &d = p[(j + 1) % n];
            count += turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
        }
    return count;
}

}  // namespace

TEST_CASE("A periodic curve goes through its points with two continuous derivatives") {
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> any(-50.0, 50.0);
    for (std::size_t n : {3u, 4u, 7u, 40u}) {
        std::vector<Vec2> points;
        for (std::size_t i = 0; i < n; ++i) points.emplace_back(any(random), any(random));
        const PeriodicCurve c = PeriodicCurve::through(points);
        const double h = 1e-9;
        for (std::size_t i = 0; i < n; ++i) {
            const double s = static_cast<double>(i);
            CHECK((c.point(s) - points[i]).norm() < 1e-10);
            CHECK((c.tangent(s - h) - c.tangent(s + h)).norm() < 1e-5);
            CHECK((c.second(s - h) - c.second(s + h)).norm() < 1e-5);
            const double x = s + 0.3, d = 1e-5;
            CHECK((c.tangent(x) - (c.point(x + d) - c.point(x - d)) / (2 * d)).norm() < 1e-5);
            CHECK((c.second(x) - (c.tangent(x + d) - c.tangent(x - d)) / (2 * d)).norm() < 1e-5);
        }
    }
}

TEST_CASE("The area of a circle converges at least with the second order and is signed by its sense") {
    const double exact = std::numbers::pi * 20.0 * 20.0;
    const double coarse = std::abs(uv_circle({5, 6}, 20.0, 12).signed_area() - exact);
    const double fine = std::abs(uv_circle({5, 6}, 20.0, 24).signed_area() - exact);
    CHECK(fine < 0.15);
    CHECK(coarse / fine > 3.9);
    PeriodicCurve back = uv_circle({5, 6}, 20.0, 24);
    std::reverse(back.control.begin(), back.control.end());
    CHECK(back.signed_area() == Approx(-exact).epsilon(1e-3));
}

TEST_CASE("Inside, distance and crossings agree with counting every edge") {
    std::mt19937_64 random(seed());
    const int count = cases(200, 20, "outlines");
    for (int k = 0; k < count; ++k) {
        const Outline outline(random_star(random));
        const std::vector<Vec2>& p = outline.points();
        CHECK(outline.self_crossings() == brute_crossings(p));
        std::uniform_real_distribution<double> near(-60.0, 60.0);
        Vec2 middle = Vec2::Zero();
        for (const Vec2& q : p) middle += q / static_cast<double>(p.size());
        for (int i = 0; i < 300; ++i) {
            const double reach = i % 10 == 0 ? 40.0 : 1.0;  // some far outside
            const Vec2 q = middle + reach * Vec2(near(random), near(random));
            CHECK(outline.distance(q) == Approx(brute_distance(p, q)).margin(1e-10));
            CHECK(outline.inside(q) == brute_inside(p, q));
        }
        // straight above corners of the polygon, where a careless count doubles
        for (std::size_t i = 0; i < p.size(); i += 7) {
            const Vec2 q(middle.x(), p[i].y());
            CHECK(outline.inside(q) == brute_inside(p, q));
        }
    }
}

TEST_CASE("A figure of eight crosses itself once, a circle never") {
    std::vector<Vec2> eight;
    for (int i = 0; i < 32; ++i) {
        const double a = 2.0 * std::numbers::pi * (i + 0.3) / 32;
        eight.emplace_back(30.0 * std::sin(a), 10.0 * std::sin(2.0 * a));
    }
    CHECK(Outline(PeriodicCurve::through(eight)).self_crossings() == 1);
    CHECK(Outline(uv_circle({0, 0}, 10.0)).self_crossings() == 0);
    const Outline square({Vec2(0, 0), Vec2(2, 0), Vec2(2, 2), Vec2(0, 2)});
    CHECK(square.inside({1, 1}));
    CHECK_FALSE(square.inside({3, 1}));
    CHECK(square.distance({4, 1}) == Approx(2.0));
    CHECK(square.distance({1, 1}) == Approx(1.0));
}
