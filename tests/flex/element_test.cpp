// The element itself: constant strain, rigid motion, turns of axes and of corners, wall and stuff.
#include <Eigen/Dense>
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/flex/stress.hpp"
#include "tests/flex/random_shell.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

TEST_CASE("patch test: constant strain and curvature are met exactly") {
    // Irons and Razzaque 1972: a patch of irregular elements whose border moves as constant strain and
    // curvature would must follow inside, for any direction in space, wall and stuff.
    const int count = cases(500, 60, "patches");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed(), static_cast<std::uint64_t>(i));
        const Patch patch = random_patch(random);
        CAPTURE(i);
        const auto solved = solve_linear(patch.model, patch.load_case);
        REQUIRE(solved);
        const double scale = patch.exact.cwiseAbs().maxCoeff();
        CHECK((solved->displacement - patch.exact).cwiseAbs().maxCoeff() < 1e-9 * scale);
        const std::vector<ElementStress> found = stresses(patch.model, solved->displacement);
        for (std::size_t t = 0; t < found.size(); ++t) {
            // the exact stress in the patch's axes, turned into the facet's
            const Facet facet = patch.model.element(t).facet();
            const double angle = facet.angle_of(patch.axes.row(0));  // of the patch's x from the facet's
            const double c = std::cos(angle), s = std::sin(angle);
            for (const bool top : {true, false}) {
                const Vec3 expected = top ? patch.stress_top : patch.stress_under;
                const FaceStress face = top ? found[t].foot_side : found[t].underside;
                const Vec3 turned(c * c * face.xx + s * s * face.yy + 2 * c * s * face.xy,
                                  s * s * face.xx + c * c * face.yy - 2 * c * s * face.xy,
                                  (face.yy - face.xx) * c * s + (c * c - s * s) * face.xy);
                CHECK((turned - expected).norm() < 1e-8 * patch.stress_scale);
            }
        }
    }
}

TEST_CASE("rigid motion costs nothing; nothing else is free") {
    const int count = cases(2000, 200, "triangles");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 1, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const RandomTriangle triangle = random_triangle(random);
        const ShellElement element = triangle.element();
        const Mat18 tangent = element.tangent();
        const double most = tangent.cwiseAbs().maxCoeff();
        CHECK((tangent - tangent.transpose()).cwiseAbs().maxCoeff() < 1e-12 * most);
        // six modes without force, twelve with
        const Eigen::SelfAdjointEigenSolver<Mat18> modes(Mat18(0.5 * (tangent + tangent.transpose())));
        CHECK(modes.eigenvalues()[5] < 1e-10 * modes.eigenvalues()[17]);
        CHECK(modes.eigenvalues()[0] > -1e-10 * modes.eigenvalues()[17]);
        CHECK(modes.eigenvalues()[6] > 0.0);
        CHECK(modes.eigenvalues()[6] > 100.0 * std::abs(modes.eigenvalues()[5]));
        // a random rigid motion: forces against those of a motion of the same size that is not rigid
        const Vec3 shift(random.normal(), random.normal(), random.normal());
        const Vec3 turn(random.normal(), random.normal(), random.normal());
        Vec18 rigid;
        for (int k = 0; k < 3; ++k) {
            rigid.segment<3>(6 * k) = shift + turn.cross(triangle.corners[k]);
            rigid.segment<3>(6 * k + 3) = turn;
        }
        CHECK(element.internal_force(rigid).cwiseAbs().maxCoeff() <
              1e-8 * most * rigid.cwiseAbs().maxCoeff());
        // force and tangent are of one element
        Vec18 any;
        for (int k = 0; k < 18; ++k) any[k] = random.normal();
        CHECK((element.internal_force(any) - tangent * any).norm() < 1e-10 * (tangent * any).norm());
        // whatever it does, its forces balance
        const Vec18 force = element.internal_force(any);
        Vec3 sum = Vec3::Zero(), moment = Vec3::Zero();
        double arms = 0.0;
        for (int k = 0; k < 3; ++k) {
            const Vec3 f = force.segment<3>(6 * k), m = force.segment<3>(6 * k + 3);
            sum += f;
            moment += m + triangle.corners[k].cross(f);
            arms += m.norm() + triangle.corners[k].norm() * f.norm();
        }
        CHECK(sum.norm() < 1e-9 * force.norm());
        CHECK(moment.norm() < 1e-9 * arms);
    }
}

