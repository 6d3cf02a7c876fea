#include "engine/shoe/insole.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"

namespace archwright::shoe {

namespace {

struct Extent {
    double low = 0.0, high = 0.0;
};

Extent along_x(const Outline& outline) {
    const auto [low, high] = std::minmax_element(outline.points().begin(), outline.points().end(),
                                                 [](const Vec2& a, const Vec2& b) { return a.x() < b.x(); });
    return {low->x(), high->x()};
}

Outline turned(const Outline& outline, double angle) {
    return outline.moved(Eigen::Rotation2Dd(angle).toRotationMatrix(), Vec2::Zero());
}

Outline::Section section_at(const Outline& outline, double share) {
    const Extent x = along_x(outline);
    return outline.section(x.low + share * (x.high - x.low));
}

// Of this outline as it lies: its pose is known.
Insole measured(Outline outline, double turned_deg) {
    const Extent x = along_x(outline);
    Insole insole;
    insole.length_mm = x.high - x.low;
    insole.heel_mm = section_at(outline, heel_share).breadth();
    insole.ball_mm = section_at(outline, ball_share).breadth();
    insole.turned_deg = turned_deg;
    insole.outline = std::move(outline);
    return insole;
}

}  // namespace

Outcome<Insole> Insole::posed(const Outline& drawing, Side drawn, const std::string& name) {
    const Fault wrong{FaultKind::input, "shoe", name + ": ", {}};
    Eigen::Matrix2d seen = Eigen::Matrix2d::Identity();
    if (drawn == Side::left) seen(1, 1) = -1.0;  // y up: medial of a left foot lies on its right
    // about the centre, so that a drawing far from its origin loses no digits
    const Outline base = drawing.moved(seen, -(seen * drawing.centre()));

    const Vec3 m = base.moments();
    double angle = -0.5 * std::atan2(2.0 * m[1], m[0] - m[2]);
    Outline lying = turned(base, angle);
    const double behind = section_at(lying, 0.3).breadth(), ahead = section_at(lying, 0.7).breadth();
    const Extent extent = along_x(lying);
    const double length = extent.high - extent.low;
    if (length < shortest_insole_mm || length > longest_insole_mm) {
        Fault fault = wrong;
        fault.message += "the outline is " + rounded(length, 1) + " mm long, which no insole is (" +
                         rounded(shortest_insole_mm, 0) + " to " + rounded(longest_insole_mm, 0) +
                         " mm). Check its unit, and draw it in its own size.";
        return fault;
    }
    if (std::abs(ahead - behind) < tolerance::insole_ends_differ * std::max(ahead, behind)) {
        Fault fault = wrong;
        fault.message +=
            "heel and toes cannot be told apart: the outline is " + rounded(behind, 1) + " and " +
            rounded(ahead, 1) +
            " mm broad at 30 and 70 % of its length. Draw the whole insole, or give its three "
            "sizes (order.insole_length_mm, insole_ball_mm, insole_heel_mm) in place of the file.";
        return fault;
    }
    if (behind > ahead) angle += std::numbers::pi;
    // each round moves the axis by a fraction of the round before
    constexpr int most_rounds = 100;
    constexpr double still = 1e-15;
    for (int round = 0; round < most_rounds; ++round) {
        lying = turned(base, angle);
        const double rise = section_at(lying, ball_share).middle() - section_at(lying, heel_share).middle();
        const Extent x = along_x(lying);
        const double off = std::atan2(rise, (ball_share - heel_share) * (x.high - x.low));
        angle -= off;
        if (std::abs(off) < still) break;
    }
    lying = turned(base, angle);
    const Vec2 rear(along_x(lying).low, section_at(lying, heel_share).middle());
    const double as_seen = drawn == Side::left ? -angle : angle;
    return measured(lying.moved(Eigen::Matrix2d::Identity(), -rear),
                    degrees(std::remainder(as_seen, 2.0 * std::numbers::pi)));
}

Outcome<Insole> Insole::of_sizes(double length_mm, double ball_mm, double heel_mm) {
    const auto refuse = [](const std::string& what) { return Fault{FaultKind::usage, "shoe", what, {}}; };
    constexpr double broadest = 0.6;  // breadth over length
    if (!(length_mm >= shortest_insole_mm && length_mm <= longest_insole_mm))
        return refuse("order.insole_length_mm is " + exact(length_mm) + ": insoles are " +
                      rounded(shortest_insole_mm, 0) + " to " + rounded(longest_insole_mm, 0) + " mm long.");
    if (!(heel_mm > 0.0) || heel_mm > ball_mm)
        return refuse("order.insole_heel_mm is " + exact(heel_mm) + " and order.insole_ball_mm is " +
                      exact(ball_mm) + ": the heel of an insole is narrower than its ball. Check the sizes.");
    if (ball_mm > broadest * length_mm)
        return refuse("order.insole_ball_mm is " + exact(ball_mm) + " and order.insole_length_mm is " +
                      exact(length_mm) + ": no insole is broader than " + rounded(broadest, 1) +
                      " of its length. Check the sizes.");

    constexpr int quarter = 64;        // points a quarter of an ellipse: chords within 0.01 mm
    constexpr double straight = 0.20;  // sides are straight to this share of the length
    const double heel = 0.5 * heel_mm, ball = 0.5 * ball_mm;
    const double heel_end = std::min(heel, heel_share * length_mm);
    const double heel_straight = straight * length_mm, ball_at = ball_share * length_mm;
    const auto step = [](int i) { return 0.5 * std::numbers::pi * i / quarter; };
    std::vector<Vec2> side;  // from the rear to the toes, y >= 0
    side.emplace_back(0.0, 0.0);
    for (int i = 1; i < quarter; ++i)
        side.emplace_back(heel_end * (1.0 - std::cos(step(i))), heel * std::sin(step(i)));
    side.emplace_back(heel_end, heel);
    for (int i = 0; i < quarter; ++i) {
        const double t = static_cast<double>(i) / quarter;
        side.emplace_back(heel_straight + t * (ball_at - heel_straight),
                          heel + (ball - heel) * t * t * (3.0 - 2.0 * t));
    }
    for (int i = 0; i < quarter; ++i)
        side.emplace_back(ball_at + (length_mm - ball_at) * std::sin(step(i)), ball * std::cos(step(i)));
    side.emplace_back(length_mm, 0.0);
    std::vector<Vec2> points;
    for (const Vec2& p : side) points.emplace_back(p.x(), -p.y());
    for (std::size_t i = side.size() - 2; i > 0; --i) points.push_back(side[i]);
    auto outline = Outline::of(std::move(points), "the insole's sizes in the order");
    if (!outline) return outline.fault();
    return measured(std::move(*outline), 0.0);
}

}  // namespace archwright::shoe
