// Painted curves against closed forms of disc and stadium, and against the exact union of random strokes.
#include "engine/pattern/brush.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/surface/loop.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::pattern;
using Catch::Contains;
using std::numbers::pi;

namespace {

constexpr std::size_t most = 400;

double area_within(const Region& region) {
    double sum = 0.0;
    for (const Ring& ring : region.rings()) sum += signed_area(ring);
    return sum;
}

surface::Outline drawn(const std::vector<Vec2>& outline) {
    return surface::Outline(surface::PeriodicCurve::through(outline));
}

std::vector<Vec2> polygon_of(const std::vector<Vec2>& outline) {
    return drawn(outline).points();
}

/// Simple, counter-clockwise, on the grid, near the border of `exact` and the border near it.
void follows(const std::vector<Vec2>& outline, const Ring& exact, double within) {
    REQUIRE(outline.size() >= 4);
    const surface::Outline curve = drawn(outline);
    CHECK(curve.self_crossings() == 0);
    CHECK(surface::PeriodicCurve::through(outline).signed_area() > 0);
    for (const Vec2& p : outline)
        CHECK((p - Vec2(std::round(p.x() * 10) / 10, std::round(p.y() * 10) / 10)).norm() == 0.0);
    const surface::Outline border(exact);
    double most_off = 0;
    for (const Vec2& p : curve.points()) most_off = std::max(most_off, border.distance(p));
    for (const Vec2& p : exact) most_off = std::max(most_off, curve.distance(p));
    CHECK(most_off <= within);
}

std::vector<Vec2> only(const Painted& painted) {
    REQUIRE(painted.changes.size() == 1);
    REQUIRE(painted.changes[0].outlines.size() == 1);
    return painted.changes[0].outlines[0];
}

/// A walk that turns by a little at every step: what a hand draws. `turn`: the most of each step, radians.
std::vector<Vec2> walk(std::mt19937_64& random, int steps, double turn) {
    std::uniform_real_distribution<double> share(-1.0, 1.0);
    const double x = 80.0 + 40.0 * share(random);
    const double y = 25.0 * share(random);
    double way = pi * share(random), bend = 0;
    std::vector<Vec2> path{Vec2(x, y)};
    for (int i = 0; i < steps; ++i) {
        bend = 0.7 * bend + turn * share(random);
        way += bend;
        const double step = 2.0 + share(random);
        path.push_back(path.back() + step * Vec2(std::cos(way), std::sin(way)));
    }
    return path;
}

/// Without its holes.
Region filled(const Region& region) {
    Region whole;
    for (const Ring& ring : region.rings())
        if (signed_area(ring) > 0) whole = whole.joined(Region(ring));
    return whole;
}

}  // namespace

TEST_CASE("brush: a dab is a disc, of few points", "[brush]") {
    for (const double radius : {2.0, 5.0, 9.3, 20.0, 40.0}) {
        INFO(radius);
        const auto painted = paint({}, {Vec2(72.4, -11.3)}, radius, most);
        REQUIRE(painted.ok());
        CHECK(painted->told.empty());
        CHECK(painted->changes[0].name.empty());
        const auto outline = only(*painted);
        CHECK(outline.size() <= 12);
        const double area = surface::PeriodicCurve::through(outline).signed_area();
        CHECK(area == Approx(pi * radius * radius).epsilon(0.015));
        for (const Vec2& p : polygon_of(outline))
            CHECK(std::abs((p - Vec2(72.4, -11.3)).norm() - radius) <= brush_fit(radius) + 0.01);
        CHECK(area_within(swept({Vec2(72.4, -11.3)}, radius)) == Approx(pi * radius * radius).epsilon(0.005));
    }
}

TEST_CASE("brush: a straight stroke is a stadium", "[brush]") {
    for (const double side : {1.0, -1.0})  // medial, lateral
        for (const double radius : {3.0, 8.0, 15.0}) {
            INFO(radius);
            const Vec2 from(40, side * 5), to(95, side * 22);
            std::vector<Vec2> path;
            for (int i = 0; i <= 20; ++i) path.push_back(from + (to - from) * i / 20.0);
            const double exact = pi * radius * radius + 2 * radius * (to - from).norm();
            CHECK(area_within(swept(path, radius)) == Approx(exact).epsilon(0.003));
            const auto painted = paint({}, path, radius, most);
            REQUIRE(painted.ok());
            const auto outline = only(*painted);
            CHECK(outline.size() <= 24);
            follows(outline, swept(path, radius).rings().front(), brush_fit(radius) + 0.01);
            CHECK(surface::PeriodicCurve::through(outline).signed_area() == Approx(exact).epsilon(0.02));
        }
}

