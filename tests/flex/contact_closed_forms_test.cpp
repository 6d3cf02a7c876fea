// Contact and friction against closed forms.
#include <catch2/catch.hpp>
#include <cmath>

#include "engine/flex/contact.hpp"
#include "engine/flex/limits.hpp"
#include "tests/flex/grids.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;
using State = ContactAnswer::State;

namespace {

/// A flat or slightly bent strip along x over ground at the height of its lowest underside, held in plane at
/// its first or middle point; no sideways contraction, so that it is a beam.
struct Strip {
    Grid grid;
    ContactProblem problem;
};

Strip strip(int n, int m, double length, double breadth, double wall, double modulus,
            const std::function<double(double x)>& height, double friction, double bed = 0.0) {
    Strip made;
    made.grid = grid(
        n, m,
        [&](double u, double v) {
            const double x = length * u;
            return Vec3(x, breadth * (v - 0.5), height(x));
        },
        [&](double, double) { return wall; });
    made.problem.model = made.grid.model;
    made.problem.model.lamina = Lamina::isotropic(modulus, 0.0);
    double lowest = 1e300;
    for (const Vec3& p : made.problem.model.points) lowest = std::min(lowest, p.z());
    const std::vector<Vec3> arms(made.problem.model.points.size(), Vec3(0, 0, -0.5 * wall));
    made.problem.contacts = over_plate(made.problem.model, lowest - 0.5 * wall, friction, bed, arms);
    made.problem.load_case.load =
        Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(made.problem.model.points.size()));
    return made;
}

/// A force shared by the points across the strip at step i along it.
void load_across(Strip& strip, int i, int component, double force) {
    const int m = strip.grid.m;
    for (int j = 0; j <= m; ++j)
        strip.problem.load_case.load[freedom(strip.grid.at(i, j), component)] +=
            force * (j == 0 || j == m ? 0.5 : 1.0) / m;
}

double normal_force(const ContactResult& result) {
    double sum = 0.0;
    for (const ContactAnswer& answer : result.contacts) sum += answer.normal_n;
    return sum;
}

Vec3 friction_force(const ContactResult& result) {
    Vec3 sum = Vec3::Zero();
    for (const ContactAnswer& answer : result.contacts) sum += answer.friction_n;
    return sum;
}

}  // namespace

TEST_CASE("a heavy bar lifted by one end rises off rigid ground over 2 P / q") {
    // Weight q a length, rigid ground, force P up at the end: where the bar lies down again neither moment
    // nor slope is left, so P a = q a^2 / 2, and the end rises by P a^3 / 3EI - q a^4 / 8EI = q a^4 / 24EI
    // (Timoshenko, Strength of Materials, part II).
    const double length = 200.0, breadth = 10.0, wall = 2.0, modulus = 1000.0, q = 0.02;
    const double bending = modulus * breadth * wall * wall * wall / 12.0;
    for (const double lifted : {60.0, 100.0, 150.0}) {
        const int n = 100;
        Strip bar = strip(
            n, 2, length, breadth, wall, modulus, [](double) { return 0.0; }, 0.0);
        hold(bar.problem.load_case, bar.grid.at(0, 1), {0, 1, 5});
        load_area(bar.problem.model, Vec3(0, 0, -q / breadth), bar.problem.load_case.load);
        const double pull = 0.5 * q * lifted;
        load_across(bar, n, 2, pull);
        const auto solved = solve_contact(bar.problem);
        INFO((solved ? std::string() : solved.fault().message));
        REQUIRE(solved);
        CAPTURE(lifted);
        const double rise = solved->displacement[freedom(bar.grid.at(n, 1), 2)];
        CHECK(rise == Approx(q * std::pow(lifted, 4) / (24.0 * bending)).epsilon(0.01));
        CHECK(normal_force(*solved) == Approx(q * length - pull).epsilon(1e-6));
        double last = 0.0;
        for (int i = 0; i <= n; ++i)
            if (solved->contacts[bar.grid.at(i, 1)].state != State::open) last = length * i / n;
        CHECK(last == Approx(length - lifted).margin(3.0 * length / n));
        for (const ContactAnswer& answer : solved->contacts) CHECK(answer.gap_mm > -limit::penetration_mm);
    }
}

