// Shells that move far over their ground.
#include <Eigen/Geometry>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/flex/large_solver.hpp"
#include "engine/flex/limits.hpp"
#include "engine/flex/rotation.hpp"
#include "tests/flex/grids.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;
using State = ContactAnswer::State;

namespace {

/// Tip of a clamped strip of length 1 that has come down by `down` under a force square to its unloaded axis:
/// P L^2 / EI and how far it has come back (Bisshopp and Drucker 1945).
struct Laid {
    double load = 0.0, back = 0.0;
};
Laid laid_down(double down) {
    const auto of_slope = [](double slope) {
        const double p = std::sqrt(0.5 * (1.0 + std::sin(slope)));
        const double first = std::asin(1.0 / (p * std::sqrt(2.0)));
        const double a = std::comp_ellint_1(p) - std::ellint_1(p, first);
        return std::array<double, 3>{a * a, 1.0 - 2.0 * (std::comp_ellint_2(p) - std::ellint_2(p, first)) / a,
                                     1.0 - std::sqrt(2.0 * std::sin(slope)) / a};
    };
    double low = 1e-9, high = 0.5 * std::numbers::pi - 1e-9;
    for (int i = 0; i < 200; ++i) {
        const double middle = 0.5 * (low + high);
        (of_slope(middle)[1] < down ? low : high) = middle;
    }
    return {of_slope(low)[0], of_slope(low)[2]};
}

/// A random foot-like shell over a plate, its heel located along it, pressed on its arch.
LargeProblem pressed_shell(generator::Random& random, double friction, double bed, double load) {
    const double rear = random.between(2.0, 4.5);
    const double front = random.between(1.8, 4.0);
    Grid g = foot_shell(18, 8, [&](double u, double) { return rear + (front - rear) * u; });
    LargeProblem problem;
    problem.model = g.model;
    problem.model.lamina = Lamina::isotropic(random.between(900.0, 2000.0), 0.4);
    double lowest = 1e300;
    const std::vector<Vec3> arms = underside_arms(problem.model);
    for (std::size_t p = 0; p < arms.size(); ++p)
        lowest = std::min(lowest, (problem.model.points[p] + arms[p]).z());
    problem.contacts = over_plate(problem.model, lowest, friction, bed, arms);
    Mat6 located = Mat6::Zero();
    located.topLeftCorner<2, 2>() = 1e5 * Eigen::Matrix2d::Identity();
    located(5, 5) = 1e7;
    problem.load_case.springs.push_back({g.at(2, 4), located});
    problem.load_case.load = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(arms.size()));
    for (int i = 8; i <= 10; ++i)
        for (int j = 4; j <= 6; ++j) problem.load_case.load[freedom(g.at(i, j), 2)] = -load / 9.0;
    return problem;
}

}  // namespace

TEST_CASE("an elastica laid on the ground: its tip presses with what its bend does not take") {
    // Clamped upright over smooth ground 0.5 L below; the end force F beyond the elastica's P presses.
    const double length = 100.0, breadth = 10.0, wall = 1.0, modulus = 1000.0, drop = 50.0;
    const int n = 32;
    Grid g = grid(
        n, 2, [&](double u, double v) { return Vec3(length * u, breadth * (v - 0.5), 0.0); },
        [&](double, double) { return wall; });
    LargeProblem strip;
    strip.model = g.model;
    strip.model.lamina = Lamina::isotropic(modulus, 0.0);
    for (int j = 0; j <= 2; ++j) hold(strip.load_case, g.at(0, j), {0, 1, 2, 3, 4, 5});
    const std::vector<Vec3> arms(g.model.points.size(), Vec3::Zero());
    strip.contacts = over_plate(strip.model, -drop, 0.0, 0.0, arms);
    strip.load_case.load = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(arms.size()));
    const Laid laid = laid_down(drop / length);
    const double bent_n = laid.load * modulus * breadth * wall * wall * wall / 12.0 / (length * length);
    const double whole = 3.0 * bent_n;
    for (int j = 0; j <= 2; ++j)
        strip.load_case.load[freedom(g.at(n, j), 2)] = -whole * (j == 1 ? 0.5 : 0.25);
    LargeSteps steps;
    steps.shares = {0.1, 0.25, 0.5, 1.0};
    const auto course = solve_large(strip, steps);
    INFO((course ? std::string() : course.fault().message));
    REQUIRE(course);
    REQUIRE(course->whole);
    for (const LargeState& state : course->states) {
        double pressed = 0.0;
        for (const ContactAnswer& answer : contact_answers(strip, state)) {
            pressed += answer.normal_n;
            CHECK(answer.gap_mm > -limit::penetration_mm);
        }
        CAPTURE(state.share, pressed, bent_n);
        CHECK(pressed == Approx(std::max(0.0, state.share * whole - bent_n)).margin(4e-3 * bent_n));
        if (state.share > 0.4)
            CHECK(-state.moved[g.at(n, 1)].x() == Approx(length * laid.back).epsilon(4e-3));
    }
}

