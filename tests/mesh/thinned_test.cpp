// Fewer triangles: a plane keeps its corners and nothing else, what is closed stays closed, a sphere is left
// no farther than its chords, points and groups are those of the mesh given.
#include "engine/mesh/thinned.hpp"

#include <catch2/catch.hpp>
#include <map>
#include <numbers>
#include <set>

#include "engine/base/parallel.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/mesh/topology.hpp"
#include "tests/mesh/shapes.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;

namespace {

ThinnedMesh thin(const TriangleMesh& mesh, std::size_t most, const std::vector<std::uint8_t>& group = {}) {
    Progress progress;
    auto out = thinned(mesh, most, group, progress);
    REQUIRE(out.ok());
    for (std::size_t i = 0; i < out->mesh.points.size(); ++i) {
        REQUIRE(out->mesh.points[i] == mesh.points[out->point_from[i]]);
        REQUIRE((i == 0 || out->point_from[i - 1] < out->point_from[i]));
    }
    REQUIRE(out->triangle_from.size() == out->mesh.triangles.size());
    return *out;
}

}  // namespace

TEST_CASE("a flat sheet is left with its corners, its area and its four edges") {
    const TriangleMesh sheet = tests::grid(17, 11);
    const ThinnedMesh out = thin(sheet, 8);
    CHECK(out.mesh.triangles.size() <= 8);
    CHECK(out.mesh.points.size() <= 10);
    CHECK(out.mesh.area() == Approx(1.0).epsilon(1e-12));
    CHECK(out.off < 1e-12);
}

TEST_CASE("groups keep their border: two halves of a sheet keep their areas") {
    const TriangleMesh sheet = tests::grid(16, 9);
    std::vector<std::uint8_t> half;
    for (const Triangle& t : sheet.triangles)
        half.push_back(sheet.points[t[0]].x() + sheet.points[t[1]].x() + sheet.points[t[2]].x() < 0.75 ? 1
                                                                                                       : 0);
    const ThinnedMesh out = thin(sheet, 10, half);
    double area[2] = {0.0, 0.0};
    for (std::size_t t = 0; t < out.mesh.triangles.size(); ++t)
        area[half[out.triangle_from[t]]] += out.mesh.area(t);
    CHECK(area[1] == Approx(0.25).epsilon(1e-12));
    CHECK(area[0] == Approx(0.75).epsilon(1e-12));
    CHECK(out.mesh.triangles.size() <= 10);
}

TEST_CASE("a torus stays a torus, however few its triangles") {
    const TriangleMesh torus = tests::torus(80, 40, 30.0, 8.0);
    for (const std::size_t most : {2000U, 400U, 60U, 0U}) {
        const ThinnedMesh out = thin(torus, most);
        INFO(out.mesh.triangles.size() << " of " << torus.triangles.size());
        const Soundness now = find_soundness(out.mesh);
        CHECK(now.sound());
        CHECK(now.components == 1);
        const auto points = static_cast<long>(out.mesh.points.size()),
                   triangles = static_cast<long>(out.mesh.triangles.size());
        CHECK(points - triangles / 2 == 0);  // Euler: genus 1
        if (most >= 400) {
            CHECK(out.mesh.triangles.size() <= most);
            CHECK(self_intersections(out.mesh, 1).empty());
        }
    }
}

TEST_CASE(
    "a torus is left about as near as the best of so few flat pieces can lie: the error falls with them") {
    const TriangleMesh torus = tests::torus(240, 120, 30.0, 8.0);
    const double at_3000 = thin(torus, 3000).off, at_12000 = thin(torus, 12000).off;
    INFO(at_3000 << " mm with 3000, " << at_12000 << " mm with 12000");
    // sagitta of a chord of an even net over the tube (area 4 pi^2 R r): c^2 / 8 r, c^2 = area x 4 / sqrt(3)
    // / n
    const double area = 4.0 * std::numbers::pi * std::numbers::pi * 30.0 * 8.0;
    const double sagitta = area * 4.0 / std::sqrt(3.0) / 3000.0 / 8.0 / 8.0;
    CHECK(at_3000 < 2.5 * sagitta);
    CHECK(at_12000 < 0.5 * at_3000);  // four times the pieces: a quarter where it is smooth
}

TEST_CASE("triangles thrown anyhow: never more of them, never a crash, the same on any number of threads") {
    std::mt19937_64 random(tests::seed());
    for (int k = tests::cases(300, 60, "thinned soups"); k > 0; --k) {
        TriangleMesh soup;
        const int points = 3 + static_cast<int>(random() % 30), triangles = static_cast<int>(random() % 60);
        for (int i = 0; i < points; ++i) {
            const double x = static_cast<double>(random() % 5), y = static_cast<double>(random() % 5);
            soup.points.emplace_back(x, y, static_cast<double>(random() % 5));
        }
        for (int i = 0; i < triangles; ++i) {
            const auto a = static_cast<std::int32_t>(random() % points);
            const auto b = static_cast<std::int32_t>(random() % points);
            soup.triangles.push_back({a, b, static_cast<std::int32_t>(random() % points)});
        }
        const std::size_t most = random() % 40;
        set_thread_count(1);
        const ThinnedMesh one = thin(soup, most);
        set_thread_count(8);
        const ThinnedMesh eight = thin(soup, most);
        set_thread_count(0);
        CHECK(one.mesh.triangles.size() <= soup.triangles.size());
        CHECK(one.mesh.triangles == eight.mesh.triangles);
        CHECK(one.off == eight.off);
    }
}

TEST_CASE("thinning can be cancelled") {
    Progress progress;
    progress.cancel();
    const auto out = thinned(tests::torus(20, 10, 30.0, 8.0), 10, {}, progress);
    REQUIRE_FALSE(out.ok());
    CHECK(out.fault().kind == FaultKind::cancelled);
}
