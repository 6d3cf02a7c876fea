#include "engine/surface/flatten.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/mesh/soundness.hpp"
#include "engine/mesh/topology.hpp"
#include "engine/surface/coarsen.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

// A grid of triangles over a map of the plane, its inner points shaken so that no two triangles are alike.
template <class Map>
TriangleMesh sheet(double length_u, double length_v, double edge, const Map& map, std::uint64_t shake = 1) {
    std::mt19937_64 random(shake);
    std::uniform_real_distribution<double> off(-0.25, 0.25);
    const int nu = static_cast<int>(length_u / edge), nv = static_cast<int>(length_v / edge);
    TriangleMesh mesh;
    for (int i = 0; i <= nu; ++i)
        for (int j = 0; j <= nv; ++j) {
            const double a = i == 0 || i == nu ? 0.0 : off(random), b = j == 0 || j == nv ? 0.0 : off(random);
            mesh.points.push_back(map(length_u * (i + a) / nu, length_v * (j + b) / nv));
        }
    const auto at = [&](int i, int j) { return static_cast<std::int32_t>(i * (nv + 1) + j); };
    for (int i = 0; i < nu; ++i)
        for (int j = 0; j < nv; ++j) {
            mesh.triangles.push_back({at(i, j), at(i + 1, j), at(i + 1, j + 1)});
            mesh.triangles.push_back({at(i, j), at(i + 1, j + 1), at(i, j + 1)});
        }
    return mesh;
}

Vec3 on_cylinder(double u, double v) {
    const double radius = 30.0, a = (v - 45.0) / radius;
    return {u, radius * std::sin(a), radius * (1.0 - std::cos(a))};
}

Vec3 on_cone(double u, double v) {  // u from the apex side, opening angle 0.3
    const double slope = 0.3, r = u + 60.0, a = (v - 45.0) / 105.0 / std::sin(slope);
    return {r * std::cos(slope), r * std::sin(slope) * std::sin(a),
            r * std::sin(slope) * (1.0 - std::cos(a))};
}

// A sole between walls some 75 degrees steep, with an arch and a heel that curls up.
Vec3 on_gutter(double u, double v) {
    const double side = v - 50.0, flat = 22.0, round = 16.0, steepest = 1.3;
    const double turn = std::max(0.0, std::abs(side) - flat) / round;
    const double angle = std::min(turn, steepest), straight = round * (turn - angle);
    const double y = std::min(std::abs(side), flat) + round * std::sin(angle) + straight * std::cos(steepest);
    const double z = round * (1.0 - std::cos(angle)) + straight * std::sin(steepest);
    const double bow = 12.0 * std::exp(-std::pow((u - 80.0) / 35.0, 2)) * (1.0 + side / 60.0);
    const double heel = u < 30.0 ? 0.012 * (30.0 - u) * (30.0 - u) : 0.0;
    return {u, std::copysign(y, side), z + bow + heel};
}

// Greatest relative change of an edge's length.
double edge_error(const TriangleMesh& mesh, const std::vector<Vec2>& uv) {
    double worst = 0;
    for (const Triangle& t : mesh.triangles)
        for (std::size_t k = 0; k < 3; ++k) {
            const auto a = t[k], b = t[(k + 1) % 3];
            worst = std::max(
                worst, std::abs((uv[a] - uv[b]).norm() / (mesh.points[a] - mesh.points[b]).norm() - 1.0));
        }
    return worst;
}

long euler(const TriangleMesh& mesh) {
    const Topology t = find_topology(mesh);
    const long edges = (static_cast<long>(mesh.triangles.size()) * 3 + static_cast<long>(t.open_edges)) / 2;
    return static_cast<long>(mesh.points.size()) - edges + static_cast<long>(mesh.triangles.size());
}

void check_sound(const TriangleMesh& mesh) {
    const Soundness s = find_soundness(mesh);
    CHECK(s.non_manifold_edges == 0);
    CHECK(s.misoriented_edges == 0);
    CHECK(s.non_manifold_points == 0);
    CHECK(s.components == 1);
}

}  // namespace

TEST_CASE("Developable patches are laid flat without changing a length") {
    FlattenSettings exact;
    exact.smoothing = 0;
    exact.direct_points = 100'000;
    const auto check = [&](const TriangleMesh& mesh) {
        const auto flat = flatten(mesh, exact);
        REQUIRE(flat);
        CHECK(flat->flips == 0);
        CHECK(flat->stretch_low > 1.0 - 1e-3);
        CHECK(flat->stretch_high < 1.0 + 1e-3);
        // obtuse triangles move a little more than 0.1 % of an edge: the chords of a curve are no isometry
        CHECK(edge_error(mesh, flat->uv) < 3e-3);
        // u runs with x
        double with = 0;
        Vec2 middle = Vec2::Zero();
        Vec3 centre = Vec3::Zero();
        for (std::size_t i = 0; i < mesh.points.size(); ++i) {
            middle += flat->uv[i] / static_cast<double>(mesh.points.size());
            centre += mesh.points[i] / static_cast<double>(mesh.points.size());
        }
        double across = 0;
        for (std::size_t i = 0; i < mesh.points.size(); ++i) {
            with += (flat->uv[i] - middle).x() * (mesh.points[i] - centre).x();
            across += (flat->uv[i] - middle).y() * (mesh.points[i] - centre).x();
        }
        CHECK(with > 0);
        CHECK(std::abs(across) < 1e-6 * with);
    };
    check(sheet(100, 90, 2.0, [](double u, double v) { return Vec3(u, v, 0); }));
    check(sheet(100, 90, 2.0, on_cylinder));
    check(sheet(100, 90, 2.0, on_cone));
}

