// A post with two faces: closed forms, the mesh against them, the exact solid and its STEP file.
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <numbers>
#include <random>

#include "engine/base/tolerances.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/solid/solid.hpp"
#include "engine/solid/step_file.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "tests/solid/sound.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using surface::Post;
using surface::Shell;

namespace {

constexpr double half = Post::Hinge::half_breadth_mm;

double radians_of(double degrees) {
    return degrees * std::numbers::pi / 180.0;
}

// The rise over a disc whose middle lies on the hinge: the wedge k d over half of it, and the little the
// rounded hinge adds, k (half - |d|)^2 / (4 half) on both sides.
double rise_over_disc(double rise, double radius) {
    double rounding = 0.0;
    constexpr int steps = 2000;
    for (int k = 0; k < steps; ++k) {
        const double d = -half + (k + 0.5) * 2.0 * half / steps;
        rounding += (half - std::abs(d)) * (half - std::abs(d)) / (4.0 * half) * 2.0 *
                    std::sqrt(radius * radius - d * d) * 2.0 * half / steps;
    }
    return rise * (2.0 / 3.0 * radius * radius * radius + rounding);
}

}  // namespace

TEST_CASE("A floor of two faces takes its closed form, in solid, mesh and STEP file", "[hinge]") {
    const double motion = GENERATE(0.5, 4.0, 8.0), radius = 18.0, height = 6.0;
    tests::Plate plate = tests::plate(surface::Rim::Kind::rounded);
    Post post{"heel", tests::uv_circle({45, 42}, radius, 64), 0.0, Vec3(0, 0, -height), -Vec3::UnitZ()};
    const Vec3 middle = plate.shell.underside.point({45, 42});
    const double turn = 0.3;  // the hinge need not run along an axis
    post.hinge =
        Post::Hinge{middle.head<2>(), Vec2(std::cos(turn), std::sin(turn)), std::tan(radians_of(motion))};
    plate.shell.posts.push_back(post);
    const auto body = solid::build_solid(plate.shell);
    const solid::SolidReport report = tests::sound(body);
    const double block =
        std::numbers::pi * radius * radius * height - rise_over_disc(post.hinge->rise, radius);
    CHECK(report.volume_mm3 == Approx(plate.volume + block).epsilon(2e-5));

    const auto mesh = surface::mesh_shell(plate.shell);
    REQUIRE(mesh.ok());
    CHECK(find_soundness(mesh->mesh).sound());
    CHECK(self_intersections(mesh->mesh, 1).empty());
    CHECK(mesh->mesh.volume() == Approx(report.volume_mm3).epsilon(5e-4));
    // every triangle of the floor lies on it; beyond the hinge each face is at its angle
    std::size_t on_plane = 0, on_second = 0;
    for (std::size_t t = mesh->walls_end; t < mesh->mesh.triangles.size(); ++t) {
        const Triangle& c = mesh->mesh.triangles[t];
        double low = 1e300, high = -1e300;
        Vec3 mean = Vec3::Zero();
        for (int k = 0; k < 3; ++k) {
            const Vec3& p = mesh->mesh.points[static_cast<std::size_t>(c[static_cast<std::size_t>(k)])];
            CHECK(std::abs(surface::height_above_floor(post, p)) < 1e-9);
            mean += p / 3.0;
            const double d = (p.head<2>() - post.hinge->point).dot(post.hinge->beyond);
            low = std::min(low, d);
            high = std::max(high, d);
        }
        CHECK(std::abs(surface::height_above_floor(post, mean)) < 0.25 * tolerance::chord_mm);
        const Vec3 n = mesh->mesh.normal2(t).normalized();
        const double slope = -n.head<2>().dot(post.hinge->beyond) / n.z();
        if (high <= -half) {
            CHECK(std::abs(slope) < 1e-9);
            ++on_plane;
        } else if (low >= half) {
            CHECK(slope == Approx(post.hinge->rise).margin(1e-9));
            ++on_second;
        }
    }
    CHECK(on_plane > 5);
    CHECK(on_second > 5);

    const auto text = solid::step_text(*body, {});
    REQUIRE(text.ok());
    const tests::TemporaryFolder folder;
    std::ofstream(folder.path() / "hinge.step", std::ios::binary) << *text;
    const auto back = solid::read_step(folder.path() / "hinge.step");
    REQUIRE(back.ok());
    CHECK(back->report.valid);
    CHECK(back->report.volume_mm3 == Approx(report.volume_mm3).epsilon(tolerance::step_volume_relative));
}

TEST_CASE("Random hinges, drafts and tilts: walls end on the floor, mesh and solid agree", "[hinge]") {
    std::mt19937_64 random(tests::seed());
    const auto between = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    for (int i = tests::cases(200, 10, "posts with two faces"); i > 0; --i) {
        tests::Plate plate = tests::plate(surface::Rim::Kind::square);
        const double tilt = radians_of(between(-8, 8)), pitch = radians_of(between(-5, 5));
        Post post{"heel", tests::rounded_rectangle({50, 44}, {between(25, 50), between(20, 34)}, 7, 8),
                  between(-20, 20), Vec3(50, 44, -between(9, 12)),
                  Vec3(std::tan(pitch), std::tan(tilt), -1.0).normalized()};
        const double turn = between(0.0, 6.28);
        const Vec3 middle = plate.shell.underside.point({50, 44});
        post.floor_point.head<2>() = middle.head<2>();
        post.hinge = Post::Hinge{middle.head<2>() + Vec2{between(-25, 25), between(-25, 25)},
                                 Vec2(std::cos(turn), std::sin(turn)), between(0.0, 0.14)};
        plate.shell.posts.push_back(post);
        const auto mesh = surface::mesh_shell(plate.shell);
        if (!mesh.ok()) {  // the second face may rise into the shell
            CHECK(mesh.fault().where.has_value());
            continue;
        }
        CHECK(find_soundness(mesh->mesh).sound());
        CHECK(self_intersections(mesh->mesh, 1).empty());
        const auto& edge = mesh->edges.back();
        for (std::size_t k = 0; k < edge.s.size(); ++k)
            CHECK(std::abs(surface::height_above_floor(post, mesh->mesh.points[edge.lower + k])) < 1e-9);
        const solid::SolidReport report = tests::sound(solid::build_solid(plate.shell));
        CHECK(mesh->mesh.volume() == Approx(report.volume_mm3).epsilon(5e-4));
    }
}

TEST_CASE("A second face that cannot be is refused", "[hinge]") {
    tests::Plate plate = tests::plate(surface::Rim::Kind::square);
    Post post{"heel", tests::uv_circle({45, 42}, 15, 32), 0.0, Vec3(0, 0, -6), -Vec3::UnitZ()};
    for (const auto& [beyond, rise] : {std::pair(Vec2(1, 0), -0.01), std::pair(Vec2(1, 0), 0.31),
                                       std::pair(Vec2(2, 0), 0.1), std::pair(Vec2(1, 0), std::nan(""))}) {
        post.hinge = Post::Hinge{plate.shell.underside.point({45, 42}).head<2>(), beyond, rise};
        plate.shell.posts = {post};
        CHECK_FALSE(surface::mesh_shell(plate.shell).ok());
    }
    // a face that rises through the underside
    post.hinge = Post::Hinge{plate.shell.underside.point({35, 42}).head<2>(), Vec2(1, 0), 0.3};
    plate.shell.posts = {post};
    const auto refused = surface::mesh_shell(plate.shell);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.fault().message.find("heel") != std::string::npos);
    CHECK(refused.fault().where.has_value());
}