TEST_CASE("a rocker pressed at both ends lies down as far as its curvature says") {
    // A strip bent to radius R stands on its middle; ends pressed by P each. Where it lies flat its moment is
    // EI / R, so it lies down up to EI / (R P) from the ends; the ends stand l^2 / 2R - P l^3 / 3EI above the
    // ground then.
    const double half = 100.0, breadth = 10.0, wall = 2.0, modulus = 1000.0, radius = 2000.0;
    const double bending = modulus * breadth * wall * wall * wall / 12.0;
    const int n = 200;
    for (const double free : {80.0, 55.0, 30.0}) {
        Strip rocker = strip(
            n, 2, 2.0 * half, breadth, wall, modulus,
            [&](double x) { return (x - half) * (x - half) / (2.0 * radius); }, 0.0);
        hold(rocker.problem.load_case, rocker.grid.at(n / 2, 1), {0, 1, 5});
        const double press = bending / (radius * free);
        load_across(rocker, 0, 2, -press);
        load_across(rocker, n, 2, -press);
        const auto solved = solve_contact(rocker.problem);
        INFO((solved ? std::string() : solved.fault().message));
        REQUIRE(solved);
        CAPTURE(free);
        const double height =
            half * half / (2.0 * radius) + solved->displacement[freedom(rocker.grid.at(n, 1), 2)];
        const double expected = free * free / (2.0 * radius) - press * std::pow(free, 3) / (3.0 * bending);
        CHECK(height == Approx(expected).margin(0.01 * half * half / (2.0 * radius)));
        CHECK(normal_force(*solved) == Approx(2.0 * press).epsilon(1e-6));
        // nothing presses between the two lines where it lies down
        for (int i = 0; i <= n; ++i) {
            const double away = std::abs(2.0 * half * i / n - half);
            const ContactAnswer& answer = solved->contacts[rocker.grid.at(i, 1)];
            if (away > half - free + 4.0) CHECK(answer.state == State::open);
            if (away < half - free - 4.0) CHECK(answer.normal_n < 0.15 * press);
        }
    }
}

TEST_CASE("a stiff block on a bed without tension lifts where it is pressed beside its middle third") {
    // Eccentric load on a foundation that cannot pull: the pressure is a triangle over 3 (L / 2 - e), its
    // greatest 2 P / (3 b (L / 2 - e)) (any text on footings).
    const double length = 30.0, breadth = 20.0, bed = 0.5, press = 100.0;
    const int n = 30;
    for (const int along : {15, 21, 24, 26}) {
        Strip block = strip(
            n, 4, length, breadth, 20.0, 1e6, [](double) { return 0.0; }, 0.0, bed);
        hold(block.problem.load_case, block.grid.at(n / 2, 1), {0, 1, 5});
        load_across(block, along, 2, -press);
        const auto solved = solve_contact(block.problem);
        INFO((solved ? std::string() : solved.fault().message));
        REQUIRE(solved);
        const double e = length * along / n - 0.5 * length;
        CAPTURE(e);
        const double edge = bed * -solved->contacts[block.grid.at(n, 1)].gap_mm;
        const double most = e <= length / 6.0 ? press / (breadth * length) * (1.0 + 6.0 * e / length)
                                              : 2.0 * press / (3.0 * breadth * (0.5 * length - e));
        CHECK(edge == Approx(most).epsilon(0.02));
        CHECK(normal_force(*solved) == Approx(press).epsilon(1e-6));
        double pressed = 0.0;
        for (int i = 0; i <= n; ++i)
            if (solved->contacts[block.grid.at(i, 1)].gap_mm < 0.0) pressed += length / n;
        CHECK(pressed == Approx(std::min(length, 3.0 * (0.5 * length - e))).margin(2.0 * length / n));
    }
}

TEST_CASE("a block on three legs bears on them as the lever says") {
    Strip table = strip(
        8, 4, 80.0, 40.0, 4.0, 2000.0, [](double) { return 0.0; }, 0.0);
    const int a = table.grid.at(0, 0), b = table.grid.at(0, 4), c = table.grid.at(8, 2);
    std::vector<Contact> legs;
    for (const int foot : {a, b, c}) {
        legs.push_back(table.problem.contacts[foot]);
        legs.back().arm = Vec3(0, 0, -12);
        legs.back().gap_mm = 0.25;  // they have to come down first
    }
    table.problem.contacts = legs;
    hold(table.problem.load_case, table.grid.at(4, 2), {0, 1, 5});
    table.problem.load_case.load[freedom(table.grid.at(3, 1), 2)] = -50.0;  // at x = 30, y = -10
    const auto solved = solve_contact(table.problem);
    REQUIRE(solved);
    CHECK(solved->contacts[2].normal_n == Approx(50.0 * 30.0 / 80.0).epsilon(1e-6));
    const double heel = 50.0 * 50.0 / 80.0;
    CHECK(solved->contacts[0].normal_n == Approx(0.5 * heel + 50.0 * 10.0 / 40.0).epsilon(1e-6));
    CHECK(solved->contacts[1].normal_n == Approx(0.5 * heel - 50.0 * 10.0 / 40.0).epsilon(1e-6));
}

