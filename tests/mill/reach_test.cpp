// What a cutter comes to and what it leaves.
#include "engine/mill/reach.hpp"

#include <catch2/catch.hpp>
#include <numbers>

#include "engine/mill/areas.hpp"
#include "engine/mill/lay.hpp"
#include "tests/mill/random.hpp"
#include "tests/mill/shapes.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::mill;
using tests::Draw;

namespace {

Cutter ball(double diameter) {
    Cutter cutter;
    cutter.diameter = cutter.shank_diameter = diameter;
    cutter.corner_radius = cutter.radius();
    return cutter;
}
Cutter flat(double diameter) {
    Cutter cutter = ball(diameter);
    cutter.corner_radius = 0.0;
    return cutter;
}

}  // namespace

TEST_CASE("the sweep of a move is the envelope of the cutter's places along it") {
    Draw draw(tests::seed());
    const int count = tests::cases(4000, 800, "moves");
    for (int i = 0; i < count; ++i) {
        const Cutter cutter = draw.cutter();
        const Vec3 a = draw.point(8.0);
        const Vec3 b = i % 7 == 0 ? Vec3(a - Vec3(0, 0, 3)) : draw.point(8.0);
        const double x = draw.between(-12.0, 12.0), y = draw.between(-12.0, 12.0);
        double least = 1e300;
        const int places = 4000;
        for (int k = 0; k <= places; ++k) {
            const Vec3 tip = a + (b - a) * (static_cast<double>(k) / places);
            const double from_axis = std::hypot(tip.x() - x, tip.y() - y);
            if (from_axis <= cutter.radius()) least = std::min(least, tip.z() + cutter.rise(from_axis));
        }
        const double cut = lowest_cut(cutter, a, b, x, y);
        if (least > 1e299) {  // grazed at most: between two of the places
            if (std::isfinite(cut)) CHECK(cut >= std::min(a.z(), b.z()) - 1e-9);
            continue;
        }
        CHECK(cut <= least + 1e-9);
        // a step of the places along the steepest the end gets there
        CHECK(cut >= least - 0.25);
        if (cutter.flat()) CHECK(cut >= std::min(a.z(), b.z()) - 1e-9);
    }
}

TEST_CASE("a needle tells what a move leaves on a slope and what it cuts, along the normal") {
    Draw draw(tests::seed() + 1);
    const int count = tests::cases(4000, 800, "needles");
    for (int i = 0; i < count; ++i) {
        const Cutter cutter = ball(draw.between(3.0, 12.0));
        const double steep = draw.between(0.0, 1.5), round = draw.between(0.0, 6.28);
        const Vec3 n(std::sin(steep) * std::cos(round), std::sin(steep) * std::sin(round), std::cos(steep));
        const Vec3 p = draw.point(10.0);
        const double off = draw.between(-0.9, 0.9);
        // the ball's centre on the normal: it comes `off` short of the place, or past it
        const Vec3 tip = p + (cutter.radius() + off) * n - Vec3(0, 0, cutter.radius());
        Needle needle{p, n};
        const Vec3 along = n.unitOrthogonal();
        needle.meet(cutter, tip - 5.0 * along, tip + 5.0 * along);
        CHECK(needle.left == Approx(std::max(0.0, off)).margin(2e-3));
        CHECK(needle.cut == Approx(std::max(0.0, -off)).margin(2e-3));
        // a cutter far above neither cuts nor clears
        Needle far{p, n};
        far.meet(cutter, tip + Vec3(0, 0, 40), tip + Vec3(1, 0, 40));
        CHECK(far.left == Needle::length_mm);
        CHECK(far.cut == 0.0);
    }
}

TEST_CASE("in a groove narrower than the cutter stays what the circle says") {
    // a round-bottomed groove along x: half breadth w, bottom a circle of radius q below the cutter's
    for (const double diameter : {6.0, 8.0, 12.0}) {
        const double r = diameter / 2.0, w = 0.6 * r, depth = 2.5;
        const TriangleMesh mesh = tests::slab(
            20.0, 12.0, 1, 480, [&](double, double y) { return std::abs(y) < w - 1e-9 ? -depth : 0.0; },
            [](double, double) { return -8.0; });
        const Cutter cutter = ball(diameter);
        // the ball rests on both edges: its tip hangs r - sqrt(r^2 - w^2) below them
        const double stays = depth - (r - std::sqrt(r * r - w * w));
        const auto told = reach(mesh, cutter, 0.25, -20.0);
        REQUIRE(told.ok());
        double middle = 0.0;
        for (int i = 0; i < told->stays.nx; ++i)
            for (int k = 0; k < told->stays.ny; ++k)
                if (std::abs(told->stays.x(i)) < 5.0 && std::abs(told->stays.y(k)) < 0.11)
                    middle = std::max(middle, told->stays.at(i, k));
        CHECK(middle == Approx(stays).margin(0.06));  // walls stand 0.05 mm off where they are asked
        const DropGrid drop(mesh, cutter);
        CHECK(drop.z(0.0, 0.0, -20.0) == Approx(-(depth - stays)).margin(0.06));
        HeightGrid tips = *grid_over(mesh.box(), r + 0.2, 0.2);
        tip_heights(tips, drop, -20.0);
        const auto left = unreached(drop, tips, {{0, 0, -depth}, {0, w + 2.0 * r, 0}},
                                    {Vec3::UnitZ(), Vec3::UnitZ()}, -20.0);
        CHECK(left[0] == Approx(std::min(Needle::length_mm, stays)).margin(0.06));
        CHECK(left[1] == 0.0);
        // a cutter that is narrower reaches the floor
        CHECK(reach(mesh, flat(w), 0.2, -20.0)->volume_mm3 < 1.0 + 0.2 * told->volume_mm3);
        // the greatest ball on the floor's middle touches both edges, or both walls
        const Bvh bvh(mesh);
        const double fits = depth > w ? w : (w * w + depth * depth) / (2.0 * depth);
        CHECK(concave_radius(bvh, {0, 0, -depth}, Vec3::UnitZ(), 50.0, 0.0) == Approx(fits).epsilon(0.02));
    }
}

