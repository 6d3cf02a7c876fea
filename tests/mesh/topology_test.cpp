#include "engine/mesh/topology.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <random>

#include "engine/mesh/soundness.hpp"
#include "tests/mesh/shapes.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using tests::append;

TEST_CASE("a torus has no border, and Euler's count of zero") {
    const TriangleMesh mesh = tests::torus(40, 20, 30, 10);
    const Topology topology = find_topology(mesh);
    CHECK(topology.open_edges == 0);
    CHECK(topology.misoriented_edges == 0);
    CHECK(topology.non_manifold_edges() == 0);
    for (std::size_t h = 0; h < topology.opposite.size(); ++h) {
        REQUIRE(topology.opposite[h] >= 0);
        REQUIRE(topology.opposite[static_cast<std::size_t>(topology.opposite[h])] == static_cast<int>(h));
    }
    const std::size_t edges = topology.opposite.size() / 2;
    CHECK(mesh.points.size() + mesh.triangles.size() == edges);
    CHECK(boundary_loops(mesh, topology).empty());
    CHECK(find_parts(mesh, topology).count() == 1);
    const Soundness s = find_soundness(mesh);
    CHECK(s.sound());
    CHECK(s.places.empty());
}

TEST_CASE("the border of a sheet is one loop with the sheet on its left") {
    TriangleMesh mesh = tests::grid(7, 5);
    const Topology topology = find_topology(mesh);
    const auto loops = boundary_loops(mesh, topology);
    REQUIRE(loops.size() == 1);
    CHECK(loops[0].points.size() == 24);
    CHECK(loops[0].length == Approx(4.0));
    double area = 0.0;  // shoelace: positive when counter-clockwise
    for (std::size_t i = 0; i < 24; ++i) {
        const Vec3 &p = mesh.points[loops[0].points[i]], &q = mesh.points[loops[0].points[(i + 1) % 24]];
        area += 0.5 * (p.x() * q.y() - q.x() * p.y());
    }
    CHECK(area == Approx(1.0));
    CHECK_FALSE(find_soundness(mesh).closed);
    CHECK(find_soundness(mesh).open_edges == 24);
}

TEST_CASE("holes that touch in a point are loops of their own") {
    // 6 x 6 squares without the squares (1,1) and (2,2)
    TriangleMesh mesh = tests::grid(6, 6);
    std::vector<Triangle> kept;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const std::size_t square = t / 2;
        if (square != 7 && square != 14) kept.push_back(mesh.triangles[t]);
    }
    mesh.triangles = kept;
    const auto loops = boundary_loops(mesh, find_topology(mesh));
    REQUIRE(loops.size() == 2);  // going round the shared point the mesh on the left, the holes join into one
    CHECK(std::max(loops[0].points.size(), loops[1].points.size()) == 24);
    CHECK(std::min(loops[0].points.size(), loops[1].points.size()) == 8);
    CHECK(find_soundness(mesh).non_manifold_points == 1);
}

TEST_CASE("winding is made to agree, and the larger part has its way") {
    std::mt19937_64 random(tests::seed());
    const int count = tests::cases(200, 20, "turned triangles");
    for (int n = 0; n < count; ++n) {
        TriangleMesh mesh = tests::torus(30, 12, 30, 10);
        const TriangleMesh truth = mesh;
        std::size_t turned = 0;
        const unsigned percent = static_cast<unsigned>(random() % 20);
        for (Triangle& t : mesh.triangles)
            if (random() % 100 < percent) {
                std::swap(t[0], t[1]);
                ++turned;
            }
        Topology topology = find_topology(mesh);
        const Orientation done = orient_consistently(mesh, topology);
        REQUIRE(done.flipped == turned);
        REQUIRE(done.disputed == 0);
        REQUIRE(mesh.volume() == Approx(truth.volume()));
        REQUIRE(topology.misoriented_edges == 0);
        REQUIRE(topology.opposite == find_topology(mesh).opposite);
    }
}

TEST_CASE("a Moebius strip cannot agree, and says so") {
    TriangleMesh mesh;
    const int n = 24;
    for (int i = 0; i < n; ++i) {
        const double u = 2 * std::numbers::pi * i / n;
        for (const double s : {-1.0, 1.0})
            mesh.points.emplace_back((5 + s * std::cos(u / 2)) * std::cos(u),
                                     (5 + s * std::cos(u / 2)) * std::sin(u), s * std::sin(u / 2));
    }
    for (int i = 0; i < n; ++i) {
        const bool last = i + 1 == n;
        const int a = 2 * i, b = 2 * i + 1, c = last ? 1 : 2 * i + 2, d = last ? 0 : 2 * i + 3;
        mesh.triangles.push_back({a, c, b});
        mesh.triangles.push_back({b, c, d});
    }
    Topology topology = find_topology(mesh);
    CHECK(topology.misoriented_edges == 1);
    CHECK(orient_consistently(mesh, topology).disputed == 1);
    const auto loops = boundary_loops(mesh, topology);  // its border is one loop, twice round
    REQUIRE(loops.size() == 1);
    CHECK(loops[0].points.size() == 48);
}

TEST_CASE("three leaves of a book share one non-manifold edge") {
    TriangleMesh mesh;
    mesh.points = {{0, 0, 0}, {0, 0, 1}, {1, 0, 0}, {0, 1, 0}, {-1, -1, 0}};
    mesh.triangles = {{0, 1, 2}, {0, 1, 3}, {1, 0, 4}};
    const Topology topology = find_topology(mesh);
    CHECK(topology.non_manifold_edges() == 1);
    CHECK(topology.non_manifold_half_edges.size() == 3);
    CHECK(topology.open_edges == 6);
    CHECK(find_parts(mesh, topology).count() == 1);
    const auto loops = boundary_loops(mesh, topology);
    CHECK(loops.size() == 3);
    CHECK(find_soundness(mesh).non_manifold_points == 2);
}

TEST_CASE("parts, unused points, degenerate triangles") {
    TriangleMesh mesh = tests::tetrahedron();
    append(mesh, tests::tetrahedron(Vec3(5, 0, 0), 2.0));
    mesh.points.emplace_back(99, 99, 99);
    Parts parts = find_parts(mesh, find_topology(mesh));
    REQUIRE(parts.count() == 2);
    CHECK(parts.triangles == std::vector<std::size_t>{4, 4});
    CHECK(parts.area[1] == Approx(4 * parts.area[0]));
    CHECK(drop_unused_points(mesh) == 1);
    CHECK(mesh.points.size() == 8);
    CHECK(find_soundness(mesh).components == 2);
    CHECK(find_soundness(mesh).volume == Approx(1.0 / 6 + 8.0 / 6));

    mesh.triangles.push_back({0, 0, 1});
    const Topology topology = find_topology(mesh);
    CHECK(topology.opposite.back() == Topology::degenerate);
    const Soundness s = find_soundness(mesh);
    CHECK(s.degenerate_triangles == 1);
    CHECK_FALSE(s.sound());

    // two tetrahedra that share a single point
    TriangleMesh pinched = tests::tetrahedron();
    append(pinched, tests::tetrahedron(Vec3::Zero(), -1.0));
    for (Triangle& t : pinched.triangles)
        for (auto& p : t)
            if (p == 4) p = 0;
    CHECK(find_soundness(pinched).non_manifold_points == 1);
    CHECK(find_soundness(pinched).components == 2);

    CHECK_FALSE(find_soundness(TriangleMesh{}).closed);
}
