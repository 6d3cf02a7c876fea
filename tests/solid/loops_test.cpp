// Apertures and posts in the exact solid: volumes in closed form, one closed body, the floor's angle in the
// file.
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <numbers>
#include <random>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/solid/solid.hpp"
#include "engine/solid/step_file.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/loop_check.hpp"
#include "engine/surface/rim.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "tests/solid/sound.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/step_planes.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using surface::Post;
using surface::Rim;
using surface::Shell;
using tests::sound;

namespace {

constexpr double pi = std::numbers::pi;

Post post_at(const surface::PeriodicCurve& curve, double floor_z, double draft = 0.0) {
    return {"rearfoot", curve, draft, Vec3(0.0, 0.0, floor_z), -Vec3::UnitZ()};
}

// A plate with a hole and a wedge of 5 degrees, neither of them symmetrical.
Shell plate_with_loops(Rim::Kind rim) {
    Shell shell = tests::plate(rim).shell;
    const double a = 5 * pi / 180;
    shell.apertures.push_back({"met", tests::rounded_rectangle({85, 46}, {20, 14}, 5, 4), {rim, 0.5}});
    shell.posts.push_back({"wedge", tests::rounded_rectangle({42, 38}, {40, 30}, 8, 6), 4.0, Vec3(0, 0, -8),
                           Vec3(0.0, std::sin(a), -std::cos(a))});
    return shell;
}

// The gate of the build: mesh and solid within 0.05 % and what the chords of the rims cut off.
void agree(const Shell& shell, const solid::SolidReport& report) {
    const auto mesh = surface::mesh_shell(shell);
    REQUIRE(mesh.ok());
    double rims = 0.0;
    for (std::size_t k = mesh->underside_end; k < mesh->walls_end; ++k) rims += mesh->mesh.area(k);
    CHECK(std::abs(mesh->mesh.volume() - report.volume_mm3) <=
          tolerance::volume_relative * report.volume_mm3 + 2.0 / 3.0 * tolerance::chord_mm * rims);
    const Box3 box = mesh->mesh.box();
    CHECK((box.low - report.box.low).minCoeff() > -1e-3);
    CHECK((report.box.high - box.high).minCoeff() > -1e-3);
}

}  // namespace

TEST_CASE("A round aperture takes its closed form from the exact solid, with every rim", "[loops]") {
    const auto [kind, faces] = GENERATE(
        table<Rim::Kind, int>({{Rim::Kind::square, 4}, {Rim::Kind::bevelled, 12}, {Rim::Kind::rounded, 4}}));
    const double r = 9.0, t = tests::Plate::thickness;
    tests::Plate plate = tests::plate(Rim::Kind::square);
    plate.shell.apertures.push_back({"heel", tests::uv_circle({50, 42}, r, 48), {kind, 0.5}});
    const solid::SolidReport report = sound(solid::build_solid(plate.shell));
    CHECK(report.faces == 6 + faces);
    double truth = plate.volume - pi * r * r * t;
    if (kind == Rim::Kind::rounded) {
        const double k = 2.0 / 3.0 * t;
        truth += 2 * pi * (r * 0.6 * k * t - 27.0 / 140.0 * k * k * t);
    } else if (kind == Rim::Kind::bevelled) {
        const auto rows = surface::borders(plate.shell)[1].rows(0.0).rows;
        const double b = (rows[1] - rows[0]).head<2>().norm(), h = rows[1].z() - rows[2].z();
        truth += 2 * pi * (r * b * (t + h) / 2 - b * b * (t + 2 * h) / 6);
    }
    CHECK(report.volume_mm3 == Approx(truth).epsilon(2e-5));
    agree(plate.shell, report);
}

