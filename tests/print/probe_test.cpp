// Walls, gaps, hollows and openness of bodies with known figures.
#include <catch2/catch.hpp>
#include <random>

#include "engine/base/parallel.hpp"
#include "engine/print/probe.hpp"
#include "tests/print/bodies.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/real_feet.hpp"

using namespace archwright;
using namespace archwright::print;

namespace {

Probe probed(const TriangleMesh& mesh, double spacing = 1.0, bool depth = false) {
    ProbeSetting setting;
    setting.spacing_mm = spacing;
    setting.depth = depth;
    auto found = probe(mesh, setting, nullptr);
    if (!found.ok()) FAIL(found.fault().message);
    return std::move(*found);
}

}  // namespace

TEST_CASE("a box has its three breadths as walls, and no gap") {
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> size(1.0, 30.0);
    const int count = tests::cases(200, 25, "boxes");
    for (int i = 0; i < count; ++i) {
        const double x = size(random), y = size(random), z = size(random);
        const Vec3 sizes(x, y, z);
        const Mat3 turn = tests::random_rotation(random());
        const Probe found = probed(tests::moved(tests::box_of(sizes), turn, Vec3(3.0, -7.0, 2.0)), 2.0);
        CHECK(found.area_mm2 == Approx(2.0 * (x * y + y * z + z * x)).epsilon(1e-12));
        for (const SkinPlace& place : found.places) {
            int axis = 0;
            (turn.transpose() * place.normal).cwiseAbs().maxCoeff(&axis);
            REQUIRE(place.wall_mm.has_value());
            CHECK(*place.wall_mm == Approx(sizes[axis]).margin(1e-9));
            CHECK_FALSE(place.gap_mm.has_value());
        }
    }
}

TEST_CASE("a ball's wall is its diameter, a tube's its wall; its bore is a gap") {
    // chords of the polygon lie within r (1 - cos(pi / n)) of the round
    const double radius = 12.0;
    for (const SkinPlace& place : probed(tests::ball_of(radius, 48)).places) {
        REQUIRE(place.wall_mm.has_value());
        CHECK(*place.wall_mm == Approx(2.0 * radius).epsilon(3e-3));
        CHECK_FALSE(place.gap_mm.has_value());
    }
    const double inner = 5.0, outer = 7.5, height = 20.0;
    int walls = 0;
    for (const SkinPlace& place : probed(tests::tube(inner, outer, height, 180)).places) {
        if (std::abs(place.normal.z()) > 0.5) {
            CHECK(*place.wall_mm == Approx(height));
            continue;
        }
        ++walls;
        const bool bore = place.p.head<2>().dot(place.normal.head<2>()) < 0.0;
        REQUIRE(place.wall_mm.has_value());
        CHECK(*place.wall_mm == Approx(outer - inner).epsilon(2e-3));
        REQUIRE(place.gap_mm.has_value() == bore);
        if (bore) CHECK(*place.gap_mm == Approx(2.0 * inner).epsilon(2e-3));
    }
    CHECK(walls > 100);
}

TEST_CASE("a wedge is measured square to its other face") {
    // triangle in (x, z) drawn along y; angle at the edge
    const double angle = 25.0 * std::numbers::pi / 180.0, length = 40.0;
    TriangleMesh mesh;
    const double top = length * std::tan(angle);
    mesh.points = {{0, 0, 0},  {length, 0, 0},  {length, 0, top},
                   {0, 30, 0}, {length, 30, 0}, {length, 30, top}};
    mesh.triangles = {{0, 1, 2}, {3, 5, 4}, {0, 4, 1}, {0, 3, 4}, {1, 4, 5}, {1, 5, 2}, {0, 2, 5}, {0, 5, 3}};
    int asked = 0;
    for (const SkinPlace& place : probed(mesh).places) {
        if (place.normal.z() > -0.99) continue;  // of the lower face
        REQUIRE(place.wall_mm.has_value());
        CHECK(*place.wall_mm == Approx(place.p.x() * std::sin(angle)).margin(1e-9));
        ++asked;
    }
    CHECK(asked > 500);
}

TEST_CASE("a hollow is found with its volume, a second body beside it is none") {
    TriangleMesh mesh = tests::box_of({30.0, 30.0, 30.0});
    TriangleMesh hollow = tests::moved(tests::box_of({4.0, 5.0, 6.0}), Mat3::Identity(), Vec3(10, 10, 10));
    hollow.flip();
    tests::join(mesh, hollow);
    tests::join(mesh, tests::moved(tests::box_of({5.0, 5.0, 5.0}), Mat3::Identity(), Vec3(100, 0, 0)));
    const Probe found = probed(mesh, 3.0);
    CHECK(found.hollows == 1);
    CHECK(found.hollow_mm3 == Approx(120.0));
    REQUIRE(found.hollow_where.has_value());
    CHECK((*found.hollow_where - Vec3(12, 12.5, 13)).norm() < 6.0);
    CHECK(probed(tests::box_of({30.0, 30.0, 30.0}), 3.0).hollows == 0);
}

