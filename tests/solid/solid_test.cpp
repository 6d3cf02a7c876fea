// Exact solids over shapes of known volume: valid, closed, one body, and as big as the closed form says.
#include "engine/solid/solid.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

#include "engine/base/tolerances.hpp"
#include "tests/solid/sound.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using surface::Rim;
using tests::sound;

TEST_CASE("A plate has the volume of its closed form with every rim") {
    const auto [rim, faces] = GENERATE(
        table<Rim::Kind, int>({{Rim::Kind::square, 6}, {Rim::Kind::bevelled, 14}, {Rim::Kind::rounded, 6}}));
    const tests::Plate plate = tests::plate(rim);
    const auto built = solid::build_solid(plate.shell);
    const solid::SolidReport report = sound(built);
    CHECK(report.faces == faces);
    CHECK(report.volume_mm3 == Approx(plate.volume).epsilon(1e-5));
    if (rim == Rim::Kind::square) {
        const double area = 2.0 * tests::enclosed_area(plate.shell.trim) +
                            tests::Plate::thickness * tests::length(plate.shell.trim);
        CHECK(*solid::area(*built) == Approx(area).epsilon(1e-5));
        CHECK(report.box.size().z() == Approx(tests::Plate::thickness).margin(1e-6));
        CHECK(report.edge_deviation_mm < tolerance::solid_point_mm);  // the grid of control points
    }
}

TEST_CASE("A spherical cap's volume converges to the closed form") {
    // Cubic splines: error of surface and trim falls with the fourth power of the span.
    std::vector<double> error;
    for (const int scale : {1, 2, 4}) {
        const tests::Cap cap = tests::cap(4 * scale, 12 * scale);
        const solid::SolidReport report = sound(solid::build_solid(cap.shell));
        error.push_back(std::abs(report.volume_mm3 / cap.volume - 1.0));
    }
    CAPTURE(error);
    CHECK(error[1] < error[0] / 8.0);
    CHECK(error[2] < 1e-5);
}

TEST_CASE("A cylindrical trough has the volume of its closed form with every knot spacing") {
    const int spans = GENERATE(16, 32, 64);
    const tests::Trough trough = tests::trough(spans);
    const solid::SolidReport report = sound(solid::build_solid(trough.shell));
    CHECK(report.volume_mm3 == Approx(trough.volume).epsilon(spans == 16 ? 1e-4 : 1e-5));
}

TEST_CASE("A left solid is the right one mirrored") {
    const auto rim = GENERATE(Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded);
    tests::Trough trough = tests::trough(24);
    trough.shell.rim.kind = rim;
    // Something without symmetry, so that a mirror shows.
    for (surface::SplineSurface* side : {&trough.shell.foot_side, &trough.shell.underside})
        for (Vec3& p : side->control) p += 0.001 * p.x() * Vec3(0.0, p.y() + 20.0, p.y());
    const auto right = solid::build_solid(trough.shell);
    const solid::SolidReport a = sound(right);
    const auto left = solid::mirrored(*right);
    const solid::SolidReport b = sound(left);
    CHECK(b.volume_mm3 == Approx(a.volume_mm3).epsilon(1e-9));
    CHECK(*solid::area(*left) == Approx(*solid::area(*right)).epsilon(1e-9));
    // the report of the mirror image, without looking at it again, is what looking at it gives
    const solid::SolidReport image = solid::mirrored(a);
    CHECK((image.box.low - b.box.low).norm() + (image.box.high - b.box.high).norm() < 1e-6);
    CHECK(b.faces == a.faces);
    CHECK(b.box.low.y() == Approx(-a.box.high.y()).margin(1e-6));
    CHECK(b.box.high.y() == Approx(-a.box.low.y()).margin(1e-6));
    CHECK((b.box.low - a.box.low).cwiseProduct(Vec3(1, 0, 1)).norm() < 1e-6);
    CHECK(std::abs(a.box.low.y() + a.box.high.y()) > 1e-3);
    const solid::SolidReport again = sound(solid::mirrored(*left));
    CHECK(again.volume_mm3 == Approx(a.volume_mm3).epsilon(1e-12));
}

TEST_CASE("Random wavy shells give valid closed solids with every rim") {
    const int count = tests::cases(100, 10, "wavy shells");
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> unit(-1.0, 1.0);
    for (int i = 0; i < count; ++i) {
        CAPTURE(i, tests::seed());
        const double a = 6.0 * unit(random), b = 6.0 * unit(random), bend = 0.004 * unit(random),
                     wall = 3.0 + unit(random), taper = 0.5 * unit(random);
        const surface::Basis u{40, 200.0}, v{24, 110.0};
        const auto carpet = [&](double x, double y) {
            return Vec3(x, y,
                        a * std::sin(x / 35.0) * std::cos(y / 30.0) + b * std::sin(y / 40.0) +
                            bend * (x - 100.0) * (x - 100.0));
        };
        surface::Shell shell;
        shell.carpet = shell.foot_side = tests::interpolating(u, v, carpet);
        shell.underside = tests::interpolating(u, v, [&](double x, double y) {
            const Vec2 uv(x, y);
            return Vec3(shell.carpet.point(uv) -
                        (wall + taper * std::sin(x / 50.0)) * shell.carpet.normal(uv));
        });
        std::vector<Vec2> points;
        const int n = 24 + static_cast<int>(random() % 24);
        for (int k = 0; k < n; ++k) {
            const double turn = 2.0 * M_PI * k / n;
            const double wave = 1.0 + 0.05 * std::sin(2.0 * turn + a) + 0.04 * std::cos(3.0 * turn + b);
            points.emplace_back(100.0 + 80.0 * wave * std::cos(turn), 55.0 + 40.0 * wave * std::sin(turn));
        }
        shell.trim = surface::PeriodicCurve::through(points);
        for (const Rim::Kind kind : {Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded}) {
            shell.rim.kind = kind;
            sound(solid::build_solid(shell));
        }
    }
}

TEST_CASE("Nonsense is refused with words and never thrown") {
    surface::Shell shell = tests::plate(Rim::Kind::square).shell;
    SECTION("a trim line the wrong way round") {
        std::reverse(shell.trim.control.begin(), shell.trim.control.end());
        const auto built = solid::build_solid(shell);
        REQUIRE_FALSE(built.ok());
        CHECK(built.fault().message.find("clockwise") != std::string::npos);
    }
    SECTION("a trim line of three points") {
        shell.trim.control.resize(3);
        CHECK_FALSE(solid::build_solid(shell).ok());
    }
    SECTION("a number that is none") {
        shell.underside.control[7].y() = std::numeric_limits<double>::quiet_NaN();
        CHECK_FALSE(solid::build_solid(shell).ok());
    }
    SECTION("sides exchanged: inside out") {
        std::swap(shell.foot_side, shell.underside);
        const auto built = solid::build_solid(shell);
        if (built) {
            const solid::SolidReport report = solid::examine(*built);
            CHECK_FALSE(report.valid);
            CHECK_FALSE(report.fault.empty());
        }
    }
    SECTION("a trim line that crosses itself") {
        std::swap(shell.trim.control[3], shell.trim.control[6]);
        const auto built = solid::build_solid(shell);
        if (built) {
            const solid::SolidReport report = solid::examine(*built);
            CHECK_FALSE(report.valid);
            CHECK_FALSE(report.fault.empty());
            CHECK(report.where.has_value());
        }
    }
    SECTION("no wall at all") {
        shell.underside = shell.foot_side;
        const auto built = solid::build_solid(shell);
        if (built) CHECK_FALSE(solid::examine(*built).fault.empty());
    }
}