TEST_CASE("A post's block has its closed form in the exact solid", "[loops]") {
    const double draft = GENERATE(0.0, 4.0, 15.0, -10.0);
    const auto loop = tests::rounded_rectangle({40, 40}, {36, 30}, 9, 10);
    const double area = tests::enclosed_area(loop), round = tests::length(loop), h = 6.0;
    tests::Plate plate = tests::plate(Rim::Kind::rounded);
    plate.shell.posts.push_back(post_at(loop, -h, draft));
    const solid::SolidReport report = sound(solid::build_solid(plate.shell));
    CHECK(report.faces == 6 + 4 + 1);
    const double slope = std::tan(draft * pi / 180);
    const double block = area * h - round * slope * h * h / 2 + pi * slope * slope * h * h * h / 3;
    CHECK(report.volume_mm3 == Approx(plate.volume + block).epsilon(2e-5));
    CHECK(report.box.low.z() == Approx(-h).margin(1e-6));
    agree(plate.shell, report);
}

TEST_CASE("A post alone is one closed solid with the same closed form", "[loops]") {
    const double draft = GENERATE(0.0, 4.0, 15.0, -10.0);
    const auto loop = tests::rounded_rectangle({40, 40}, {36, 30}, 9, 10);
    const double area = tests::enclosed_area(loop), round = tests::length(loop), h = 6.0;
    const tests::Plate plate = tests::plate(Rim::Kind::rounded);
    const solid::SolidReport report =
        sound(solid::build_post(plate.shell.underside, post_at(loop, -h, draft)));
    CHECK(report.faces == 1 + 4 + 1);
    const double slope = std::tan(draft * pi / 180);
    CHECK(report.volume_mm3 ==
          Approx(area * h - round * slope * h * h / 2 + pi * slope * slope * h * h * h / 3).epsilon(2e-5));
    CHECK(report.edge_deviation_mm < tolerance::edge_mm);
}

TEST_CASE("Loops on a trough and a cap: mesh, solid and closed form", "[loops]") {
    tests::Trough trough = tests::trough(48);
    const double Q = tests::Trough::R + tests::Trough::t;
    const auto hole = tests::uv_circle({115, 45}, 8, 24);
    const auto loop = tests::rounded_rectangle({50, 54}, {50, 36}, 9, 8);
    trough.shell.apertures.push_back({"a", hole, {Rim::Kind::square, 0.5}});
    trough.shell.posts.push_back(post_at(loop, -8));
    const double filled = tests::integrate(loop, [&](const Vec2& uv) {
        const double a = (uv.y() - 50.0) / tests::Trough::R;
        return (tests::Trough::R - Q * std::cos(a) + 8.0) * Q * std::cos(a) / tests::Trough::R;
    });
    const double per_area = tests::Trough::t + tests::Trough::t * tests::Trough::t / (2.0 * tests::Trough::R);
    const solid::SolidReport gutter = sound(solid::build_solid(trough.shell));
    CHECK(gutter.volume_mm3 == Approx(trough.volume - hole.signed_area() * per_area + filled).epsilon(2e-5));
    agree(trough.shell, gutter);

    tests::Cap cap = tests::cap(40, 96);
    const double middle = cap.shell.carpet.u.length / 2, outer = tests::Cap::R + tests::Cap::t, r = 12;
    cap.shell.apertures.push_back({"a", tests::uv_circle({middle, middle}, r, 48), {Rim::Kind::square, 0.5}});
    const solid::SolidReport cup = sound(solid::build_solid(cap.shell));
    CHECK(cup.volume_mm3 == Approx(2 * pi / 3 * (std::pow(outer, 3) - std::pow(tests::Cap::R, 3)) *
                                   (std::cos(r / tests::Cap::R) - std::cos(tests::Cap::r / tests::Cap::R)))
                                .epsilon(2e-5));
    agree(cap.shell, cup);
}

