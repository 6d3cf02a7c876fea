// Shells that move far, against closed forms: elastica, a strip rolled up, an arch that snaps through.
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "engine/base/parallel.hpp"
#include "engine/flex/large_solver.hpp"
#include "engine/flex/limits.hpp"
#include "engine/flex/rotation.hpp"
#include "tests/flex/grids.hpp"
#include "tests/flex/random_shell.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

namespace {

constexpr double pi = std::numbers::pi;

/// A strip along x, clamped at its first end, no sideways contraction.
struct FarStrip {
    Grid grid;
    LargeProblem problem;
    double length = 0.0, bending = 0.0;  ///< bending stiffness E I
};

FarStrip far_strip(int n, double length, double breadth, double wall, double modulus) {
    FarStrip made;
    made.length = length;
    made.bending = modulus * breadth * wall * wall * wall / 12.0;
    made.grid = grid(
        n, 2, [&](double u, double v) { return Vec3(length * u, breadth * (v - 0.5), 0.0); },
        [&](double, double) { return wall; });
    made.problem.model = made.grid.model;
    made.problem.model.lamina = Lamina::isotropic(modulus, 0.0);
    for (int j = 0; j <= 2; ++j) hold(made.problem.load_case, made.grid.at(0, j), {0, 1, 2, 3, 4, 5});
    made.problem.load_case.load =
        Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(made.problem.model.points.size()));
    return made;
}

void load_end(FarStrip& strip, int component, double whole) {
    for (int j = 0; j <= 2; ++j)
        strip.problem.load_case.load[freedom(strip.grid.at(strip.grid.n, j), component)] +=
            whole * (j == 1 ? 0.5 : 0.25);
}

/// Tip of a cantilever of length 1 under P across its unloaded axis, with P L^2 / EI given: down and along,
/// by the elliptic integrals of K. E. Bisshopp and D. C. Drucker, Quarterly of Applied Mathematics 3 (1945)
/// 272-275.
struct Tip {
    double down = 0.0, back = 0.0;
};
Tip elastica_tip(double load) {
    const auto alpha = [](double slope) {
        const double p = std::sqrt(0.5 * (1.0 + std::sin(slope)));
        const double first = std::asin(1.0 / (p * std::sqrt(2.0)));
        return std::comp_ellint_1(p) - std::ellint_1(p, first);
    };
    double low = 1e-9, high = 0.5 * pi - 1e-9;
    for (int i = 0; i < 200; ++i) {
        const double middle = 0.5 * (low + high);
        (alpha(middle) * alpha(middle) < load ? low : high) = middle;
    }
    const double p = std::sqrt(0.5 * (1.0 + std::sin(low)));
    const double first = std::asin(1.0 / (p * std::sqrt(2.0)));
    const double a = std::sqrt(load);
    return {1.0 - 2.0 * (std::comp_ellint_2(p) - std::ellint_2(p, first)) / a,
            1.0 - std::sqrt(2.0 * std::sin(low)) / a};
}

std::string message(const Outcome<LargeCourse>& course) {
    return course ? std::string() : course.fault().message;
}

}  // namespace

TEST_CASE("a cantilever under an end force takes the shape of the elastica") {
    // of a strip of 10 x 1 x 0.1 (the one of Sze, Liu and Lo 2004, table 2), up to P L^2 / EI = 4
    for (const int n : {16, 32}) {
        FarStrip strip = far_strip(n, 10.0, 1.0, 0.1, 1.2e6);
        load_end(strip, 2, 4.0 * strip.bending / 100.0);
        LargeSteps steps;
        steps.shares = {0.05, 0.25, 0.5, 0.75, 1.0};
        const auto course = solve_large(strip.problem, steps);
        INFO(message(course));
        REQUIRE(course);
        REQUIRE(course->states.size() == steps.shares.size());
        for (const LargeState& state : course->states) {
            const Tip expected = elastica_tip(4.0 * state.share);
            const Vec3 tip = state.moved[strip.grid.at(n, 1)];
            CAPTURE(n, state.share, tip.transpose(), 10.0 * expected.down, 10.0 * expected.back);
            const double near = n == 16 ? 4e-3 : 1.2e-3;
            CHECK(tip.z() == Approx(10.0 * expected.down).epsilon(near));
            CHECK(-tip.x() == Approx(10.0 * expected.back).epsilon(near));
        }
        CHECK(course->snaps.empty());
        INFO("steps " << course->steps << " rounds " << course->rounds << " factored " << course->factored);
        CHECK(course->rounds < 60);
    }
}

