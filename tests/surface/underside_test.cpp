#include "engine/surface/underside.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/base/parallel.hpp"
#include "engine/surface/wall_measure.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

double smooth(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * (3 - 2 * t);
}
WallFunction constant(double t) {
    return [t](const Vec2&, const Vec3&) { return t; };
}
// 4.0 to 2.2 over 20 mm, the blend of definitions, Wall
double blend(const Vec2& uv, const Vec3&) {
    return 4.0 - 1.8 * smooth((uv.x() - 25.0) / 20.0);
}
// a groove along a slanted line, 8 wide: flanks of 50 degrees at 3 deep
FeatureFunction groove(double depth) {
    return [depth](const Vec2& uv) {
        const double d = std::abs((uv - Vec2(35, 20)).dot(Vec2(-0.1, 0.995)));
        return d < 4 ? -depth * 0.5 * (1 + std::cos(std::numbers::pi * d / 4)) : 0.0;
    };
}
double pad(const Vec2& uv) {
    const double r = (uv - Vec2(35, 20)).norm() / 13;
    return r < 1 ? 4 * std::pow(1 - r * r, 2) : 0.0;
}

std::vector<AnalyticSurface> patches() {
    return {plane(70, 40),       cylinder(70, 40, 27),    cylinder(70, 40, -27), sphere(70, 40, 45),
            sphere(70, 40, -45), saddle(70, 40, 80, -50), torus(70, 40, 60, 30)};
}

// Greatest distance from the fitted underside to the exact offset, well inside.
double offset_error(const AnalyticSurface& exact, int spans, double t) {
    const auto sides = roll_underside(exact.carpet(spans, spans), constant(t));
    REQUIRE(sides.ok());
    double worst = 0;
    for (int i = 1; i < 60; ++i)
        for (int j = 1; j < 40; ++j) {
            const Vec2 uv(exact.length_u * (i + 0.31) / 62, exact.length_v * (j + 0.17) / 42);
            const SurfacePoint at = exact.at(uv);
            worst = std::max(worst, (sides->underside.point(uv) - at.s + t * at.normal()).norm());
        }
    return worst;
}

struct Trial {
    std::string name;
    std::vector<BallLayer> layers;
};
std::vector<Trial> trials() {
    const WallFunction map = blend;
    return {{"blend 4.0 to 2.2", {{{}, map}}},
            {"groove, wall kept", {{groove(3), constant(3.2)}}},
            {"groove, thinned to the minimum", {{groove(3), constant(1.5)}, {{}, constant(3.2)}}},
            {"groove across the blend", {{groove(2), map}}},
            {"pad of constant wall", {{pad, constant(2.5)}}}};
}

}  // namespace

TEST_CASE("A constant wall is the offset; its error falls with the fourth power of the span", "[underside]") {
    for (const AnalyticSurface& s : patches()) {
        INFO(s.name);
        const double coarse = offset_error(s, 6, 3.0), middle = offset_error(s, 12, 3.0),
                     fine = offset_error(s, 24, 3.0);
        INFO("errors " << coarse << " " << middle << " " << fine);
        CHECK(fine < 2e-4);
        if (coarse < 1e-7) continue;  // the plane is met exactly
        CHECK(coarse / middle > 8);
        CHECK((middle / fine > 8 || fine < 2e-6));
    }
}

TEST_CASE("A wall that grows evenly over a plane has a plane underside", "[underside]") {
    // balls of radius t0 + g u on a plane are wrapped by a plane at asin(g): t' = T / sqrt(1 - g^2)
    const double g = 0.12;
    const auto sides = roll_underside(plane(70, 40).carpet(35, 20),
                                      [g](const Vec2& uv, const Vec3&) { return 1.5 + g * uv.x(); });
    REQUIRE(sides.ok());
    for (double u : {15.0, 30.3, 47.7})
        for (double v : {11.0, 20.9})
            CHECK(sides->wall.value({u, v}) == Approx((1.5 + g * u) / std::sqrt(1 - g * g)).margin(1e-6));
}