TEST_CASE("Loops go through STEP and come back, with the floor at its angle", "[loops]") {
    for (const auto& [angle, across] : {std::pair(1.0, 70.0), std::pair(5.0, 80.0)}) {
        Shell shell = tests::plate(Rim::Kind::rounded).shell;
        const double a = angle * pi / 180;
        shell.posts.push_back({"wedge", tests::rounded_rectangle({60, 44}, {across, 20}, 6, 10), 3.0,
                               Vec3(50, 0, -9), Vec3(std::sin(a), 0.0, -std::cos(a))});
        shell.apertures.push_back({"a", tests::uv_circle({60, 23}, 6), {Rim::Kind::rounded, 0.5}});
        const auto built = solid::build_solid(shell);
        const solid::SolidReport before = sound(built);
        const auto text = solid::step_text(*built, {"DEMO-01 right"});
        REQUIRE(text.ok());
        CHECK(*solid::step_text(*solid::build_solid(shell), {"DEMO-01 right"}) == *text);
        const std::vector<Vec3> planes = tests::plane_normals(*text);
        REQUIRE(planes.size() == 1);
        const Vec3& normal = planes.front();
        const double measured = std::atan2(std::abs(normal.x()), std::abs(normal.z())) * 180 / pi;
        CHECK(measured == Approx(angle).margin(0.05));
        CHECK(std::abs(normal.y()) < 1e-9);
        const tests::TemporaryFolder folder;
        std::ofstream(folder.path() / "f.step", std::ios::binary) << *text;
        const auto read = solid::read_step(folder.path() / "f.step");
        INFO((read ? std::string() : read.fault().message));
        REQUIRE(read.ok());
        INFO(read->report.fault);
        CHECK(read->report.valid);
        CHECK(read->report.one_closed_solid);
        CHECK(read->report.faces == before.faces);
        CHECK(read->report.volume_mm3 == Approx(before.volume_mm3).epsilon(tolerance::step_volume_relative));
        CHECK((read->report.box.low - before.box.low).norm() < 1e-5);
        CHECK((read->report.box.high - before.box.high).norm() < 1e-5);
    }
}

TEST_CASE("A left solid with loops is the right one mirrored", "[loops]") {
    const auto rim = GENERATE(Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded);
    const Shell shell = plate_with_loops(rim);
    const auto right = solid::build_solid(shell);
    const solid::SolidReport a = sound(right);
    agree(shell, a);
    const auto left = solid::mirrored(*right);
    const solid::SolidReport b = sound(left);
    CHECK(b.volume_mm3 == Approx(a.volume_mm3).epsilon(1e-9));
    CHECK(*solid::area(*left) == Approx(*solid::area(*right)).epsilon(1e-9));
    CHECK(b.faces == a.faces);
    const solid::SolidReport image = solid::mirrored(a);
    CHECK((image.box.low - b.box.low).norm() + (image.box.high - b.box.high).norm() < 1e-6);
    // through STEP as well: the floor leans the other way
    const auto text = solid::step_text(*right, {"DEMO-01 right"}),
               turned = solid::step_text(*left, {"DEMO-01 left"});
    REQUIRE((text.ok() && turned.ok()));
    const std::vector<Vec3> planes = tests::plane_normals(*text), others = tests::plane_normals(*turned);
    REQUIRE((planes.size() == 1 && others.size() == 1));
    const Vec3 &n = planes.front(), &m = others.front();
    CHECK(n.y() / n.z() == Approx(-m.y() / m.z()).epsilon(1e-9));
    const tests::TemporaryFolder folder;
    std::ofstream(folder.path() / "left.step", std::ios::binary) << *turned;
    const auto read = solid::read_step(folder.path() / "left.step");
    REQUIRE(read.ok());
    CHECK(read->report.valid);
    CHECK(read->report.one_closed_solid);
    CHECK(read->report.volume_mm3 == Approx(a.volume_mm3).epsilon(tolerance::step_volume_relative));
}