TEST_CASE("the floor of a blind hole is as deep as the hole over its breadth") {
    // form factor from a place of the floor, `off` its middle, to the round mouth above it (J. R. Howell, A
    // catalog of radiation configuration factors, 1982: planar element to a disc in a parallel plane); in
    // the middle it is 1 / (1 + 4 k^2)
    const auto seen = [](double radius, double depth, double off) {
        const double h = depth / off, r = radius / off, z = 1.0 + h * h + r * r;
        return 0.5 * (1.0 - (z - 2.0 * r * r) / std::sqrt(z * z - 4.0 * r * r));
    };
    CHECK(seen(3.0, 12.0, 1e-3) == Approx(1.0 / (1.0 + 4.0 * 2.0 * 2.0)).epsilon(1e-4));
    for (const double ratio : {1.2, 4.0}) {
        const double radius = 3.0, depth = 2.0 * radius * ratio;
        const TriangleMesh mesh = tests::blind_hole(8.0, radius, depth + 5.0, depth, 48);
        int on_floor = 0;
        INFO(ratio);
        for (const SkinPlace& place : probed(mesh, 0.6, true).places) {
            const double off = place.p.head<2>().norm();
            if (off > 7.5 || place.p.z() < 1e-9) CHECK(place.depth == 0.0);
            if (std::abs(place.p.z() - 5.0) > 1e-9 || place.normal.z() < 0.9 || off > 2.5) continue;
            ++on_floor;
            const double share = seen(radius, depth, off);
            // counted by 768 rays, a few of which graze the mouth, a polygon 0.3 % smaller than its circle
            if (share < 0.19)
                CHECK(1.0 / (1.0 + 4.0 * place.depth * place.depth) ==
                      Approx(share).margin(3.5 / 768.0 + 0.04 * share));
        }
        CHECK(on_floor > 100);
    }
    // a shallow dish lies open all over
    for (const SkinPlace& place : probed(tests::blind_hole(10.0, 8.0, 10.0, 2.0, 64), 0.8, true).places)
        if (place.p.head<2>().norm() < 6.0) CHECK(place.depth == 0.0);
}

TEST_CASE("turned and moved, a body has the same walls, gaps and depths; threads change nothing") {
    const int count = tests::cases(40, 2, "turned bodies");
    std::mt19937_64 random(tests::seed() + 3);
    for (int i = 0; i < count; ++i) {
        std::uniform_real_distribution<double> part(0.2, 0.8);
        const double hole = 8.0 * part(random), depth = 20.0 * part(random);
        const TriangleMesh mesh = tests::blind_hole(12.0, hole, 22.0, depth, 40);
        const Mat3 turn = tests::random_rotation(random());
        const Probe here = probed(mesh, 2.0, true);
        const Probe there = probed(tests::moved(mesh, turn, Vec3(40, -3, 9)), 2.0, true);
        set_thread_count(1);
        const Probe alone = probed(mesh, 2.0, true);
        set_thread_count(0);
        REQUIRE(here.places.size() == there.places.size());
        REQUIRE(here.places.size() == alone.places.size());
        double deep_here = 0.0, deep_there = 0.0;
        std::size_t differ = 0;
        for (std::size_t k = 0; k < here.places.size(); ++k) {
            const SkinPlace &a = here.places[k], &b = there.places[k], &c = alone.places[k];
            CHECK((a.wall_mm == c.wall_mm && a.gap_mm == c.gap_mm && a.depth == c.depth));
            // a ray that runs into an edge may take either side of it
            const auto same = [](const std::optional<double>& s, const std::optional<double>& t) {
                return s.has_value() == t.has_value() && (!s || std::abs(*s - *t) < 1e-6);
            };
            if (!same(a.wall_mm, b.wall_mm) || !same(a.gap_mm, b.gap_mm)) ++differ;
            deep_here += a.area * (a.depth > 0.0);
            deep_there += b.area * (b.depth > 0.0);
        }
        CHECK(differ * 200 <= here.places.size());
        CHECK(deep_there == Approx(deep_here).margin(0.03 * here.area_mm2));
    }
}

TEST_CASE("what is no body is refused with what is wrong") {
    const auto refused = [](const TriangleMesh& mesh, const std::string& says) {
        const auto found = probe(mesh, {}, nullptr);
        REQUIRE_FALSE(found.ok());
        INFO(found.fault().message);
        CHECK(found.fault().message.find(says) != std::string::npos);
        CHECK(found.fault().kind == FaultKind::input);
    };
    refused({}, "no surface");
    TriangleMesh open = tests::box_of({3, 3, 3});
    open.triangles.pop_back();
    refused(open, "3 open edges");
    TriangleMesh inward = tests::box_of({3, 3, 3});
    inward.flip();
    refused(inward, "looks inward");
    TriangleMesh nowhere = tests::box_of({3, 3, 3});
    nowhere.points[4].x() = std::nan("");
    refused(nowhere, "no number");
    ProbeSetting small;
    small.most_places = 5;
    CHECK_FALSE(probe(tests::box_of({3, 3, 3}), small, nullptr).ok());
    // spacing grows where a body is large: never more places than allowed
    small.most_places = 4000;
    const auto large = probe(tests::box_of({900, 900, 900}), small, nullptr);
    REQUIRE(large.ok());
    CHECK(large->places.size() <= 4000);
    Progress cancelled;
    cancelled.cancel();
    const auto given_up = probe(tests::box_of({3, 3, 3}), {}, &cancelled);
    REQUIRE_FALSE(given_up.ok());
    CHECK(given_up.fault().kind == FaultKind::cancelled);
}
