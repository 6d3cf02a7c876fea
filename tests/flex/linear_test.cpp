// A whole shell under load: closed forms, balance, springs, and what is refused.
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/base/parallel.hpp"
#include "engine/flex/stress.hpp"
#include "tests/flex/grids.hpp"
#include "tests/flex/random_shell.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

namespace {

/// A doubly curved sheet with random wall, clamped along one side, random forces.
struct RandomSheet {
    Grid grid;
    LinearCase load_case;
};

RandomSheet random_sheet(generator::Random& random) {
    const double rise = random.between(5.0, 30.0);
    const double across = random.between(-15.0, 15.0);
    const double thick = random.between(2.0, 5.0);
    const double thin = random.between(1.0, 2.0);
    RandomSheet made;
    made.grid = grid(
        12, 6,
        [&](double u, double v) {
            return Vec3(180.0 * u, 80.0 * (v - 0.5),
                        rise * std::sin(std::numbers::pi * u) + across * std::pow(2.0 * v - 1.0, 2));
        },
        [&](double u, double) { return thick + (thin - thick) * u; });
    made.grid.model.lamina = random_lamina(random);
    for (int j = 0; j <= 6; ++j) hold(made.load_case, made.grid.at(0, j), {0, 1, 2, 3, 4, 5});
    made.load_case.load = Eigen::VectorXd::Zero(6 * 13 * 7);
    for (Eigen::Index i = 0; i < made.load_case.load.size(); ++i) made.load_case.load[i] = random.normal();
    return made;
}

std::string refused(const Model& model, const LinearCase& load_case) {
    const auto solved = solve_linear(model, load_case);
    return solved ? std::string() : solved.fault().message;
}

}  // namespace

TEST_CASE("an orthotropic plate sinks as Navier's series says") {
    // Simply supported square plate of side a under q: w = 16 q / pi^6 sum over odd m, n of
    // sin sin / (m n (D1 m^4 + 2 (D12 + 2 D66) m^2 n^2 + D2 n^4)) a^4 (Timoshenko and Woinowsky-Krieger 1959,
    // article 85).
    const Lamina ply{12000.0, 3000.0, 1800.0, 0.25};
    const double wall = 1.0, side = 100.0;
    const Mat3 rigidity = ply.plane_stress() * wall * wall * wall / 12.0;
    double series = 0.0;
    for (int m = 1; m < 60; m += 2)
        for (int n = 1; n < 60; n += 2)
            series += ((m + n) / 2 % 2 == 1 ? 1.0 : -1.0) /
                      (m * n *
                       (rigidity(0, 0) * std::pow(m, 4) +
                        2.0 * (rigidity(0, 1) + 2.0 * rigidity(2, 2)) * m * m * n * n +
                        rigidity(1, 1) * std::pow(n, 4)));
    const double expected = 16.0 / std::pow(std::numbers::pi, 6) * series * std::pow(side, 4);
    double before = 1.0;
    for (const int n : {8, 16, 32}) {
        Grid g = grid(
            n, n, [&](double u, double v) { return Vec3(side * u, side * v, 0.0); },
            [&](double, double) { return wall; });
        g.model.lamina = ply;
        LinearCase load_case;
        for (int i = 0; i <= n; ++i)
            for (const int end : {0, n}) {
                hold(load_case, g.at(end, i), {1, 2, 3});
                hold(load_case, g.at(i, end), {0, 2, 4});
            }
        load_case.load = Eigen::VectorXd::Zero(6 * (n + 1) * (n + 1));
        load_area(g.model, Vec3(0, 0, 1), load_case.load);
        const auto solved = solve_linear(g.model, load_case);
        REQUIRE(solved);
        const double error = std::abs(solved->displacement[freedom(g.at(n / 2, n / 2), 2)] / expected - 1.0);
        INFO("n " << n << " error " << error);
        CHECK(error < before);
        before = error;
    }
    CHECK(before < 1.5e-3);
}