TEST_CASE("The lattice of balls answers as brute force does", "[underside]") {
    const int count = cases(60, 12, "brute-force balls a trial and surface");
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> u(12, 58), v(8, 32);
    for (const AnalyticSurface& s : patches()) {
        const SplineSurface carpet = s.carpet(20, 12);
        const Lattice lattice = Lattice::spaced(carpet.u, carpet.v, 0.5);
        const LatticeFrames frames = sample_frames(carpet, lattice);
        for (const Trial& trial : trials()) {
            if (s.name != "plane" && s.name != "cylinder" && trial.name != "groove, wall kept") continue;
            INFO(s.name << ": " << trial.name);
            std::vector<BallSheet> sheets;
            for (const BallLayer& layer : trial.layers)
                sheets.push_back(sample_layer(lattice, frames, layer));
            for (int k = 0; k < count; ++k) {
                // half of them where the groove is
                Vec2 uv(u(random), v(random));
                if (k % 2) uv.y() = 20 + 0.1 * (uv.x() - 35) + (uv.y() - 20) / 2;
                const double truth = brute_exit(s, trial.layers, uv, 7.0);
                const SurfacePoint at = s.at(uv);
                double found = -1e300;
                for (const BallSheet& sheet : sheets)
                    found = std::max(found, sheet.exit(at.s, at.normal(), uv));
                INFO("u " << uv.x() << " v " << uv.y());
                CHECK(found == Approx(truth).margin(0.008));
            }
        }
    }
}

TEST_CASE("The underside holds both wall gates on blends, grooves and pads, flat and bent", "[underside]") {
    for (const AnalyticSurface& s : {plane(70, 40), cylinder(70, 40, 27), sphere(70, 40, -45)}) {
        const SplineSurface carpet = s.carpet(20, 12);
        const PeriodicCurve trim = uv_circle({35, 20}, 17);
        for (const Trial& trial : trials()) {
            INFO(s.name << ": " << trial.name);
            UndersideSettings settings;
            settings.within = trim;
            const auto sides = roll_underside(carpet, trial.layers, settings);
            REQUIRE(sides.ok());
            const Shell shell{carpet, sides->foot_side, sides->underside, trim, {}};
            WallMeasureSettings measure;
            measure.further.assign(trial.layers.begin() + 1, trial.layers.end());
            const WallGate gate = measure_wall(shell, trial.layers.front().radius, Outline(trim), measure);
            INFO("underside " << gate.underside_worst_mm << " foot " << gate.foot_worst_mm << " fit "
                              << sides->fit_error_mm);
            CHECK(gate.ok());
            CHECK(gate.samples > 800);
            // t' read off the underside is brute force's, up to the crease
            double sum2 = 0, worst = 0;
            int n = 0;
            for (double u = 25; u <= 45; u += 5)
                for (double v = 12; v <= 28; v += 2.3, ++n) {
                    const double e = sides->wall.value({u, v}) - brute_exit(s, trial.layers, {u, v}, 7.0);
                    sum2 += e * e;
                    worst = std::max(worst, std::abs(e));
                }
            CHECK(std::sqrt(sum2 / n) < 0.02);
            CHECK(worst < 0.06);
        }
    }
}

TEST_CASE("A plain wall is within 0.02 mm of its map on a shell bent like a foot's", "[underside]") {
    const AnalyticSurface s = foot_like();
    const SplineSurface carpet = s.carpet(57, 29);
    const PeriodicCurve trim = foot_trim(s, 9);
    UndersideSettings settings;
    settings.within = trim;
    const auto sides = roll_underside(carpet, constant(3.5), {}, settings);
    REQUIRE(sides.ok());
    const WallGate gate =
        measure_wall({carpet, sides->foot_side, sides->underside, trim, {}}, constant(3.5), Outline(trim));
    CHECK(std::abs(gate.underside_worst_mm) < 0.02);
    CHECK(gate.least_wall_mm > 3.48);
    CHECK(gate.most_mm < 3.52);
    CHECK(gate.rays_disagree == 0);
}

