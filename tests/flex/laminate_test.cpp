// Laminates against published matrices, closed forms and invariants; what they make of a flexed plate.
#include "engine/flex/laminate.hpp"

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "engine/base/units.hpp"
#include "engine/flex/model.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::flex;

namespace {

/// T300/5208 carbon-epoxy (S. W. Tsai and H. T. Hahn, Introduction to Composite Materials, 1980, table 1.7).
const Lamina t300{181000.0, 10300.0, 7170.0, 0.28};

Laminate stack(const Lamina& ply, const std::vector<double>& degrees_from_below, double each_mm) {
    Laminate all;
    all.ply = ply;
    for (const double angle : degrees_from_below) all.plies.push_back({radians(angle), each_mm});
    return all;
}

/// Largest difference as a share of the largest entry.
double off(const Mat3& a, const Mat3& b) {
    return (a - b).cwiseAbs().maxCoeff() / b.cwiseAbs().maxCoeff();
}

Laminate random_stack(std::mt19937_64& random, bool mirrored) {
    Laminate all;
    const double e2 = tests::uniform(random, 2000, 20000), e1 = e2 * tests::uniform(random, 1, 20);
    const double g12 = tests::uniform(random, 1000, 8000);
    all.ply = {e1, e2, g12, tests::uniform(random, 0.01, 0.9) * std::sqrt(std::min(1.0, 0.2 * e1 / e2))};
    const int count = static_cast<int>(tests::uniform(random, 1, 9));
    for (int i = 0; i < count; ++i) {
        const double angle = tests::uniform(random, -1.57, 1.57);
        all.plies.push_back({angle, tests::uniform(random, 0.1, 0.4)});
    }
    if (mirrored)
        for (int i = count - 1; i >= 0; --i) all.plies.push_back(all.plies[static_cast<std::size_t>(i)]);
    return all;
}

}  // namespace

TEST_CASE("laminate: reduced stiffnesses of a published lamina", "[laminate]") {
    // R. M. Jones, Mechanics of Composite Materials (1975), section 4.4: E-glass/epoxy with E1 = 7.8, E2 =
    // 2.6, G12 = 1.25 million psi, nu12 = 0.25 gives Q11 = 7.966, Q12 = 0.6638, Q22 = 2.655 (from memory)
    const Mat3 glass = Lamina{7.8, 2.6, 1.25, 0.25}.plane_stress();
    CHECK(glass(0, 0) == Approx(7.966).margin(5e-4));
    CHECK(glass(0, 1) == Approx(0.6638).margin(5e-5));
    CHECK(glass(1, 1) == Approx(2.655).margin(1e-3));
    CHECK(glass(2, 2) == 1.25);
    // T300/5208: 181.8, 2.897, 10.35, 7.17 GPa (Tsai and Hahn 1980, table 1.7; from memory)
    const Mat3 q = t300.plane_stress() / 1000.0;
    CHECK(q(0, 0) == Approx(181.8).margin(0.05));
    CHECK(q(0, 1) == Approx(2.897).margin(5e-4));
    CHECK(q(1, 1) == Approx(10.35).margin(5e-3));
    CHECK(q(2, 2) == 7.17);
    // and at 30 degrees: 109.4, 32.46, 23.65, 54.19, 20.05, 36.74 GPa
    const Mat3 turned30 = t300.plane_stress(radians(30)) / 1000.0;
    Mat3 published;
    published << 109.4, 32.46, 54.19, 32.46, 23.65, 20.05, 54.19, 20.05, 36.74;
    CHECK(off(turned30, published) < 5e-4);
}

TEST_CASE("laminate: A, B and D of a published stack of three plies", "[laminate]") {
    // A. K. Kaw, Mechanics of Composite Materials (2nd ed. 2006), example 4.2: [0/30/-45], plies of 5 mm of
    // T300/5208, the first on top with z downwards; printed to four figures (from memory; 18 figures agree)
    const LaminateStiffness s = stiffness_of(stack(t300, {0, 30, -45}, 5.0));
    Mat3 a, b, d;
    a << 1.739e9, 3.884e8, 5.663e7, 3.884e8, 4.533e8, -1.141e8, 5.663e7, -1.141e8, 4.525e8;
    b << -3.129e6, 9.855e5, -1.072e6, 9.855e5, 1.158e6, -1.072e6, -1.072e6, -1.072e6, 9.855e5;
    d << 3.343e4, 6.461e3, -5.240e3, 6.461e3, 9.320e3, -5.596e3, -5.240e3, -5.596e3, 7.663e3;
    CHECK(off(1e3 * s.stretching, a) < 5e-4);  // N/mm to N/m
    CHECK(off(s.coupling, b) < 5e-4);          // N
    CHECK(off(1e-3 * s.bending, d) < 5e-4);    // N mm to N m
    // the same example, 1000 N/m along x and y: strains 3.123e-7, 3.492e-6, -7.598e-7, curvatures 2.971e-5,
    // -3.285e-4, 4.101e-4 1/m
    Eigen::Matrix<double, 6, 6> whole;
    whole << 1e3 * s.stretching, s.coupling, s.coupling, 1e-3 * s.bending;
    Eigen::Matrix<double, 6, 1> load;
    load << 1000, 1000, 0, 0, 0, 0;
    const Eigen::Matrix<double, 6, 1> answer = whole.ldlt().solve(load);
    const double printed[] = {3.123e-7, 3.492e-6, -7.598e-7, 2.971e-5, -3.285e-4, 4.101e-4};
    for (int i = 0; i < 6; ++i) CHECK(answer[i] == Approx(printed[i]).epsilon(1e-3));
}

