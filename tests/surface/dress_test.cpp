// Dressing and skives against closed forms and an integration of their own.
#include "engine/surface/dress.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/base/units.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/plane_cut.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::surface;

namespace {

/// A foot's places over a surface of 250 x 90 mm whose middle line is the axis.
DressSite site_over(double y0) {
    DressSite site;
    site.rule.heel_centre = Vec3(40, y0, 0);
    site.first_plantar = Vec3(185, y0 + 24, 0);
    site.fifth_plantar = Vec3(160, y0 - 26, 0);
    site.rule.first_head = Vec3(185, y0 + 38, 0);
    site.rule.fifth_head = Vec3(160, y0 - 40, 0);
    site.arch_apex = Vec3(105, y0 + 10, 0);
    site.rule.heel_half_width_mm = 28.0;
    return site;
}

TrimRegion everywhere(const SplineSurface& s) {
    const double u = s.u.length + 1.0, v = s.v.length + 1.0;
    return TrimRegion(Outline(std::vector<Vec2>{{-1, -1}, {u, -1}, {u, v}, {-1, v}}));
}

Dressed dressed(const SplineSurface& carpet, const Dress& asked, const DressSite& site,
                const std::optional<Platform>& platform = {}) {
    auto result = dress(carpet, asked, platform, site);
    if (!result.ok()) FAIL(result.fault().message);
    return std::move(*result);
}

/// Volume between two surfaces over the same (u,v) from points alone: tetrahedra of the prisms between.
double volume_between(const SplineSurface& a, const SplineSurface& b, int per_span) {
    const Lattice lattice = Lattice::over(a.u, a.v, per_span);
    const auto p = sample_points(a, lattice), q = sample_points(b, lattice);
    const auto tetrahedron = [](const Vec3& o, const Vec3& x, const Vec3& y, const Vec3& z) {
        return (x - o).cross(y - o).dot(z - o) / 6.0;
    };
    double volume = 0.0;
    for (int i = 0; i + 1 < lattice.nu; ++i)
        for (int j = 0; j + 1 < lattice.nv; ++j) {
            const std::size_t k[4] = {lattice.index(i, j), lattice.index(i + 1, j),
                                      lattice.index(i + 1, j + 1), lattice.index(i, j + 1)};
            for (const auto& t : {std::array<std::size_t, 3>{k[0], k[1], k[2]}, {k[0], k[2], k[3]}}) {
                const auto [x, y, z] = t;
                volume += tetrahedron(p[x], p[y], p[z], q[z]) + tetrahedron(p[x], p[y], q[z], q[y]) +
                          tetrahedron(p[x], q[y], q[z], q[x]);
            }
        }
    return -volume;  // towards the ground counts
}

}  // namespace

TEST_CASE("A skive of a flat base cuts d / tan(alpha) wide and d^2 / (2 tan(alpha)) large", "[dress]") {
    const DressSite site = site_over(0);
    for (const double depth : {2.0, 4.0, 6.0})
        for (const double angle : {10.0, 15.0, 25.0}) {
            std::vector<Vec3> base;  // 50 mm wide: its medial border is where the cut is deepest
            for (int x = 0; x <= 40; ++x)
                for (int y = -25; y <= 25; ++y) base.push_back(Vec3(x, y, 0));
            Skive skive;
            skive.depth_mm = depth;
            skive.angle_deg = angle;
            skive.blend_mm = 1e-3;
            const auto plane = lay_skive(base, skive, true, site);
            REQUIRE(plane.ok());
            const double tangent = std::tan(radians(angle));
            double width = 0.0, area = 0.0, deepest = 0.0;
            constexpr double step = 0.005;
            for (double y = -25.0 + 0.5 * step; y < 25.0; y += step) {
                const double cut = plane->removal(Vec3(10, y, 0));
                width += cut > 1e-4 ? step : 0.0;
                area += cut * step;
                deepest = std::max(deepest, cut);
            }
            CHECK(width == Approx(depth / tangent).margin(0.02));
            CHECK(area == Approx(0.5 * depth * depth / tangent).epsilon(2e-3));
            CHECK(deepest == Approx(depth).margin(0.01));
            CHECK(plane->removal(Vec3(10, -20, 0)) == 0.0);
            // lateral is its mirror image
            const auto lateral = lay_skive(base, skive, false, site);
            REQUIRE(lateral.ok());
            CHECK(lateral->removal(Vec3(10, -20, 0)) ==
                  Approx(plane->removal(Vec3(10, 20, 0))).margin(1e-12));
        }
}

