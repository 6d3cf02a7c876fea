// The polygon of an outline, and distances from its edge: closed forms and brute force.
#include "engine/shoe/outline.hpp"

#include "assets/generator/random.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/shoe/clearance.hpp"
#include "tests/shoe/drawings.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::tests;
using Catch::Contains;

TEST_CASE("outline: area, centre and moments of a rectangle, wherever it lies and either way round") {
    for (const Vec2& at : {Vec2(0.0, 0.0), Vec2(5000.0, -3000.0)})
        for (const bool clockwise : {false, true}) {
            std::vector<Vec2> corners = {at, at + Vec2(100, 0), at + Vec2(100, 40), at + Vec2(0, 40)};
            if (clockwise) std::reverse(corners.begin(), corners.end());
            const shoe::Outline r = polygon(corners);
            CHECK(r.area() == Approx(4000.0));
            CHECK((r.centre() - (at + Vec2(50, 20))).norm() < 1e-9);
            const Vec3 m = r.moments();
            CHECK(m[0] == Approx(40.0 * 100.0 * 100.0 * 100.0 / 12.0));
            CHECK(std::abs(m[1]) < 1e-4);
            CHECK(m[2] == Approx(100.0 * 40.0 * 40.0 * 40.0 / 12.0));
            const auto s = r.section(at.x() + 30.0);
            CHECK(s.low == Approx(at.y()));
            CHECK(s.high == Approx(at.y() + 40.0));
            CHECK(r.section(at.x() - 1.0).empty);
        }
}

TEST_CASE("outline: a line that meets itself is refused with the place") {
    const auto bow = shoe::Outline::of({{0, 0}, {100, 100}, {100, 0}, {0, 100}}, "bow.svg");
    REQUIRE_FALSE(bow.ok());
    CHECK_THAT(bow.fault().message, Contains("bow.svg") && Contains("crosses") && Contains("50.0"));
    // touching a side with a corner, turning back on itself, a point twice
    CHECK_FALSE(shoe::Outline::of({{0, 0}, {100, 0}, {100, 50}, {50, 0}, {0, 50}}, "x").ok());
    CHECK_FALSE(shoe::Outline::of({{0, 0}, {100, 0}, {40, 0}, {40, 50}}, "x").ok());
    CHECK_FALSE(shoe::Outline::of({{0, 0}, {50, 50}, {100, 0}, {100, 100}, {50, 50}, {0, 100}}, "x").ok());
    CHECK_FALSE(shoe::Outline::of({{0, 0}, {1, 1}}, "x").ok());
    CHECK_FALSE(shoe::Outline::of({{0, 0}, {1, 1}, {std::nan(""), 0}}, "x").ok());
    CHECK_FALSE(shoe::Outline::of({{0, 0}, {1e9, 1}, {0, 1}}, "x").ok());
    // points that stand twice in a row are one
    CHECK(polygon({{0, 0}, {0, 0}, {100, 0}, {100, 50}, {100, 50}, {0, 0}}).points().size() == 3);
}

TEST_CASE("outline: random star shapes are simple, and crossed ones are not") {
    generator::Random random(tests::seed() + 31);
    for (int i = tests::cases(2000, 200, "star shapes"); i > 0; --i) {
        const int n = 5 + static_cast<int>(random.between(0, 200));
        std::vector<Vec2> points;
        for (int k = 0; k < n; ++k) {
            const double angle = 2.0 * pi * (k + random.between(0.05, 0.95)) / n;
            points.push_back(random.between(20, 100) * Vec2(std::cos(angle), std::sin(angle)));
        }
        REQUIRE(shoe::Outline::of(points, "star").ok());
        // a tooth through the base
        const std::vector<Vec2> crossed = {
            {-200, -200}, {200, -200}, {200, 200}, {random.between(-150, 150), -250}};
        REQUIRE_FALSE(shoe::Outline::of(crossed, "crossed").ok());
    }
}

TEST_CASE("edge: distances of a disc are its radius less the distance to its middle") {
    const Vec2 centre(12, -7);
    const double radius = 80.0;
    const shoe::Edge edge(disc(centre, radius, 20'000));
    generator::Random random(tests::seed() + 32);
    for (int i = tests::cases(20'000, 2'000, "places about a disc"); i > 0; --i) {
        const Vec2 p{random.between(-300, 300), random.between(-300, 300)};
        const shoe::Past past = edge.past(p);
        const double truth = (p - centre).norm() - radius;
        // corners within a tenth of outline_chord_mm of a side are left out
        constexpr double off = 0.1 * tolerance::outline_chord_mm + 1e-5;
        REQUIRE(std::abs(past.mm - truth) < off);
        REQUIRE((past.nearest - centre).norm() == Approx(radius).margin(off));
        if ((p - centre).norm() > 1.0 && std::abs(truth) > 1.0)
            REQUIRE((past.outward - (p - centre).normalized()).norm() < 2e-2);
    }
}

TEST_CASE("edge: distances from random polygons are those of brute force") {
    generator::Random random(tests::seed() + 33);
    for (int i = tests::cases(500, 60, "polygons"); i > 0; --i) {
        const int n = 3 + static_cast<int>(random.between(0, 60));
        std::vector<Vec2> points;
        for (int k = 0; k < n; ++k) {
            const double angle = 2.0 * pi * (k + random.between(0.05, 0.95)) / n;
            points.push_back(
                Vec2{random.between(20, 150) * std::cos(angle), random.between(20, 60) * std::sin(angle)});
        }
        const auto made = shoe::Outline::of(points, "star");
        if (!made) continue;  // with few points an ellipse of unequal reach may cross
        const shoe::Edge edge(*made);
        for (int k = 0; k < 40; ++k) {
            const Vec2 p{random.between(-250, 250), random.between(-120, 120)};
            double best = 1e9, winding = 0.0;
            const auto& q = made->points();
            for (std::size_t j = 0; j < q.size(); ++j) {
                const Vec2 a = q[j], b = q[(j + 1) % q.size()];
                const double t = std::clamp((p - a).dot(b - a) / (b - a).squaredNorm(), 0.0, 1.0);
                best = std::min(best, (p - a - t * (b - a)).norm());
                const Vec2 u = a - p, v = b - p;
                winding += std::atan2(u.x() * v.y() - u.y() * v.x(), u.dot(v));
            }
            const double truth = std::abs(winding) > pi ? -best : best;
            REQUIRE(edge.past(p).mm == Approx(truth).margin(0.1 * tolerance::outline_chord_mm));
        }
    }
}