TEST_CASE("brush: random strokes are simple curves about the exact union", "[brush]") {
    std::mt19937_64 random(tests::seed());
    const int count = tests::cases(400, 40, "strokes of a brush");
    std::size_t points = 0;
    for (int n = 0; n < count; ++n) {
        INFO("stroke " << n);
        std::uniform_real_distribution<double> radii(2.0, 16.0);
        const double radius = radii(random);
        const auto path = walk(random, 3 + n % 30, 0.35);
        const auto painted = paint({}, path, radius, most);
        REQUIRE(painted.ok());
        const auto outline = only(*painted);
        points += outline.size();
        const Region exact = filled(swept(path, radius));
        REQUIRE(exact.rings().size() == 1);
        CHECK(surface::PeriodicCurve::through(outline).signed_area() ==
              Approx(area_within(exact)).epsilon(0.02));
        // what is drawn again is the same curve
        CHECK(only(*paint({}, path, radius, most)) == outline);
        // notches that are filled apart
        const double fill = std::min(brush_round_share * radius, brush_round_mm);
        const Ring closed = exact.closed(fill).largest();
        const surface::Outline border(closed);
        double off = 0;
        for (const Vec2& p : polygon_of(outline)) off = std::max(off, border.distance(p));
        CHECK(off <= brush_fit(radius) + 0.02);
        CHECK(drawn(outline).self_crossings() == 0);
    }
    CHECK(static_cast<double>(points) / count < 40.0);
}

TEST_CASE("brush: strokes join what they meet, and points that were not painted over stay", "[brush]") {
    const std::vector<Vec2> left{{40, -20}, {40, 0}, {60, 0}, {60, -20}},
        right{{90, -20}, {90, 0}, {110, 0}, {110, -20}};
    const std::vector<PaintedCurve> curves{
        {"heel", left}, {"other", {{150, -5}, {150, 5}, {160, 0}}}, {"arch", right}};
    // beside both: a curve of its own
    const auto apart = paint(curves, {Vec2(75, 30)}, 6, most);
    REQUIRE(apart.ok());
    CHECK(apart->changes[0].name.empty());
    // along both: one, under the first name
    const std::vector<Vec2> bridge{{50, -10}, {75, -10}, {100, -10}};
    const auto one = paint(curves, bridge, 6, most);
    REQUIRE(one.ok());
    REQUIRE(one->changes.size() == 2);
    CHECK(one->changes[0].name == "heel");
    CHECK(one->changes[1].name == "arch");
    CHECK(one->changes[1].outlines.empty());
    const Region exact = held_by(left).joined(held_by(right)).joined(swept(bridge, 6));
    const auto& outline = one->changes[0].outlines[0];
    follows(outline, exact.closed(brush_round_mm).largest(), brush_fit(6) + 0.02);
    CHECK(surface::PeriodicCurve::through(outline).signed_area() == Approx(area_within(exact)).epsilon(0.02));
    for (const Vec2& p : left) CHECK(std::find(outline.begin(), outline.end(), p) != outline.end());
    for (const Vec2& p : right) CHECK(std::find(outline.begin(), outline.end(), p) != outline.end());
    // within what is there nothing changes
    const auto within = paint(curves, {Vec2(50, -10)}, 3, most);
    REQUIRE(within.ok());
    CHECK(within->changes.empty());
    // what does not join stays apart
    auto kept = curves;
    kept[0].joins = false;
    CHECK(paint(kept, bridge, 6, most)->changes.size() == 1);
    CHECK(paint(kept, bridge, 6, most)->changes[0].name == "arch");
}