TEST_CASE("reactions balance the load, work is mutual, and a turned shell turns its answer") {
    const int count = cases(200, 20, "sheets");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 4, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        RandomSheet sheet = random_sheet(random);
        const auto solved = solve_linear(sheet.grid.model, sheet.load_case);
        REQUIRE(solved);
        const Eigen::VectorXd force = sheet.load_case.load + solved->reaction;
        Vec3 sum = Vec3::Zero(), moment = Vec3::Zero();
        for (std::size_t p = 0; p < sheet.grid.model.points.size(); ++p) {
            const auto at = 6 * static_cast<Eigen::Index>(p);
            const Vec3 f = force.segment<3>(at), m = force.segment<3>(at + 3);
            sum += f;
            moment += m + sheet.grid.model.points[p].cross(f);
        }
        CHECK(sum.norm() < 1e-6 * sheet.load_case.load.norm());
        CHECK(moment.norm() < 1e-6 * 180.0 * sheet.load_case.load.norm());

        // Betti 1872: the work of one load over the other's displacement
        LinearCase other = sheet.load_case;
        for (Eigen::Index k = 0; k < other.load.size(); ++k) other.load[k] = random.normal();
        const auto second = solve_linear(sheet.grid.model, other);
        REQUIRE(second);
        const double one = sheet.load_case.load.dot(second->displacement);
        const double two = other.load.dot(solved->displacement);
        const double scale = sheet.load_case.load.norm() * second->displacement.norm();
        CHECK(std::abs(one - two) < 1e-8 * scale);

        const Mat3 turn = random_turn(random);
        Model turned = sheet.grid.model;
        for (Vec3& point : turned.points) point = turn * point;
        turned.fibre = turn * turned.fibre;
        LinearCase turned_case = sheet.load_case;
        for (Eigen::Index k = 0; k < turned_case.load.size(); k += 3)
            turned_case.load.segment<3>(k) = turn * Vec3(sheet.load_case.load.segment<3>(k));
        const auto there = solve_linear(turned, turned_case);
        REQUIRE(there);
        double worst = 0.0;
        for (Eigen::Index k = 0; k < turned_case.load.size(); k += 3)
            worst = std::max(worst, (Vec3(there->displacement.segment<3>(k)) -
                                     turn * Vec3(solved->displacement.segment<3>(k)))
                                        .norm());
        CHECK(worst < 1e-8 * solved->displacement.cwiseAbs().maxCoeff());
    }
}

TEST_CASE("a stiff spring is a support; the same bytes on any number of threads") {
    generator::Random random(seed() + 5);
    RandomSheet sheet = random_sheet(random);
    const auto held = solve_linear(sheet.grid.model, sheet.load_case);
    REQUIRE(held);
    LinearCase sprung = sheet.load_case;
    sprung.supports.clear();
    for (int j = 0; j <= 6; ++j) sprung.springs.push_back({sheet.grid.at(0, j), 1e9 * Mat6::Identity()});
    const auto soft = solve_linear(sheet.grid.model, sprung);
    REQUIRE(soft);
    CHECK((soft->displacement - held->displacement).norm() < 1e-3 * held->displacement.norm());

    for (const int threads : {1, 2, 8}) {
        set_thread_count(threads);
        const auto again = solve_linear(sheet.grid.model, sheet.load_case);
        REQUIRE(again);
        CHECK(again->displacement == held->displacement);
    }
    set_thread_count(0);
}