TEST_CASE("An integral pad leaves the underside as it was", "[underside]") {
    const AnalyticSurface s = cylinder(70, 40, 27);
    const SplineSurface carpet = s.carpet(20, 12);
    const auto bare = roll_underside(carpet, constant(3.0));
    const auto padded =
        roll_underside(carpet, std::vector<BallLayer>{{pad, constant(1.5)}, {{}, constant(3.0)}});
    const auto followed = roll_underside(carpet, constant(3.0), pad);
    REQUIRE((bare.ok() && padded.ok() && followed.ok()));
    for (double u = 20; u < 50; u += 3)
        for (double v = 10; v < 30; v += 3)
            CHECK((bare->underside.point({u, v}) - padded->underside.point({u, v})).norm() < 1e-3);
    CHECK(padded->wall.value({35, 20}) == Approx(3.0).margin(1e-3));
    CHECK((padded->foot_side.point({35, 20}) - s.point({35, 20})).norm() == Approx(4.0).margin(0.02));
    CHECK(followed->wall.value({35, 20}) == Approx(-1.0).margin(0.05));  // over a pad higher than its wall
}

TEST_CASE("A wall too thick for the curvature is refused with its place", "[underside]") {
    const auto refused = roll_underside(cylinder(40, 16, -3.1).carpet(20, 20), constant(3.2));
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.fault().stage == "underside");
    CHECK(refused.fault().where.has_value());
    CHECK(refused.fault().message.find("fold") != std::string::npos);
    CHECK(roll_underside(cylinder(40, 16, -4.5).carpet(20, 20), constant(3.2)).ok());
    CHECK(roll_underside(cylinder(40, 16, 3.1).carpet(20, 20), constant(3.2)).ok());  // bends the other way
    // outside the trim a fold does not count
    UndersideSettings settings;
    settings.within = uv_circle({20, 8}, 5);
    const AnalyticSurface s{"one sharp end", 40, 16, [](const Vec2& uv) {
                                const double x = uv.x() - 36;
                                SurfacePoint p;
                                p.s = {uv.x(), uv.y(), 1.5 * std::exp(-x * x)};
                                p.su = {1, 0, -3 * x * std::exp(-x * x)};
                                p.sv = {0, 1, 0};
                                p.suu = p.suv = p.svv = Vec3::Zero();
                                return p;
                            }};
    CHECK(roll_underside(s.carpet(60, 20), constant(3.2), {}, settings).ok());
    CHECK_FALSE(roll_underside(s.carpet(60, 20), constant(3.2)).ok());
}

TEST_CASE("A wall map that is no wall is refused", "[underside]") {
    const SplineSurface carpet = plane(40, 30).carpet(8, 6);
    for (double bad : {0.0, -1.0, std::nan(""), 1e9, HUGE_VAL}) {
        const auto refused =
            roll_underside(carpet, [bad](const Vec2& uv, const Vec3&) { return uv.x() > 20 ? bad : 3.0; });
        REQUIRE_FALSE(refused.ok());
        CHECK(refused.fault().where.has_value());
    }
    CHECK_FALSE(roll_underside(carpet, constant(3), [](const Vec2&) { return std::nan(""); }).ok());
    CHECK_FALSE(roll_underside(carpet, std::vector<BallLayer>{}).ok());
}

TEST_CASE("The underside is the same for any number of threads", "[underside]") {
    const SplineSurface carpet = cylinder(70, 40, 27).carpet(20, 12);
    std::vector<std::vector<Vec3>> results;
    for (int threads : {1, 2, 8}) {
        set_thread_count(threads);
        const auto sides = roll_underside(carpet, blend, groove(2.5));
        REQUIRE(sides.ok());
        results.push_back(sides->underside.control);
    }
    set_thread_count(0);
    CHECK(results[0] == results[1]);
    CHECK(results[0] == results[2]);
}