TEST_CASE("A skive of a spherical heel cuts a cap of height d cos(alpha), through the whole dressing",
          "[dress]") {
    const double radius = 45.0, depth = 4.0, angle = 15.0;
    const auto sphere = tests::sphere(80, 80, radius);
    const SplineSurface carpet = sphere.carpet(80, 80);
    DressSite site = site_over(0);
    const Vec3 lowest = carpet.point(Vec2(40, 40));
    site.rule.heel_centre = lowest;
    Dress asked;
    asked.medial_skive.depth_mm = depth;
    asked.medial_skive.angle_deg = angle;
    asked.medial_skive.forward_mm = 100.0;  // the whole cap in full
    asked.medial_skive.blend_mm = 3.0;
    const Dressed done = dressed(carpet, asked, site);
    REQUIRE(done.steps.size() == 1);
    const auto all = figures(done, everywhere(carpet));
    const double height = depth * std::cos(radians(angle));
    const double cap = std::numbers::pi * height * height * (3.0 * radius - height) / 3.0;
    CHECK(all[0].largest_mm == Approx(depth).margin(0.02));
    CHECK(-all[0].volume_mm3 == Approx(cap).epsilon(0.02));  // the rounded edge cuts a little more
    CHECK(*done.datum_z == Approx(lowest.z()).margin(1e-3));
    CHECK(all[0].fit_mm < 0.05);
    // and sharper edges come nearer
    asked.medial_skive.blend_mm = 1.5;
    const auto sharper = figures(dressed(carpet, asked, site), everywhere(carpet));
    CHECK(std::abs(-sharper[0].volume_mm3 - cap) < std::abs(-all[0].volume_mm3 - cap));
}

TEST_CASE("An arch fill has its height at the apex, nothing beyond its ellipse, and pi a b / 4 of volume",
          "[dress]") {
    const auto plane = tests::plane(250, 90);
    const SplineSurface carpet = plane.carpet(85, 40);
    const DressSite site = site_over(45);
    Dress asked;
    asked.arch_fill_mm = 4.0;
    asked.arch_fill_length_mm = 100.0;
    asked.arch_fill_breadth_mm = 60.0;
    const Dressed done = dressed(carpet, asked, site);
    const auto all = figures(done, everywhere(carpet));
    REQUIRE(all.size() == 1);
    CHECK(all[0].largest_mm == Approx(4.0).margin(0.01));
    CHECK((all[0].where.head<2>() - site.arch_apex.head<2>()).norm() < 1.0);
    CHECK(all[0].volume_mm3 == Approx(4.0 * std::numbers::pi * 50.0 * 30.0 / 4.0).epsilon(1e-3));
    for (const Vec2& far : {Vec2(20, 20), Vec2(200, 60), Vec2(105, 10)})
        CHECK((done.surface.point(far) - carpet.point(far)).norm() < 1e-3);
    CHECK(done.surface.point(Vec2(105, 55)).z() ==
          Approx(carpet.point(Vec2(105, 55)).z() - 4.0).margin(0.01));
}

TEST_CASE("Room for a cover is the offset everywhere; nothing asked is nothing done", "[dress]") {
    const auto sphere = tests::sphere(80, 80, 60.0);
    const SplineSurface carpet = sphere.carpet(30, 30);
    DressSite site = site_over(0);
    site.rule.heel_centre = carpet.point(Vec2(40, 40));
    CHECK(dressed(carpet, {}, site).steps.empty());
    Dress asked;
    asked.cover_mm = 3.0;
    const Dressed done = dressed(carpet, asked, site);
    for (const Vec2& uv : {Vec2(40, 40), Vec2(20, 30), Vec2(60, 70)})
        CHECK((done.surface.point(uv) - (carpet.point(uv) - 3.0 * carpet.normal(uv))).norm() < 2e-3);
    const double volume = figures(done, everywhere(carpet))[0].volume_mm3;
    CHECK(volume == Approx(volume_between(carpet, done.surface, 8)).epsilon(2e-3));
    CHECK(volume > 0.0);
}