TEST_CASE("a block sticks up to friction x weight, slides beyond, and stays where it slid to") {
    const double weight = 40.0, friction = 0.3, spring = 5.0;
    const auto block = [&](double pull) {
        Strip made = strip(
            12, 4, 60.0, 20.0, 10.0, 1e5, [](double) { return 0.0; }, friction);
        load_area(made.problem.model, Vec3(0, 0, -weight / 1200.0), made.problem.load_case.load);
        for (std::size_t p = 0; p < made.problem.model.points.size(); ++p) {
            const auto at = 6 * static_cast<Eigen::Index>(p);
            made.problem.load_case.load[at] = pull * -made.problem.load_case.load[at + 2] / weight;
        }
        Mat6 along = Mat6::Zero();
        along(0, 0) = spring;
        made.problem.load_case.springs.push_back({made.grid.at(6, 2), along});
        return made;
    };
    const double limit_n = friction * weight;
    for (const double share : {0.2, 0.6, 0.95}) {
        const Strip held = block(share * limit_n);
        const auto solved = solve_contact(held.problem);
        INFO((solved ? std::string() : solved.fault().message));
        REQUIRE(solved);
        CAPTURE(share);
        CHECK(solved->displacement[freedom(held.grid.at(6, 2), 0)] < 1.05 * limit::slip_mm);
        CHECK(-friction_force(*solved).x() == Approx(share * limit_n).epsilon(5e-3));
        for (const ContactAnswer& answer : solved->contacts) CHECK(answer.state != State::slides);
    }
    for (const double share : {1.2, 2.0}) {
        const Strip pulled = block(share * limit_n);
        const auto solved = solve_contact(pulled.problem);
        INFO((solved ? std::string() : solved.fault().message));
        REQUIRE(solved);
        CAPTURE(share);
        const double moved = solved->displacement[freedom(pulled.grid.at(6, 2), 0)];
        CHECK(moved == Approx((share - 1.0) * limit_n / spring).margin(1e-3));
        CHECK(-friction_force(*solved).x() == Approx(limit_n).epsilon(1e-5));
        // let go: friction holds the spring's pull back, as far as it can
        const Strip let_go = block(0.0);
        const auto back = solve_contact(let_go.problem, {solved->displacement, {}, solved->anchors});
        REQUIRE(back);
        const double rests = back->displacement[freedom(let_go.grid.at(6, 2), 0)];
        CHECK(rests == Approx(std::min(moved, limit_n / spring)).margin(2.5 * limit::slip_mm));
        CHECK(friction_force(*back).x() == Approx(spring * rests).epsilon(1e-4));
    }
}

TEST_CASE("a strip pulled along the ground slips over P / (friction x pressure)") {
    // Friction is full over l = P / (mu q b) from the pulled end, and there is none beyond: a place y from
    // where the slip begins comes out by mu q b y^2 / 2EA. Measured a breadth from the end, where the pull
    // has spread.
    const double length = 200.0, breadth = 10.0, wall = 1.0, modulus = 10.0, friction = 0.5, pressure = 0.01;
    const int n = 50;
    for (const double slips : {50.0, 100.0, 150.0}) {
        Strip belt = strip(
            n, 2, length, breadth, wall, modulus, [](double) { return 0.0; }, friction);
        for (Contact& contact : belt.problem.contacts) {  // at the middle, so that nothing turns it up
            contact.arm = Vec3::Zero();
            contact.gap_mm = 0.0;
        }
        load_area(belt.problem.model, Vec3(0, 0, -pressure), belt.problem.load_case.load);
        const double pull = friction * pressure * breadth * slips;
        load_across(belt, n, 0, pull);
        const auto solved = solve_contact(belt.problem);
        INFO((solved ? std::string() : solved.fault().message));
        REQUIRE(solved);
        CAPTURE(slips);
        const int i = n - 3;
        const double from = slips - length * 3.0 / n;
        double out = 0.0;
        for (int j = 0; j <= 2; ++j)
            out += (j == 1 ? 0.5 : 0.25) * solved->displacement[freedom(belt.grid.at(i, j), 0)];
        CHECK(
            out ==
            Approx(friction * pressure * from * from / (2.0 * modulus * wall)).margin(2.0 * limit::slip_mm));
        CHECK(-friction_force(*solved).x() == Approx(pull).epsilon(1e-5));
    }
}