TEST_CASE("over its ground a little load gives the answer of small deflections") {
    const int count = cases(40, 6, "shells under little load");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 31, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const double friction = i % 2 == 0 ? 0.0 : 0.3;
        LargeProblem problem = pressed_shell(random, friction, i % 3 == 2 ? 1.0 : 0.0, 0.02);
        // ground that lies near everywhere: on a plate a shell rocks until it rests, which is no small motion
        for (Contact& contact : problem.contacts) contact.gap_mm *= 0.01;
        const auto course = solve_large(problem);
        INFO((course ? std::string() : course.fault().message));
        REQUIRE(course);
        const auto small = solve_contact({problem.model, problem.contacts, problem.load_case});
        REQUIRE(small);
        const Eigen::VectorXd far = course->states.back().freedoms();
        CHECK((far - small->displacement).cwiseAbs().maxCoeff() <
              1e-3 * small->displacement.cwiseAbs().maxCoeff());
    }
}

TEST_CASE("shells that move far over their ground: all forces balance where they are, nothing is in it") {
    const int count = cases(200, 8, "shells under much load");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 32, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const double friction = i % 2 == 0 ? 0.3 : 0.0;
        const double bed = i % 4 == 3 ? 1.0 : 0.0;
        const LargeProblem problem = pressed_shell(random, friction, bed, random.between(40.0, 110.0));
        LargeSteps steps;
        steps.shares = {0.05, 0.3, 1.0};
        const auto course = solve_large(problem, steps);
        INFO((course ? std::string() : course.fault().message));
        REQUIRE(course);
        REQUIRE(course->whole);
        const LargeState& state = course->states.back();
        const double load = problem.load_case.load.cwiseAbs().sum();
        const double rigid = rigid_ground(problem);
        Vec3 sum = Vec3::Zero(), moment = Vec3::Zero();
        const auto put_on = [&](const Vec3& at, const Vec3& force) {
            sum += force;
            moment += at.cross(force);
        };
        for (std::size_t p = 0; p < problem.model.points.size(); ++p)
            put_on(problem.model.points[p] + state.moved[p],
                   problem.load_case.load.segment<3>(6 * static_cast<Eigen::Index>(p)));
        for (std::size_t c = 0; c < problem.contacts.size(); ++c) {
            const LargeContact at = contact_in(problem, state, c, rigid);
            const int p = problem.contacts[c].point;
            put_on(problem.model.points[p] + state.moved[p] + at.arm, at.force);
            const Vec3 normal = at.under.normal, along = at.force - normal * normal.dot(at.force);
            CHECK(along.norm() <= friction * at.normal_n + 1e-6 * load);
            if (bed == 0.0) CHECK(at.under.gap_mm > -limit::penetration_mm);
            CHECK(normal.dot(at.force) >= 0.0);
        }
        const PointStiffness& located = problem.load_case.springs.front();
        Eigen::VectorXd freedoms = state.freedoms();
        const Vec6 held = -located.block * freedoms.segment<6>(6 * located.point);
        put_on(problem.model.points[located.point] + state.moved[located.point], held.head<3>());
        moment += vector_by_spin(vector_of(state.turned[located.point])).transpose() * held.tail<3>();
        CHECK(sum.norm() < 1e-6 * load);
        CHECK(moment.head<2>().norm() < 1e-6 * 180.0 * load);
        CHECK(residual(problem, state).cwiseAbs().maxCoeff() < 1e-6 * load);
        // the answer is of the state alone, whatever the threads: tangent against what is out of balance
        if (i > 1) continue;
        const Stiffness matrix = tangent(problem, state);
        Eigen::VectorXd way(freedoms.size());
        for (Eigen::Index k = 0; k < way.size(); ++k) way[k] = random.normal();
        const double h = 1e-7;
        LargeState on = state, back = state;
        on.move(way, h);
        back.move(way, -h);
        const Eigen::VectorXd slope = (residual(problem, back) - residual(problem, on)) / (2.0 * h);
        const Eigen::VectorXd foreseen = matrix.times(way);
        CHECK((slope - foreseen).norm() < 2e-3 * foreseen.norm());
    }
}