TEST_CASE("Random loops are refused with a place or give sound meshes and solids that agree", "[loops]") {
    const int count = tests::cases(150, 15, "shells with loops");
    std::mt19937_64 random(tests::seed() + 7);
    std::uniform_real_distribution<double> unit(-1.0, 1.0);
    int built = 0, refused = 0;
    for (int i = 0; i < count; ++i) {
        CAPTURE(i, tests::seed());
        const double a = 3.0 * unit(random), b = 3.0 * unit(random), wall = 3.0 + unit(random);
        const surface::Basis u{40, 200.0}, v{24, 110.0};
        Shell shell;
        shell.carpet = shell.foot_side = tests::interpolating(u, v, [&](double x, double y) {
            return Vec3(x, y,
                        a * std::sin(x / 35.0) * std::cos(y / 30.0) + b * std::sin(y / 40.0) +
                            0.006 * (y - 55) * (y - 55));
        });
        shell.underside = tests::interpolating(u, v, [&](double x, double y) {
            const Vec2 uv(x, y);
            return Vec3(shell.carpet.point(uv) - wall * shell.carpet.normal(uv));
        });
        shell.trim = tests::rounded_rectangle({100, 55}, {180, 90}, 30, 10);
        const auto kind = [&] { return static_cast<Rim::Kind>(random() % 3); };
        shell.rim.kind = kind();
        const auto curve = [&](double least, double most) {
            const Vec2 centre(100 + 85 * unit(random), 55 + 42 * unit(random));
            const double r = 0.5 * (least + most) + 0.5 * (most - least) * unit(random);
            const double wave = 0.12 * unit(random), turn = 3 * unit(random), oval = 0.3 * unit(random);
            std::vector<Vec2> points;
            const int n = 8 + static_cast<int>(random() % 20);
            for (int k = 0; k < n; ++k) {
                const double p = 2 * pi * k / n, rho = r * (1 + wave * std::cos(3 * p + turn));
                points.push_back(centre + rho * Vec2((1 + oval) * std::cos(p), (1 - oval) * std::sin(p)));
            }
            auto made = surface::PeriodicCurve::through(points);
            return random() % 2 == 0 ? made : made.reversed();
        };
        const double low = [&] {
            double z = 1e9;
            for (const Vec3& p : shell.underside.control) z = std::min(z, p.z());
            return z;
        }();
        for (int k = static_cast<int>(random() % 3); k > 0; --k)
            shell.apertures.push_back({"a" + std::to_string(k), curve(4, 12), {kind(), 0.5}});
        for (int k = static_cast<int>(random() % 3); k > 0; --k)
            shell.posts.push_back({"p" + std::to_string(k), curve(8, 22), 8.0 * unit(random),
                                   Vec3(100, 55, low - 1 + 3 * unit(random)),
                                   Vec3(0.05 * unit(random), 0.1 * unit(random), -1)});
        const auto mesh = surface::mesh_shell(shell, {0.05});
        const auto solid = solid::build_solid(shell);
        if (!surface::check_loops(shell).ok()) {
            ++refused;
            REQUIRE_FALSE(mesh.ok());
            REQUIRE_FALSE(solid.ok());
            CHECK(mesh.fault().message == solid.fault().message);
            REQUIRE(mesh.fault().where.has_value());
            CHECK(mesh.fault().where->allFinite());
            continue;
        }
        if (!surface::check_rim(shell).ok()) {
            CHECK_FALSE(mesh.ok());
            continue;
        }
        ++built;
        INFO((mesh ? std::string() : mesh.fault().message));
        REQUIRE(mesh.ok());
        const Soundness found = find_soundness(mesh->mesh);
        CHECK(found.sound());
        CHECK(found.components == 1);
        const auto crossings = self_intersections(mesh->mesh, 1);
        CHECK(crossings.empty());
        const auto points = static_cast<std::ptrdiff_t>(mesh->mesh.points.size()),
                   triangles = static_cast<std::ptrdiff_t>(mesh->mesh.triangles.size());
        CHECK(points - triangles / 2 == 2 - 2 * static_cast<std::ptrdiff_t>(shell.apertures.size()));
        agree(shell, sound(solid));
    }
    CHECK(tests::share_holds(built, count, 0.25));
    CHECK(tests::share_holds(refused, count, 0.05));
}