TEST_CASE("A coarsened developable patch keeps its lengths to a per cent") {
    const TriangleMesh mesh = sheet(120, 90, 0.8, on_cylinder);
    REQUIRE(mesh.points.size() > FlattenSettings{}.direct_points);
    const auto flat = flatten(mesh);
    REQUIRE(flat);
    CHECK(flat->flattened_points < mesh.points.size() / 5);
    CHECK(flat->flips == 0);
    std::mt19937_64 random(seed());
    std::uniform_int_distribution<std::size_t> any(0, mesh.points.size() - 1);
    for (int k = 0; k < 500; ++k) {  // long distances on the unrolled cylinder against those in (u,v)
        const std::size_t a = any(random), b = any(random);
        if (!flat->known[a] || !flat->known[b]) continue;
        const auto unrolled = [&](std::size_t i) {
            const Vec3& p = mesh.points[i];
            return Vec2(p.x(), 30.0 * std::atan2(p.y(), 30.0 - p.z()));
        };
        const double exact = (unrolled(a) - unrolled(b)).norm();
        const auto deep = [&](const Vec2& q) { return q.x() > 8 && q.x() < 112 && std::abs(q.y()) < 37; };
        // at the border the smoothed copy is a little smaller than the patch
        if (exact > 20.0 && deep(unrolled(a)) && deep(unrolled(b)))
            CHECK((flat->uv[a] - flat->uv[b]).norm() == Approx(exact).epsilon(0.015));
    }
}

TEST_CASE("A steep-walled heel cup flattens without a flip, within the stretch a carpet may have") {
    for (const double edge : {2.4, 0.8}) {
        const auto flat = flatten(sheet(150, 100, edge, on_gutter));
        REQUIRE(flat);
        CHECK(flat->flips == 0);
        CHECK(flat->stretch_low > 0.8);
        CHECK(flat->stretch_high < 1.3);
    }
}

TEST_CASE("Holes do not disturb the map of a developable patch") {
    TriangleMesh mesh = sheet(100, 90, 1.5, on_cylinder);
    for (const Vec3& centre : {on_cylinder(30, 40), on_cylinder(70, 55)})
        std::erase_if(mesh.triangles, [&](const Triangle& t) {
            const Vec3 middle = (mesh.points[t[0]] + mesh.points[t[1]] + mesh.points[t[2]]) / 3.0;
            return (middle - centre).norm() < 7.5;
        });
    drop_unused_points(mesh);
    FlattenSettings exact;
    exact.smoothing = 0;
    exact.direct_points = 100'000;
    const auto flat = flatten(mesh, exact);
    REQUIRE(flat);
    CHECK(flat->flips == 0);
    CHECK(flat->stretch_low > 1.0 - 1e-3);
    CHECK(flat->stretch_high < 1.0 + 1e-3);
}

TEST_CASE("Coarsening gives a sound mesh of the same kind, on shaken and noisy sheets") {
    const int count = cases(30, 6, "coarsened sheets");
    for (int k = 0; k < count; ++k) {
        std::mt19937_64 random(seed() + static_cast<std::uint64_t>(k));
        TriangleMesh mesh = sheet(90, 80, 0.7, on_gutter, seed() + static_cast<std::uint64_t>(k));
        std::normal_distribution<double> noise(0.0, 0.1 * k);  // up to several times the edge
        for (Vec3& p : mesh.points) p += Vec3(noise(random), noise(random), noise(random));
        const Coarse coarse = coarsen(mesh, 2.6);
        check_sound(coarse.mesh);
        CHECK(euler(coarse.mesh) == 1);
        CHECK(coarse.mesh.points.size() < mesh.points.size());
        for (std::size_t i = 0; i < coarse.cell.size(); ++i)
            if (coarse.cell[i] >= 0)
                REQUIRE(static_cast<std::size_t>(coarse.cell[i]) < coarse.mesh.points.size());
    }
}

TEST_CASE("Sheets that lie close together are never glued; an annulus stays one") {
    // a strip folded back on itself with 0.4 mm between the layers
    const TriangleMesh folded = sheet(120, 40, 0.7, [](double u, double v) {
        const double r = 0.2, turn = u - 60.0;
        if (turn < 0) return Vec3(u, v, 0.0);
        if (turn < r * std::numbers::pi)
            return Vec3(60.0 + r * std::sin(turn / r), v, r * (1.0 - std::cos(turn / r)));
        return Vec3(60.0 - (turn - r * std::numbers::pi), v, 2.0 * r);
    });
    const Coarse two = coarsen(folded, 2.6);
    check_sound(two.mesh);
    CHECK(euler(two.mesh) == 1);
    TriangleMesh ring = sheet(90, 90, 0.7, [](double u, double v) { return Vec3(u, v, 0); });
    std::erase_if(ring.triangles,
                  [&](const Triangle& t) { return (ring.points[t[0]] - Vec3(45, 45, 0)).norm() < 20.0; });
    drop_unused_points(ring);
    const Coarse annulus = coarsen(ring, 2.6);
    check_sound(annulus.mesh);
    CHECK(euler(annulus.mesh) == 0);
}

TEST_CASE("What cannot be flattened is refused, not crashed on") {
    CHECK_FALSE(flatten(TriangleMesh{}));
    TriangleMesh line;
    for (int i = 0; i < 6; ++i) line.points.emplace_back(i, 0, 0);
    line.triangles = {{0, 1, 2}, {1, 3, 2}, {2, 3, 4}, {3, 5, 4}};
    CHECK_FALSE(flatten(line));
    TriangleMesh closed;  // a tetrahedron has no border
    closed.points = {{0, 0, 0}, {10, 0, 0}, {0, 10, 0}, {0, 0, 10}};
    closed.triangles = {{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}};
    CHECK_FALSE(flatten(closed));
}