TEST_CASE("laminate: one stuff is the plate of the books", "[laminate]") {
    // D = E t^3 / (12 (1 - nu^2)): 3824.7 N mm at 3 mm of 1400 MPa, 0.42; and however it is cut into plies
    const Lamina plain = Lamina::isotropic(1400, 0.42);
    const Sheet sheet = Sheet::of(plain);
    CHECK(sheet.rigidity(3) == Approx(1400 * 27 / (12 * (1 - 0.42 * 0.42))).epsilon(1e-12));
    CHECK(sheet.rigidity(3) == Approx(3824.7).epsilon(1e-5));
    CHECK(sheet.bending_modulus() == Approx(1400).epsilon(1e-12));
    const Sheet cut = Sheet::of(stack(plain, {0, 17, -45, 90, 33}, 0.7));
    CHECK(off(cut.stretching, sheet.stretching) < 1e-12);
    CHECK(off(cut.bending, sheet.bending) < 1e-12);
    CHECK(sheet.rigidity(6) == Approx(8 * sheet.rigidity(3)).epsilon(1e-12));  // the cube
}

TEST_CASE("laminate: a cross-ply is worked out by hand", "[laminate]") {
    // [0/90/0], equal plies: A11/t = (2 Q11 + Q22)/3; D11 12/t^3 = (26 Q11 + Q22)/27
    const Mat3 q = t300.plane_stress();
    const Sheet sheet = Sheet::of(stack(t300, {0, 90, 0}, 0.2));
    CHECK(sheet.stretching(0, 0) == Approx((2 * q(0, 0) + q(1, 1)) / 3).epsilon(1e-12));
    CHECK(sheet.bending(0, 0) == Approx((26 * q(0, 0) + q(1, 1)) / 27).epsilon(1e-12));
    CHECK(sheet.bending(1, 1) == Approx((26 * q(1, 1) + q(0, 0)) / 27).epsilon(1e-12));
    CHECK(std::abs(sheet.bending(0, 2)) < 1e-9 * q(0, 0));
}

TEST_CASE("laminate: random stacks keep what no stack can lose", "[laminate]") {
    std::mt19937_64 random(tests::seed());
    for (int n = tests::cases(2000, 200, "random laminates"); n > 0; --n) {
        const Laminate even = random_stack(random, true), any = random_stack(random, false);
        REQUIRE(even.check().ok());
        CHECK(symmetric(even));
        const LaminateStiffness s = stiffness_of(even);
        const double t = even.thickness_mm();
        CHECK(s.coupling.cwiseAbs().maxCoeff() < 1e-10 * t * s.stretching.cwiseAbs().maxCoeff());
        CHECK(Eigen::LLT<Mat3>(s.bending).info() == Eigen::Success);
        // a trace no turning changes: A11 + A22 + 2 A12 is t (Q11 + Q22 + 2 Q12)
        const Mat3 q = any.ply.plane_stress();
        const LaminateStiffness r = stiffness_of(any);
        const double kept = q(0, 0) + q(1, 1) + 2 * q(0, 1);
        CHECK(r.stretching(0, 0) + r.stretching(1, 1) + 2 * r.stretching(0, 1) ==
              Approx(any.thickness_mm() * kept).epsilon(1e-10));
        // turned plies are the turned sheet
        const double angle = tests::uniform(random, -3, 3);
        Laminate round = any;
        for (flex::Ply& ply : round.plies) ply.angle += angle;
        const Sheet a = Sheet::of(round), b = Sheet::of(any).turned(angle);
        CHECK(off(a.stretching, b.stretching) < 1e-10);
        CHECK(off(a.bending, b.bending) < 1e-10);
        // twice the wall in the same proportions: the same sheet
        Laminate thick = any;
        for (flex::Ply& ply : thick.plies) ply.thickness_mm *= 2;
        CHECK(off(Sheet::of(thick).bending, Sheet::of(any).bending) < 1e-12);
    }
}

TEST_CASE("laminate: elements of a stack of one stuff are those of the stuff", "[laminate]") {
    const std::array<Vec3, 3> corners{Vec3(0, 0, 0), Vec3(4, 0.3, 0.2), Vec3(1, 3, 0.5)};
    const std::array<double, 3> wall{2, 2.4, 3};
    const Lamina plain = Lamina::isotropic(1400, 0.42);
    const ShellElement one(corners, wall, plain),
        layered(corners, wall, Sheet::of(stack(plain, {20, -70}, 1)));
    CHECK((one.local_stiffness() - layered.local_stiffness()).cwiseAbs().maxCoeff() <
          1e-10 * one.local_stiffness().cwiseAbs().maxCoeff());
    // and a fibre at an angle is a ply at that angle
    const double angle = radians(35);
    const ShellElement fibre(corners, wall, t300, Vec3(std::cos(angle), std::sin(angle), 0)),
        ply(corners, wall, t300);
    CHECK((fibre.local_stiffness() - ply.local_stiffness()).cwiseAbs().maxCoeff() >
          1e-2 * ply.local_stiffness().cwiseAbs().maxCoeff());
}

TEST_CASE("laminate: what cannot be is refused", "[laminate]") {
    CHECK_FALSE(Laminate{}.check().ok());
    CHECK_FALSE(stack(t300, {0, 90}, 0.0).check().ok());
    CHECK_FALSE(stack(Lamina{1, 100, 1, 0.5}, {0}, 1).check().ok());
    CHECK_FALSE(symmetric(stack(t300, {0, 90}, 1)));
    CHECK(symmetric(stack(t300, {45, 0, 45}, 1)));
}
