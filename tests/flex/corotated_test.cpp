// The element that moves and turns far: rigid motion, force and energy, tangent, numbering of corners.
#include <Eigen/Dense>
#include <Eigen/Geometry>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/flex/corotated.hpp"
#include "engine/flex/rotation.hpp"
#include "tests/flex/random_shell.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

namespace {

struct Moved {
    std::array<Vec3, 3> corners;
    std::array<Mat3, 3> turned;
};

Vec3 random_vector(generator::Random& random) {
    const double x = random.normal();
    const double y = random.normal();
    const double z = random.normal();
    return {x, y, z};
}

/// Corners strained by about `size` of their distances and turned by as much, then moved as a body.
Moved moved_at_random(const RandomTriangle& triangle, double size, generator::Random& random) {
    const Mat3 turn = random_turn(random);
    const Vec3 shift = 100.0 * random_vector(random);
    Moved made;
    for (int i = 0; i < 3; ++i) {
        const Vec3 strain = 5.0 * size * random_vector(random);
        const Vec3 spin = size * random_vector(random);
        made.corners[i] = turn * (triangle.corners[i] + strain) + shift;
        made.turned[i] = rotation_of(spin) * turn;
    }
    return made;
}

Moved moved_on(const Moved& from, const Vec18& step) {
    Moved made = from;
    for (int i = 0; i < 3; ++i) {
        made.corners[i] += step.segment<3>(6 * i);
        made.turned[i] = rotation_of(step.segment<3>(6 * i + 3)) * from.turned[i];
    }
    return made;
}

Vec18 force_of(const CorotatedElement& element, const Moved& moved) {
    const auto at = element.place(moved.corners, moved.turned);
    REQUIRE(at.possible);
    return element.force(at, element.strain_force(at));
}

double energy_of(const CorotatedElement& element, const Moved& moved) {
    const auto at = element.place(moved.corners, moved.turned);
    REQUIRE(at.possible);
    return 0.5 * at.strained.dot(element.strain_force(at));
}

}  // namespace

TEST_CASE("rotations: matrix and vector, and how a vector follows a spin") {
    const int count = cases(2000, 300, "rotations");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 20, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const double angle = random.between(0.0, 1.0) < 0.3 ? std::pow(10.0, random.between(-9.0, -0.3))
                                                            : random.between(0.2, 3.0);
        const Vec3 vector = angle * random_vector(random).normalized();
        CHECK((vector_of(rotation_of(vector)) - vector).norm() < 1e-12);
        const Vec3 spin = random_vector(random).normalized();
        const Vec3 q = random_vector(random);
        const double h = 1e-5;
        const auto after = [&](double step) {
            return vector_of(rotation_of(step * spin) * rotation_of(vector));
        };
        CHECK(((after(h) - after(-h)) / (2.0 * h) - vector_by_spin(vector) * spin).norm() < 1e-7);
        const auto turned = [&](double step) {
            return Vec3(vector_by_spin(vector + step * spin).transpose() * q);
        };
        CHECK(((turned(h) - turned(-h)) / (2.0 * h) - vector_by_spin_change(vector, q) * spin).norm() < 1e-7);
    }
    CHECK(vector_of(Mat3::Identity()).norm() == 0.0);
    CHECK(rotation_of(Vec3::Zero()) == Mat3::Identity());
}

TEST_CASE("a triangle that moves and turns far as a body has no force, however far") {
    const int count = cases(2000, 200, "triangles moved as bodies");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 21, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const RandomTriangle triangle = random_triangle(random);
        const CorotatedElement element(triangle.element());
        const double most = triangle.element().tangent().cwiseAbs().maxCoeff();
        const Moved body = moved_at_random(triangle, 0.0, random);
        CHECK(force_of(element, body).cwiseAbs().maxCoeff() < 1e-11 * most);

        // and one that is strained takes its forces with it
        const Moved strained = moved_at_random(triangle, 0.05, random);
        const Mat3 turn = random_turn(random);
        const Vec3 shift = 100.0 * random_vector(random);
        Moved there;
        for (int k = 0; k < 3; ++k) {
            there.corners[k] = turn * strained.corners[k] + shift;
            there.turned[k] = turn * strained.turned[k];
        }
        const Vec18 here_force = force_of(element, strained), there_force = force_of(element, there);
        for (int k = 0; k < 6; ++k)
            CHECK((turn * Vec3(here_force.segment<3>(3 * k)) - Vec3(there_force.segment<3>(3 * k))).norm() <
                  1e-10 * most);
        // its forces balance, about its corners as they are
        Vec3 sum = Vec3::Zero(), moment = Vec3::Zero();
        for (int k = 0; k < 3; ++k) {
            const Vec3 force = here_force.segment<3>(6 * k);
            sum += force;
            moment += (strained.corners[k] - strained.corners[0]).cross(force) +
                      Vec3(here_force.segment<3>(6 * k + 3));
        }
        CHECK(sum.norm() < 1e-11 * most);
        CHECK(moment.norm() < 1e-10 * most);
    }
}

