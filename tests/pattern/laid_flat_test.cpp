// The foot side laid flat on surfaces that are flat already, bent without stretch, or not to be flattened.
#include "engine/pattern/laid_flat.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "tests/support/analytic.hpp"

using namespace archwright;
using namespace archwright::pattern;

namespace {

constexpr double length_u = 220.0, length_v = 100.0, inset = 12.0, corner = 14.0;

// A rectangle with round corners in (u,v), its points a millimetre and less apart.
surface::PeriodicCurve trim() {
    std::vector<Vec2> points;
    const double lu = length_u - 2 * inset - 2 * corner, lv = length_v - 2 * inset - 2 * corner;
    const auto straight = [&](const Vec2& from, const Vec2& way, double length) {
        const int n = static_cast<int>(length);
        for (int k = 0; k < n; ++k) points.push_back(from + way * (length * k / n));
    };
    const auto arc = [&](const Vec2& centre, double begin) {
        for (int k = 0; k < 30; ++k) {
            const double a = begin + 0.5 * std::numbers::pi * k / 30;
            points.push_back(centre + corner * Vec2(std::cos(a), std::sin(a)));
        }
    };
    const double u0 = inset + corner, u1 = length_u - u0, v0 = u0, v1 = length_v - v0;
    straight({length_u - inset, v0}, Vec2::UnitY(), lv);
    arc({u1, v1}, 0.0);
    straight({u1, length_v - inset}, -Vec2::UnitX(), lu);
    arc({u0, v1}, 0.5 * std::numbers::pi);
    straight({inset, v1}, -Vec2::UnitY(), lv);
    arc({u0, v0}, std::numbers::pi);
    straight({u0, inset}, Vec2::UnitX(), lu);
    arc({u1, v0}, 1.5 * std::numbers::pi);
    return surface::PeriodicCurve::through(points);
}

// The distal edge straight across at the trim's end.
surface::TrimRule rule(double x, double middle_y) {
    surface::TrimRule rule;
    rule.first_head = Vec3(x + 8.0, middle_y + 35.0, 0.0);
    rule.fifth_head = Vec3(x + 8.0, middle_y - 35.0, 0.0);
    rule.distal_bow_mm = 0.0;
    rule.corner_radius_mm = corner;
    return rule;
}

double rectangle_area() {
    const double a = length_u - 2 * inset, b = length_v - 2 * inset;
    return a * b - (4.0 - std::numbers::pi) * corner * corner;
}
double rectangle_length() {
    return 2 * (length_u + length_v - 4 * inset) - (8.0 - 2 * std::numbers::pi) * corner;
}

}  // namespace

TEST_CASE("laid flat: a plane stays where it is", "[flat]") {
    const auto laid = LaidFlat::of(tests::plane(length_u, length_v).carpet(40, 20), trim(),
                                   rule(length_u - inset, 0.5 * length_v));
    REQUIRE(laid.ok());
    CHECK(laid->join_mm() < 1e-6);
    CHECK(laid->stretch_low() == Approx(1.0).margin(1e-9));
    CHECK(laid->stretch_high() == Approx(1.0).margin(1e-9));
    CHECK(signed_area(laid->edge()) == Approx(rectangle_area()).margin(0.5));
    CHECK(perimeter(laid->edge()) == Approx(rectangle_length()).margin(0.05));
    for (const Vec2& p : {Vec2(50, 50), Vec2(100, 20), Vec2(230, 60), Vec2(-20, 50), Vec2(100, 120)})
        CHECK((laid->place(p) - p).norm() < 1e-6);
    // both borders run forward where they leave for the corners
    for (const LaidFlat::Departure* side : {&laid->medial(), &laid->lateral()}) {
        CHECK(side->forward.x() > 0.9);
        CHECK(std::abs(side->at.x() - (length_u - inset - corner)) < 0.6 * corner);
    }
    CHECK(laid->medial().at.y() > laid->lateral().at.y());
}

TEST_CASE("laid flat: a cylinder keeps every length and area", "[flat]") {
    for (const double radius : {70.0, 120.0, -90.0}) {
        INFO("radius " << radius);
        const auto surface = tests::cylinder(length_u, length_v, radius);
        const auto laid = LaidFlat::of(surface.carpet(40, 60), trim(), rule(length_u - inset, 0.0));
        REQUIRE(laid.ok());
        CHECK(laid->stretch_low() == Approx(1.0).margin(2e-4));
        CHECK(laid->stretch_high() == Approx(1.0).margin(2e-4));
        CHECK(signed_area(laid->edge()) == Approx(rectangle_area()).margin(0.5));
        CHECK(perimeter(laid->edge()) == Approx(rectangle_length()).margin(0.05));
        CHECK(laid->edge_on_shell_mm() == Approx(rectangle_length()).margin(0.05));
        // plan and flat part where the edge bends: s - R sin(s / R) at its ends, which lie where the corners
        // have left the edge by 0.3 mm
        const double half =
            0.5 * length_v - inset - corner + std::sqrt(corner * corner - (corner - 0.3) * (corner - 0.3));
        const double apart = half - std::abs(radius) * std::sin(half / std::abs(radius));
        CHECK(laid->join_mm() == Approx(apart).margin(0.08 * apart + 0.01));
        // a place over the shell: along the arc; in front of it: where it is
        for (const double s : {-20.0, 0.0, 15.0, 30.0}) {
            const Vec2 plan(90.0, std::abs(radius) * std::sin(s / std::abs(radius)));
            CHECK((laid->place(plan) - Vec2(90.0, s)).norm() < 2e-3);
        }
        CHECK((laid->place({length_u, 0.0}) - Vec2(length_u, 0.0)).norm() < 2e-3);
    }
}

TEST_CASE("laid flat: a sphere's stretch is told", "[flat]") {
    const double radius = 150.0;
    const auto surface = tests::sphere(length_u, length_v, radius);
    // in plan the trim's end bows: the rule follows it where it is straight across in (u,v)
    const double x = radius * std::sin((0.5 * length_u - inset) / radius);
    const auto laid = LaidFlat::of(surface.carpet(40, 20), trim(), rule(x, 0.0));
    REQUIRE(laid.ok());
    // lines of v are shorter by cos((u - middle) / radius) than on the flat, and none is longer
    const double least = std::cos((0.5 * length_u - inset) / radius);
    CHECK(laid->stretch_low() == Approx(least).margin(3e-3));
    CHECK(laid->stretch_high() == Approx(1.0).margin(1e-3));
    CHECK(laid->edge_on_shell_mm() < perimeter(laid->edge()));
}

TEST_CASE("laid flat: a line that never follows the distal edge is refused", "[flat]") {
    const auto laid =
        LaidFlat::of(tests::plane(length_u, length_v).carpet(20, 12), trim(), rule(100.0, 0.5 * length_v));
    REQUIRE_FALSE(laid.ok());
    CHECK(laid.fault().kind == FaultKind::check);
    CHECK(laid.fault().stage == "pattern");
}