TEST_CASE("brush: a hole is closed and said; a cut splits, and leaves no hole", "[brush]") {
    std::vector<Vec2> round;
    for (int i = 0; i <= 40; ++i)
        round.push_back(Vec2(80, 0) + 20.0 * Vec2(std::cos(pi * i / 20), std::sin(pi * i / 20)));
    const auto ring = paint({}, round, 4, most);
    REQUIRE(ring.ok());
    CHECK_THAT(ring->told, Contains("hole"));
    CHECK(surface::PeriodicCurve::through(only(*ring)).signed_area() == Approx(pi * 24 * 24).epsilon(0.02));

    const std::vector<Vec2> block{{50, -20}, {50, 20}, {110, 20}, {110, -20}};
    const std::vector<PaintedCurve> curves{{"block", block}};
    const auto hole = cut(curves, {Vec2(80, 0)}, 5, most);
    REQUIRE_FALSE(hole.ok());
    CHECK_THAT(hole.fault().message, Contains("hole"));
    CHECK_FALSE(cut(curves, {Vec2(200, 0)}, 5, most).ok());
    // across, nearer to one end: two, the larger first
    const std::vector<Vec2> across{{70, -60}, {70, 60}};
    const auto split = cut(curves, across, 5, most);
    REQUIRE(split.ok());
    REQUIRE(split->changes.size() == 1);
    CHECK(split->changes[0].name == "block");
    REQUIRE(split->changes[0].outlines.size() == 2);
    const Region exact = held_by(block).without(swept(across, 5));
    double sum = 0;
    for (const auto& outline : split->changes[0].outlines) {
        CHECK(drawn(outline).self_crossings() == 0);
        sum += surface::PeriodicCurve::through(outline).signed_area();
    }
    CHECK(sum == Approx(area_within(exact)).epsilon(0.02));
    CHECK(surface::PeriodicCurve::through(split->changes[0].outlines[0]).signed_area() >
          surface::PeriodicCurve::through(split->changes[0].outlines[1]).signed_area());
    // all of it
    const auto gone = cut(curves, {Vec2(80, 0)}, 60, most);
    REQUIRE(gone.ok());
    CHECK(gone->changes[0].outlines.empty());
    CHECK_FALSE(paint({}, {}, 5, most).ok());
    CHECK_FALSE(paint({}, {Vec2(1, 1)}, 0, most).ok());
    std::mt19937_64 random(3);
    const auto intricate = walk(random, 300, 1.0);
    CHECK_FALSE(paint({}, intricate, 2, 20).ok());
}

TEST_CASE("brush: many strokes over one another keep a simple curve near their union", "[brush]") {
    std::mt19937_64 random(tests::seed() + 1);
    const int count = tests::cases(60, 6, "series of strokes");
    for (int n = 0; n < count; ++n) {
        std::vector<PaintedCurve> curves;
        Region exact;
        int closed = 0, named = 0;
        for (int k = 0; k < 12; ++k) {
            INFO("series " << n << " stroke " << k);
            std::uniform_real_distribution<double> radii(4.0, 12.0);
            const double radius = radii(random);
            auto path = walk(random, 4, 0.3);
            // begins in what is there
            if (!curves.empty()) {
                const Vec2 shift = curves[0].outline[0] - path[0];
                for (Vec2& p : path) p += shift;
            }
            const bool cuts = k % 3 == 2;
            const auto done = cuts ? cut(curves, path, radius, most) : paint(curves, path, radius, most);
            if (cuts && !done) continue;  // a hole
            REQUIRE(done.ok());
            exact = cuts ? exact.without(swept(path, radius)) : filled(exact.joined(swept(path, radius)));
            closed += done->told.empty() ? 0 : 1;
            // as a job would hold it: pieces stand under names of their own, what is untouched stays
            for (const auto& change : done->changes) {
                std::erase_if(curves, [&](const PaintedCurve& c) { return c.name == change.name; });
                for (const auto& outline : change.outlines) {
                    curves.push_back({"c" + std::to_string(named++), outline});
                    CHECK(drawn(outline).self_crossings() == 0);
                }
            }
            if (curves.empty()) break;
        }
        double sum = 0;
        for (const PaintedCurve& curve : curves)
            sum += surface::PeriodicCurve::through(curve.outline).signed_area();
        // each stroke moves the border by the fit at most, where it was painted
        double round = 0;
        for (const Ring& ring : exact.rings()) round += perimeter(ring);
        if (closed == 0) CHECK(std::abs(sum - area_within(exact)) < round * brush_fit_mm + 40.0);
    }
}