TEST_CASE("a shell that cannot be flexed is refused in words") {
    generator::Random random(seed() + 6);
    const RandomSheet sheet = random_sheet(random);
    const double nan = std::numeric_limits<double>::quiet_NaN();
    using Catch::Matchers::Contains;
    Model model = sheet.grid.model;
    CHECK(refused(model, sheet.load_case).empty());

    CHECK_THAT(refused(Model{{}, {}, {}, model.lamina}, sheet.load_case), Contains("no shell"));
    model.points[5].y() = nan;
    CHECK_THAT(refused(model, sheet.load_case), Contains("Point 5"));
    model = sheet.grid.model;
    model.wall_mm[7] = 0.0;
    CHECK_THAT(refused(model, sheet.load_case), Contains("above 0"));
    model.wall_mm[7] = nan;
    CHECK_THAT(refused(model, sheet.load_case), Contains("above 0"));
    model.wall_mm.pop_back();
    CHECK_THAT(refused(model, sheet.load_case), Contains("one a point"));
    model = sheet.grid.model;
    model.triangles[3] = {0, 1, 4711};
    CHECK_THAT(refused(model, sheet.load_case), Contains("4711"));
    model.triangles[3] = {0, -1, 2};
    CHECK_THAT(refused(model, sheet.load_case), Contains("-1"));
    model.triangles[3] = {4, 4, 5};
    CHECK_THAT(refused(model, sheet.load_case), Contains("no area"));
    model = sheet.grid.model;
    model.points.emplace_back(0, 0, 99);
    model.wall_mm.push_back(2.0);
    CHECK_THAT(refused(model, sheet.load_case), Contains("no triangle"));
    model = sheet.grid.model;
    model.lamina.e2_mpa = -1.0;
    CHECK_THAT(refused(model, sheet.load_case), Contains("moduli"));
    model.lamina = {1000.0, 1000.0, 400.0, 1.1};
    CHECK_THAT(refused(model, sheet.load_case), Contains("Poisson"));
    model = sheet.grid.model;
    model.points.assign(200000, Vec3::Zero());
    CHECK_THAT(refused(model, sheet.load_case), Contains("larger elements"));

    model = sheet.grid.model;
    LinearCase load_case = sheet.load_case;
    load_case.load[11] = nan;
    CHECK_THAT(refused(model, load_case), Contains("load"));
    load_case.load.conservativeResize(6);
    CHECK_THAT(refused(model, load_case), Contains("six a point"));
    load_case = sheet.load_case;
    load_case.supports.push_back({1000, 0, 0.0});
    CHECK_THAT(refused(model, load_case), Contains("1000"));
    load_case = sheet.load_case;
    load_case.springs.push_back({-1, Mat6::Identity()});
    CHECK_THAT(refused(model, load_case), Contains("spring"));
}

TEST_CASE("a shell, or a piece of it, that nothing holds is told how it may move") {
    using Catch::Matchers::Contains;
    generator::Random random(seed() + 7);
    RandomSheet sheet = random_sheet(random);
    sheet.load_case.supports.clear();
    CHECK_THAT(refused(sheet.grid.model, sheet.load_case), Contains("not held"));
    // a hinge: three points of one straight edge leave the turn about it
    for (const int j : {0, 6}) hold(sheet.load_case, sheet.grid.at(0, j), {0, 1, 2});
    CHECK_THAT(refused(sheet.grid.model, sheet.load_case), Contains("turn about"));
    // all but one direction
    sheet.load_case.supports.clear();
    for (int j = 0; j <= 6; ++j) hold(sheet.load_case, sheet.grid.at(0, j), {0, 2, 3, 4, 5});
    CHECK_THAT(refused(sheet.grid.model, sheet.load_case), Contains("move along"));
    // a spring there is enough
    Mat6 spring = Mat6::Zero();
    spring(1, 1) = 10.0;
    sheet.load_case.springs.push_back({3, spring});
    CHECK(refused(sheet.grid.model, sheet.load_case).empty());
    // a second sheet beside the first
    Model two = sheet.grid.model;
    const auto first = static_cast<std::int32_t>(two.points.size());
    for (const Vec3& p : sheet.grid.model.points) two.points.push_back(p + Vec3(0, 300, 0));
    two.wall_mm.insert(two.wall_mm.end(), sheet.grid.model.wall_mm.begin(), sheet.grid.model.wall_mm.end());
    for (const Triangle& t : sheet.grid.model.triangles)
        two.triangles.push_back({t[0] + first, t[1] + first, t[2] + first});
    sheet.load_case.load = Eigen::VectorXd::Zero(6 * 2 * first);
    CHECK_THAT(refused(two, sheet.load_case), Contains("not held") && Contains("y 3"));
}

TEST_CASE("flexing can be cancelled at every word it gives") {
    generator::Random random(seed() + 8);
    const RandomSheet sheet = random_sheet(random);
    int words = 0;
    Progress listener([&](std::string_view, double) { ++words; });
    REQUIRE(solve_linear(sheet.grid.model, sheet.load_case, &listener));
    REQUIRE(words >= 3);
    for (int stop = 1; stop <= words; ++stop) {
        int heard = 0;
        Progress* self = nullptr;
        Progress cancelling([&](std::string_view, double) {
            if (++heard == stop) self->cancel();
        });
        self = &cancelling;
        const auto solved = solve_linear(sheet.grid.model, sheet.load_case, &cancelling);
        REQUIRE(!solved);
        CHECK(solved.fault().kind == FaultKind::cancelled);
        CHECK(heard == stop);
    }
}