TEST_CASE("in the corner of floor and wall a ball leaves what the circle says, as squarely as it says") {
    // a floor at z = 0 and a wall whose face is x = 0, both as broad as may be
    TriangleMesh corner = tests::block(30.0, 20.0, -5.0, 0.0);
    const TriangleMesh wall = tests::block(5.0, 20.0, -5.0, 12.0);
    const auto base = static_cast<std::int32_t>(corner.points.size());
    for (const Vec3& p : wall.points) corner.points.push_back(p - Vec3(5.0, 0.0, 0.0));
    for (const Triangle& t : wall.triangles)
        corner.triangles.push_back({t[0] + base, t[1] + base, t[2] + base});
    Draw draw(tests::seed() + 5);
    const int count = tests::cases(200, 40, "corners");
    for (int i = 0; i < count; ++i) {
        const Cutter cutter = ball(draw.between(4.0, 12.0));
        const double r = cutter.radius(), y = draw.between(-4.0, 4.0);
        // so far from the corner that the ball leaves less than a needle is long
        const double least = r - std::sqrt(r * r - (r - 1.0) * (r - 1.0)) + 0.05;
        const double off = draw.between(std::min(0.9 * r, least), 0.95 * r);
        const DropGrid drop(corner, cutter);
        HeightGrid tips = *grid_over(corner.box(), r + 0.2, 0.1);
        tip_heights(tips, drop, -20.0);
        std::vector<double> square;
        const auto left = unreached(drop, tips, {{off, y, 0.0}, {0.0, y, off}, {off + r, y, 0.0}},
                                    {Vec3::UnitZ(), Vec3::UnitX(), Vec3::UnitZ()}, -20.0, &square);
        // the ball stands r from both; along a needle the circle begins at r - sqrt(r^2 - (r - off)^2), and
        // its normal there has that root over r along the needle
        const double root = std::sqrt(r * r - (r - off) * (r - off));
        if (r - root > 0.95) continue;
        // nodes of the grid miss the ball's best stand by up to a step of 0.1 mm; the wall's is tried exactly
        CHECK(left[0] == Approx(r - root).margin(0.1));
        CHECK(left[1] == Approx(r - root).margin(1e-3));
        CHECK(square[0] == Approx(root / r).margin(0.05));
        CHECK(square[1] == Approx(root / r).margin(1e-3));
        CHECK(left[2] == 0.0);
        CHECK(square[2] == 1.0);
    }
}

TEST_CASE("beside a wall the shank and the holder keep a cutter up as high as they stand over its tip") {
    TriangleMesh step = tests::block(30.0, 20.0, -5.0, 0.0);
    const TriangleMesh wall = tests::block(5.0, 20.0, -5.0, 12.0);
    const auto base = static_cast<std::int32_t>(step.points.size());
    for (const Vec3& p : wall.points) step.points.push_back(p - Vec3(5.0, 0.0, 0.0));
    for (const Triangle& t : wall.triangles)
        step.triangles.push_back({t[0] + base, t[1] + base, t[2] + base});
    const auto stays = [&](const Cutter& cutter, double x) {
        const auto told = reach(step, cutter, 0.25, -1.0);
        REQUIRE(told.ok());
        const HeightGrid& grid = told->stays;
        return grid.at(static_cast<int>(std::lround((x - grid.x0) / grid.step)), grid.ny / 2);
    };
    Cutter cutter = ball(4.0);
    cutter.flute_length = 7.0;
    cutter.stick_out = 40.0;
    CHECK(stays(cutter, 2.5) == Approx(0.0).margin(0.02));
    // a shank of 10 mm from 7 mm over the tip: within 5 mm of a wall 12 mm high the tip stays at 5 mm, and
    // what it cuts there is no lower
    Cutter thick = cutter;
    thick.shank_diameter = 10.0;
    CHECK(stays(thick, 2.5) == Approx(5.0).margin(0.1));
    CHECK(stays(thick, 5.5) == Approx(0.0).margin(0.02));
    // a holder of 20 mm from 9 mm over the tip: 3 mm within 10 mm of it
    Cutter held = cutter;
    held.stick_out = 9.0;
    held.holder_diameter = 20.0;
    CHECK(stays(held, 7.5) == Approx(3.0).margin(0.1));
    CHECK(stays(held, 10.5) == Approx(0.0).margin(0.02));
}