TEST_CASE("neither the turn of the triangle in space nor its first corner matters") {
    const int count = cases(2000, 200, "turned triangles");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 2, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const RandomTriangle triangle = random_triangle(random);
        const Mat18 tangent = triangle.element().tangent();
        const double most = tangent.cwiseAbs().maxCoeff();

        RandomTriangle rolled = triangle;
        for (int k = 0; k < 3; ++k) {
            rolled.corners[k] = triangle.corners[(k + 1) % 3];
            rolled.wall_mm[k] = triangle.wall_mm[(k + 1) % 3];
        }
        const Mat18 again = rolled.element().tangent();
        double worst = 0.0;
        for (int a = 0; a < 3; ++a)
            for (int b = 0; b < 3; ++b)
                worst = std::max(worst, (again.block<6, 6>(6 * a, 6 * b) -
                                         tangent.block<6, 6>(6 * ((a + 1) % 3), 6 * ((b + 1) % 3)))
                                            .cwiseAbs()
                                            .maxCoeff());
        CHECK(worst < 1e-9 * most);

        const Mat3 turn = random_turn(random);
        RandomTriangle turned = triangle;
        for (Vec3& corner : turned.corners) corner = turn * corner;
        turned.fibre = turn * triangle.fibre;
        const Mat18 there = turned.element().tangent();
        Mat18 expected;
        for (int a = 0; a < 6; ++a)
            for (int b = 0; b < 6; ++b)
                expected.block<3, 3>(3 * a, 3 * b) =
                    turn * tangent.block<3, 3>(3 * a, 3 * b) * turn.transpose();
        CHECK((there - expected).cwiseAbs().maxCoeff() < 1e-8 * most);
    }
}

TEST_CASE("energy of constant strain and curvature over a straight wall is its integral") {
    // integral of t over a triangle = A (t1 + t2 + t3) / 3; of t^3 = A / 10 x the sum of all products of
    // three
    const int count = cases(2000, 200, "walls");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 3, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        const RandomTriangle triangle = random_triangle(random);
        const ShellElement element = triangle.element();
        const Facet& facet = element.facet();
        const Vec3 strain(random.normal(), random.normal(), random.normal());
        const Vec3 bent(random.normal(), random.normal(), random.normal());  // w,xx w,yy w,xy
        Vec18 local;
        for (int k = 0; k < 3; ++k) {
            const double x = facet.x[k], y = facet.y[k];
            local.segment<6>(6 * k) << strain[0] * x + 0.5 * strain[2] * y,
                strain[1] * y + 0.5 * strain[2] * x,
                0.5 * (bent[0] * x * x + bent[1] * y * y) + bent[2] * x * y, bent[1] * y + bent[2] * x,
                -(bent[0] * x + bent[2] * y), 0.0;
        }
        double cubes = 0.0;
        const auto& t = triangle.wall_mm;
        for (int a = 0; a < 3; ++a)
            for (int b = a; b < 3; ++b)
                for (int c = b; c < 3; ++c) cubes += t[a] * t[b] * t[c];
        const Vec3 curvature(bent[0], bent[1], 2.0 * bent[2]);
        const double expected =
            facet.area * (t[0] + t[1] + t[2]) / 3.0 * strain.dot(element.elastic() * strain) +
            facet.area * cubes / 120.0 * curvature.dot(element.elastic() * curvature);
        CHECK(local.dot(element.local_stiffness() * local) == Approx(expected).epsilon(1e-9));
    }
}

TEST_CASE("a lamina turned by an angle has the closed-form modulus off its axis") {
    // 1 / Ex = c^4 / E1 + s^4 / E2 + (1 / G12 - 2 nu12 / E1) c^2 s^2 (Jones 1975, equation 2.97)
    const Lamina ply{120000.0, 8000.0, 4500.0, 0.3};
    for (int degrees = 0; degrees <= 90; degrees += 15) {
        const double a = degrees * std::numbers::pi / 180.0, c = std::cos(a), s = std::sin(a);
        const double compliance = std::pow(c, 4) / 120000.0 + std::pow(s, 4) / 8000.0 +
                                  (1.0 / 4500.0 - 2.0 * 0.3 / 120000.0) * c * c * s * s;
        CHECK(ply.plane_stress(a).inverse()(0, 0) == Approx(compliance).epsilon(1e-12));
    }
    // the same sheet in every direction
    const Lamina plain = Lamina::isotropic(1300.0, 0.42);
    CHECK((plain.plane_stress(0.7) - plain.plane_stress()).norm() < 1e-12 * plain.plane_stress().norm());
    CHECK(plain.plane_stress()(0, 1) == Approx(1300.0 * 0.42 / (1.0 - 0.42 * 0.42)));
}