TEST_CASE("The volume of any dressing is that of an integration of its own; zones kept stay", "[dress]") {
    const int count = tests::cases(200, 12, "dressings at random");
    const auto shape = tests::foot_like();
    const SplineSurface carpet = shape.carpet(85, 50);
    const Vec3 middle = carpet.point(Vec2(0.5 * carpet.u.length, 0.5 * carpet.v.length));
    for (int c = 0; c < count; ++c) {
        std::mt19937_64 random(tests::seed() + static_cast<std::uint64_t>(c));
        DressSite site = site_over(middle.y());
        for (Vec3* p : {&site.first_plantar, &site.fifth_plantar, &site.arch_apex, &site.rule.heel_centre})
            p->z() = middle.z();
        Dress asked;
        asked.arch_fill_mm = tests::uniform(random, 0, 6);
        asked.lateral_expansion_mm = tests::uniform(random, 0, 4);
        asked.heel_expansion_medial_mm = tests::uniform(random, 0, 4);
        asked.heel_expansion_posterior_mm = tests::uniform(random, 0, 4);
        asked.heel_expansion_lateral_mm = tests::uniform(random, 0, 4);
        asked.cover_mm = random() % 2 == 0 ? 0.0 : 2.0;
        KeepZone keep;
        keep.name = "keep";
        const Vec2 at =
            middle.head<2>() + Vec2{tests::uniform(random, -40, 40), tests::uniform(random, -10, 10)};
        for (int k = 0; k < 8; ++k)
            keep.outline.push_back(
                at + 15.0 * Vec2(std::cos(k * std::numbers::pi / 4), std::sin(k * std::numbers::pi / 4)));
        asked.keep = {keep};
        const Dressed done = dressed(carpet, asked, site);
        INFO("case " << c);
        double volume = 0.0;
        for (const DressFigure& figure : figures(done, everywhere(carpet))) {
            volume += figure.volume_mm3;
            CHECK(figure.volume_mm3 > -1.0);
        }
        const double other = volume_between(carpet, done.surface, 6);
        CHECK(volume == Approx(other).epsilon(0.005).margin(5.0));
        const Lattice lattice = Lattice::over(carpet.u, carpet.v, 2);
        const auto before = sample_points(carpet, lattice), after = sample_points(done.surface, lattice);
        for (std::size_t k = 0; k < before.size(); ++k)
            if ((before[k].head<2>() - at).norm() < 12.0) CHECK((after[k] - before[k]).norm() < 0.05);
    }
}

TEST_CASE("Smoothing takes a bump away inside its zone and leaves the rest", "[dress]") {
    const auto plane = tests::plane(250, 90);
    SplineSurface carpet = plane.carpet(85, 40);
    const Lattice lattice = Lattice::over(carpet.u, carpet.v, 2);
    const Vec2 at(100, 45);
    for (Vec3& p : carpet.control)
        if (const double r = (p.head<2>() - at).norm(); r < 10.0)
            p.z() += 2.0 * std::pow(1.0 - r * r / 100.0, 3);
    SmoothZone zone;
    zone.name = "dent";
    for (int k = 0; k < 12; ++k)
        zone.outline.push_back(
            at + 22.0 * Vec2(std::cos(k * std::numbers::pi / 6), std::sin(k * std::numbers::pi / 6)));
    Dress asked;
    asked.smooth = {zone};
    const Dressed done = dressed(carpet, asked, site_over(45));
    CHECK(carpet.point(at).z() > 1.5);
    CHECK(std::abs(done.surface.point(at).z()) < 0.03);
    const auto before = sample_points(carpet, lattice), after = sample_points(done.surface, lattice);
    for (std::size_t k = 0; k < before.size(); ++k)
        if ((before[k].head<2>() - at).norm() > 30.0) CHECK((after[k] - before[k]).norm() < 0.005);
    asked.smooth[0].strength = 0.5;
    CHECK(dressed(carpet, asked, site_over(45)).surface.point(at).z() ==
          Approx(0.5 * (carpet.point(at).z() + done.surface.point(at).z())).margin(0.01));
    asked.smooth[0].outline = {Vec2(90, 35), Vec2(110, 55), Vec2(110, 35), Vec2(90, 55)};
    const auto crossed = dress(carpet, asked, {}, site_over(45));
    REQUIRE_FALSE(crossed.ok());
    CHECK(crossed.fault().message.find("dent") != std::string::npos);
}

TEST_CASE("A platform only adds, is the tilted plane under the heads, and ends in the arch", "[dress]") {
    const auto plane = tests::plane(250, 90);
    SplineSurface carpet = plane.carpet(85, 40);
    for (Vec3& p : carpet.control)
        p.z() = std::tan(radians(5.0)) * (p.y() - 45.0);  // everything inverted by 5
    DressSite site = site_over(45);
    for (Vec3* p : {&site.first_plantar, &site.fifth_plantar, &site.rule.first_head, &site.rule.fifth_head})
        p->z() = std::tan(radians(5.0)) * (p->y() - 45.0);
    Platform platform;
    platform.tilt_deg = 2.0;  // F 5, I 3
    const Dressed done = dressed(carpet, {}, site, platform);
    const PlatformPlane laid = lay_platform(platform, site);
    CHECK_FALSE(laid.through_first);  // the lower head is the 5th
    for (const double y : {22.0, 45.0, 66.0}) {
        const Vec2 uv(185, y);
        CHECK(done.surface.point(uv).z() == Approx(laid.height(y)).margin(0.1));  // its edge is rounded
        CHECK(done.surface.point(uv).z() <= carpet.point(uv).z() + 0.01);
        CHECK((done.surface.point(Vec2(90, y)) - carpet.point(Vec2(90, y))).norm() < 0.01);
    }
    const double slope =
        (done.surface.point(Vec2(185, 66)).z() - done.surface.point(Vec2(185, 30)).z()) / 36.0;
    CHECK(degrees(std::atan(slope)) == Approx(2.0).margin(0.05));
}