TEST_CASE("an end moment rolls a cantilever up to a full circle") {
    // curvature M / EI everywhere: the tip at (sin a, 1 - cos a) L / a, a = M L / EI
    FarStrip strip = far_strip(32, 12.0, 1.0, 0.1, 1.2e6);
    load_end(strip, 4, -2.0 * pi * strip.bending / strip.length);
    LargeSteps steps;
    steps.shares = {0.1, 0.25, 0.5, 0.75, 1.0};
    const auto course = solve_large(strip.problem, steps);
    INFO(message(course));
    REQUIRE(course);
    REQUIRE(course->states.size() == steps.shares.size());
    for (const LargeState& state : course->states) {
        const double a = 2.0 * pi * state.share;
        const Vec3 tip = strip.problem.model.points[strip.grid.at(32, 1)] + state.moved[strip.grid.at(32, 1)];
        CAPTURE(state.share, tip.transpose());
        CHECK((tip - strip.length / a * Vec3(std::sin(a), 0.0, 1.0 - std::cos(a))).norm() <
              2e-3 * strip.length);
    }
    INFO("steps " << course->steps << " rounds " << course->rounds << " factored " << course->factored);
    CHECK(course->rounds < 100);
}

TEST_CASE("a shallow arch snaps through where its closed form says") {
    // Pinned at both ends, e sin(pi x / L) high, under q sin(pi x / L): it stays a sine of height a with
    // thrust H = EA (pi / L)^2 (e^2 - a^2) / 4 and q = EI (pi / L)^4 (e - a) + H (pi / L)^2 a (S. P.
    // Timoshenko and J. M. Gere, Theory of Elastic Stability, 1961, article 7.8). Lower than some 2.3 radii
    // of gyration... times 2 the path is symmetric throughout.
    const double length = 100.0, breadth = 10.0, wall = 2.0, modulus = 2000.0, rise = 2.0;
    const int n = 32;
    Grid g = grid(
        n, 2,
        [&](double u, double v) { return Vec3(length * u, breadth * (v - 0.5), rise * std::sin(pi * u)); },
        [&](double, double) { return wall; });
    LargeProblem arch;
    arch.model = g.model;
    arch.model.lamina = Lamina::isotropic(modulus, 0.0);
    for (int j = 0; j <= 2; ++j) {
        hold(arch.load_case, g.at(0, j), {0, 2, 3, 5});
        hold(arch.load_case, g.at(n, j), {0, 2, 3, 5});
    }
    hold(arch.load_case, g.at(0, 1), {1});
    hold(arch.load_case, g.at(n, 1), {1});
    const double k = pi / length;
    const double stretching = modulus * breadth * wall, bending = stretching * wall * wall / 12.0;
    const auto q_of = [&](double a) {
        return bending * std::pow(k, 4) * (rise - a) +
               0.25 * stretching * std::pow(k, 4) * (rise * rise - a * a) * a;
    };
    double limit_q = 0.0, least_q = 1e300;
    for (int i = 0; i <= 4000; ++i) limit_q = std::max(limit_q, q_of(rise * i / 4000.0));
    for (int i = 0; i <= 4000; ++i) least_q = std::min(least_q, q_of(-rise * i / 4000.0));
    arch.load_case.load = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(arch.model.points.size()));
    const double whole = 1.5 * limit_q;
    for (int i = 1; i < n; ++i)
        for (int j = 0; j <= 2; ++j)
            arch.load_case.load[freedom(g.at(i, j), 2)] =
                -whole * std::sin(pi * i / n) * length / n * (j == 1 ? 0.5 : 0.25);
    LargeSteps steps;
    steps.shares = {0.25, 0.5, 1.0};
    const auto course = solve_large(arch, steps);
    INFO(message(course));
    REQUIRE(course);
    REQUIRE(course->whole);
    REQUIRE(course->snaps.size() == 1);
    const SnapThrough& snap = course->snaps.front();
    INFO("limit " << snap.share * whole / limit_q << " least " << snap.falls_to * whole / least_q);
    CHECK(snap.share * whole == Approx(limit_q).epsilon(0.01));
    CHECK(snap.falls_to * whole == Approx(least_q).margin(0.02 * limit_q));
    const int middle = snap.point / 3;
    CHECK(std::abs(middle - n / 2) <= 1);
    bool unstable = false;
    for (const LargePoint& point : course->path) unstable = unstable || !point.stable;
    CHECK(unstable);
}