TEST_CASE("small motions give the forces of small deflections") {
    const int count = cases(1000, 100, "triangles moved a little");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 22, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const RandomTriangle triangle = random_triangle(random);
        const ShellElement small = triangle.element();
        const CorotatedElement element(small);
        Vec18 step;
        for (int k = 0; k < 18; ++k) step[k] = 1e-6 * random.normal();
        const Moved rest{triangle.corners, {Mat3::Identity(), Mat3::Identity(), Mat3::Identity()}};
        const Vec18 expected = small.internal_force(step);
        CHECK((force_of(element, moved_on(rest, step)) - expected).norm() < 1e-4 * expected.norm());
        const auto at = element.place(rest.corners, rest.turned);
        CHECK((element.tangent(at, Vec18::Zero()) - small.tangent()).norm() < 1e-11 * small.tangent().norm());
    }
}

TEST_CASE("force is the slope of the energy, tangent that of the force") {
    const int count = cases(1000, 100, "strained triangles");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 23, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const RandomTriangle triangle = random_triangle(random);
        const CorotatedElement element(triangle.element());
        const double size = random.between(0.01, 0.15);
        const Moved moved = moved_at_random(triangle, size, random);
        const auto at = element.place(moved.corners, moved.turned);
        const Vec18 strain_force = element.strain_force(at);
        const Vec18 force = element.force(at, strain_force);
        const Mat18 tangent = element.tangent(at, strain_force);
        const double h = 1e-5;
        for (int k = 0; k < 18; ++k) {
            const Vec18 way = Vec18::Unit(k);
            const Moved on = moved_on(moved, h * way), back = moved_on(moved, -h * way);
            const double slope = (energy_of(element, on) - energy_of(element, back)) / (2.0 * h);
            CHECK(std::abs(slope - force[k]) < 1e-6 * (force.norm() + size * tangent.norm()));
            const Vec18 change = (force_of(element, on) - force_of(element, back)) / (2.0 * h);
            CHECK((change - tangent.col(k)).norm() < 1e-6 * tangent.norm());
            const Vec18 strain_change = (element.strain_force(element.place(on.corners, on.turned)) -
                                         element.strain_force(element.place(back.corners, back.turned))) /
                                        (2.0 * h);
            CHECK((strain_change - element.strain_force_change(at, way)).norm() < 1e-6 * tangent.norm());
        }
        // what is not symmetric stands in the corners' spins: half the cross product with their moments
        Mat18 odd = 0.5 * (tangent - tangent.transpose());
        for (int k = 0; k < 3; ++k)
            odd.block<3, 3>(6 * k + 3, 6 * k + 3) -= -0.5 * cross_matrix(force.segment<3>(6 * k + 3));
        CHECK(odd.cwiseAbs().maxCoeff() < 1e-9 * tangent.cwiseAbs().maxCoeff());
    }
}

TEST_CASE("it does not matter which corner comes first, and no corner may turn through") {
    const int count = cases(500, 100, "renumbered triangles");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 24, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const RandomTriangle triangle = random_triangle(random);
        const CorotatedElement element(triangle.element());
        const Moved moved = moved_at_random(triangle, 0.1, random);
        RandomTriangle other = triangle;
        Moved other_moved = moved;
        for (int k = 0; k < 3; ++k) {
            other.corners[k] = triangle.corners[(k + 1) % 3];
            other.wall_mm[k] = triangle.wall_mm[(k + 1) % 3];
            other_moved.corners[k] = moved.corners[(k + 1) % 3];
            other_moved.turned[k] = moved.turned[(k + 1) % 3];
        }
        const Vec18 force = force_of(element, moved);
        const Vec18 other_force = force_of(CorotatedElement(other.element()), other_moved);
        for (int k = 0; k < 3; ++k)
            CHECK((force.segment<6>(6 * ((k + 1) % 3)) - other_force.segment<6>(6 * k)).norm() <
                  1e-9 * force.norm());
        Moved through = moved;
        through.turned[1] = rotation_of(Vec3(0.9 * std::numbers::pi, 0, 0)) * through.turned[1];
        CHECK(!element.place(through.corners, through.turned).possible);
        through = moved;
        through.corners[2] = through.corners[1];
        CHECK(!element.place(through.corners, through.turned).possible);
    }
}