TEST_CASE(
    "a ball leaves nothing in a hollow wider than itself, and what the two spheres say in a tighter one") {
    for (const double hollow : {5.0, 12.0}) {
        const Cutter cutter = ball(16.0);
        const double r = 8.0, edge = 4.0, depth = hollow - std::sqrt(hollow * hollow - edge * edge);
        const TriangleMesh mesh = tests::slab(
            15.0, 15.0, 100, 100,
            [&](double x, double y) {
                const double d = std::hypot(x, y);
                return d < edge ? hollow - depth - std::sqrt(hollow * hollow - d * d) : 0.0;
            },
            [](double, double) { return -9.0; });
        const double stays = r > hollow ? depth - (r - std::sqrt(r * r - edge * edge)) : 0.0;
        const auto told = reach(mesh, cutter, 0.25, -20.0);
        REQUIRE(told.ok());
        CHECK(told->most_mm == Approx(stays).margin(0.03));
        if (stays > 0.0) CHECK(std::hypot(told->where.x(), told->where.y()) < 0.5);
        const Bvh bvh(mesh);
        CHECK(concave_radius(bvh, {0, 0, -depth}, Vec3::UnitZ(), 50.0, 0.01) == Approx(hollow).epsilon(0.05));
    }
}

TEST_CASE("an overhang is an undercut, and a tilt that frees it is found") {
    // a bent sheet with a wall leaning 8 degrees over
    const double lean = std::tan(8.0 * std::numbers::pi / 180.0);
    TriangleMesh mesh = tests::block(30.0, 15.0, 0.0, 20.0);
    for (Vec3& p : mesh.points) p.x() += lean * p.z();
    const Undercut none = undercut(tests::block(30.0, 15.0, 0.0, 20.0), 0.5);
    CHECK(none.area_mm2 == 0.0);
    // a C of three slabs hides its middle's foot
    const TriangleMesh c = [&] {
        TriangleMesh all;
        const auto put = [&](TriangleMesh one, const Vec3& at) {
            const auto base = static_cast<std::int32_t>(all.points.size());
            for (const Vec3& p : one.points) all.points.push_back(p + at);
            for (const Triangle& t : one.triangles)
                all.triangles.push_back({t[0] + base, t[1] + base, t[2] + base});
        };
        const auto sheet = [](double hx, double hy, double low, double high) {
            return tests::slab(
                hx, hy, 40, 40, [=](double, double) { return high; }, [=](double, double) { return low; });
        };
        put(sheet(15.0, 15.0, 0.0, 3.0), Vec3::Zero());
        put(sheet(15.0, 15.0, 17.0, 20.0), Vec3::Zero());
        put(sheet(2.0, 15.0, 3.0, 17.0), {-13.0, 0.0, 0.0});
        return all;
    }();
    CHECK(undercut(c, 0.5).area_mm2 > 1500.0);
    const Tilt best = best_tilt(mesh, 12.0, 4.0);
    CHECK(best.undercut_mm2 == Approx(0.0).margin(20.0));
    CHECK(best_tilt(mesh, 0.0, 0.0).pitch_deg == 0.0);
}

TEST_CASE("areas: level curves of a cone are circles, grown and cut as plain geometry says") {
    HeightGrid grid = *grid_over(Box3{Vec3(-20, -20, 0), Vec3(20, 20, 0)}, 0.0, 0.25);
    for (int k = 0; k < grid.ny; ++k)
        for (int i = 0; i < grid.nx; ++i) grid.at(i, k) = std::hypot(grid.x(i), grid.y(k));
    const Area disc = at_or_below(grid, 10.0);
    REQUIRE(disc.size() == 1);
    CHECK(size(disc) == Approx(std::numbers::pi * 100.0).epsilon(1e-3));
    for (const Vec2& p : disc[0]) CHECK(p.norm() == Approx(10.0).margin(0.02));
    CHECK(size(grown(disc, 2.0)) == Approx(std::numbers::pi * 144.0).epsilon(2e-3));
    CHECK(size(grown(disc, -4.0)) == Approx(std::numbers::pi * 36.0).epsilon(2e-3));
    CHECK(grown(disc, -11.0).empty());
    const Area ring = without(disc, at_or_below(grid, 6.0));
    REQUIRE(ring.size() == 2);
    CHECK(size(ring) == Approx(std::numbers::pi * 64.0).epsilon(2e-3));
    CHECK(contains(ring, {8.0, 0.0}));
    CHECK_FALSE(contains(ring, {1.0, 0.0}));
    CHECK(size(common(ring, disc)) == Approx(size(ring)).epsilon(1e-6));
    CHECK(size(joined(ring, at_or_below(grid, 7.0))) == Approx(size(disc)).epsilon(1e-3));
}
