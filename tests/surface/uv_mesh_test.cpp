#include "engine/surface/uv_mesh.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <numbers>
#include <random>

#include "engine/base/parallel.hpp"
#include "engine/surface/underside.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

double area(const UvMesh& mesh) {
    double sum = 0;
    for (const Triangle& t : mesh.triangles) {
        const Vec2 a = mesh.points[t[1]] - mesh.points[t[0]], b = mesh.points[t[2]] - mesh.points[t[0]];
        const double twice = a.x() * b.y() - a.y() * b.x();
        REQUIRE(twice > 0);
        sum += 0.5 * twice;
    }
    return sum;
}

// Greatest distance from points of the triangles to the surface, by Newton.
double chord_error(const UvMesh& mesh, const SplineSurface& s) {
    std::vector<double> worst(mesh.triangles.size());
    parallel_for(mesh.triangles.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Triangle& t = mesh.triangles[k];
            for (const Vec3& w : {Vec3(1, 1, 1), Vec3(1, 1, 0), Vec3(0, 1, 1), Vec3(1, 0, 1), Vec3(3, 1, 1),
                                  Vec3(1, 3, 1), Vec3(1, 1, 3)}) {
                const Vec3 b = w / w.sum();
                Vec2 uv = b[0] * mesh.points[t[0]] + b[1] * mesh.points[t[1]] + b[2] * mesh.points[t[2]];
                const Vec3 flat = b[0] * s.point(mesh.points[t[0]]) + b[1] * s.point(mesh.points[t[1]]) +
                                  b[2] * s.point(mesh.points[t[2]]);
                worst[k] = std::max(worst[k], s.project(flat, uv));
            }
        }
    });
    return *std::max_element(worst.begin(), worst.end());
}

// Points - edges + triangles, and that every edge inside has two triangles and every boundary edge one.
int euler(const UvMesh& mesh) {
    std::map<std::pair<int, int>, int> edges;
    for (const Triangle& t : mesh.triangles)
        for (int c = 0; c < 3; ++c) ++edges[std::minmax({t[c], t[(c + 1) % 3]})];
    std::size_t boundary = 0, expected = 0;
    for (const auto& [edge, count] : edges) {
        REQUIRE(count <= 2);
        boundary += count == 1;
    }
    for (const auto& loop : mesh.loops) {
        expected += loop.s.size();
        for (std::size_t k = 0; k < loop.s.size(); ++k) {
            const int a = static_cast<int>(loop.first + k),
                      b = static_cast<int>(loop.first + (k + 1) % loop.s.size());
            const auto found = edges.find(std::minmax(a, b));
            REQUIRE(found != edges.end());
            CHECK(found->second == 1);
        }
    }
    CHECK(boundary == expected);
    return static_cast<int>(mesh.points.size()) - static_cast<int>(edges.size()) +
           static_cast<int>(mesh.triangles.size());
}

}  // namespace

TEST_CASE("Every chord keeps the tolerance on both sides, and triangles grow as it shrinks", "[uv_mesh]") {
    const AnalyticSurface foot = foot_like();
    const PeriodicCurve trim = foot_trim(foot, 9);
    const SplineSurface carpet = foot.carpet(57, 29);
    const auto sides = roll_underside(
        carpet, [](const Vec2&, const Vec3&) { return 3.5; },
        [](const Vec2& uv) { return -2 * std::exp(-(uv - Vec2(120, 60)).squaredNorm() / 60); });
    REQUIRE(sides.ok());
    std::vector<std::size_t> counts;
    for (double tolerance : {0.08, 0.02, 0.005}) {
        const auto mesh = mesh_region({&sides->foot_side, &sides->underside}, trim, {}, {tolerance, {}});
        REQUIRE(mesh.ok());
        INFO("tolerance " << tolerance);
        CHECK(chord_error(*mesh, sides->foot_side) <= tolerance * 1.02);
        CHECK(chord_error(*mesh, sides->underside) <= tolerance * 1.02);
        CHECK(euler(*mesh) == 1);
        CHECK(area(*mesh) == Approx(trim.signed_area()).epsilon(2e-3));
        counts.push_back(mesh->triangles.size());
        // the trim itself, in space
        const auto& loop = mesh->loops.front();
        for (std::size_t k = 0; k < loop.s.size(); ++k) {
            const double a = loop.s[k], b = k + 1 < loop.s.size() ? loop.s[k + 1] : trim.period();
            const Vec3 p = sides->foot_side.point(trim.point(a)), q = sides->foot_side.point(trim.point(b));
            const Vec3 m = sides->foot_side.point(trim.point(0.5 * (a + b)));
            CHECK((m - p).cross(q - p).norm() / (q - p).norm() <= tolerance * 0.51);
        }
    }
    CHECK(counts[1] > 2 * counts[0]);
    CHECK(counts[2] > 2 * counts[1]);
    CHECK(counts[2] < 12 * counts[1]);
}

TEST_CASE("A mesh with holes leaves them out and follows their edges", "[uv_mesh]") {
    const AnalyticSurface s = sphere(80, 60, 50);
    const SplineSurface surface = s.carpet(16, 12);
    const PeriodicCurve trim = uv_circle({40, 30}, 25);
    const std::vector<PeriodicCurve> holes{uv_circle({30, 28}, 5), uv_circle({50, 32}, 7.5)};
    const auto mesh = mesh_region({&surface}, trim, holes);
    REQUIRE(mesh.ok());
    REQUIRE(mesh->loops.size() == 3);
    CHECK(euler(*mesh) == 1 - 2);
    CHECK(area(*mesh) == Approx(std::numbers::pi * (625 - 25 - 56.25)).epsilon(2e-3));
    CHECK(chord_error(*mesh, surface) <= 0.0205);
    for (const Triangle& t : mesh->triangles) {
        const Vec2 m = (mesh->points[t[0]] + mesh->points[t[1]] + mesh->points[t[2]]) / 3;
        CHECK((m - Vec2(30, 28)).norm() > 4.9);
        CHECK((m - Vec2(50, 32)).norm() > 7.4);
    }
}

TEST_CASE("A mesh follows lines and fills them, their triangles last", "[uv_mesh]") {
    const SplineSurface surface = sphere(80, 60, 50).carpet(16, 12);
    UvMeshSettings settings;
    settings.lines = {uv_circle({30, 28}, 5), uv_circle({50, 32}, 7.5).reversed()};
    auto mesh = mesh_region({&surface}, uv_circle({40, 30}, 25), {uv_circle({40, 44}, 4)}, settings);
    REQUIRE(mesh.ok());
    REQUIRE(mesh->loops.size() == 4);
    CHECK(area(*mesh) == Approx(std::numbers::pi * (625 - 16)).epsilon(2e-3));
    CHECK(chord_error(*mesh, surface) <= 0.0205);
    const auto within = [&](const Triangle& t) {
        const Vec2 m = (mesh->points[t[0]] + mesh->points[t[1]] + mesh->points[t[2]]) / 3;
        return (m - Vec2(30, 28)).norm() < 5 || (m - Vec2(50, 32)).norm() < 7.5;
    };
    std::size_t wrong = 0;
    for (std::size_t k = 0; k < mesh->triangles.size(); ++k)
        wrong += within(mesh->triangles[k]) != (k >= mesh->outside_lines);
    CHECK(wrong == 0);
    // what lies outside the lines has them as its border
    mesh->triangles.resize(mesh->outside_lines);
    CHECK(area(*mesh) == Approx(std::numbers::pi * (625 - 16 - 25 - 56.25)).epsilon(2e-3));
}

TEST_CASE("A polygon's triangles fill it and use its points alone", "[uv_mesh]") {
    const int count = cases(300, 40, "random star polygons");
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> unit(0, 1);
    for (int i = 0; i < count; ++i) {
        std::vector<Vec2> star;
        const int n = 3 + static_cast<int>(random() % 60);
        double truth = 0;
        for (int k = 0; k < n; ++k) {
            const double a = 2 * std::numbers::pi * (k + 0.8 * unit(random)) / n, r = 3 + 20 * unit(random);
            star.emplace_back(100 + r * std::cos(a), -40 + r * std::sin(a));
        }
        for (int k = 0; k < n; ++k) {
            const Vec2 &a = star[static_cast<std::size_t>(k)],
                       &b = star[static_cast<std::size_t>((k + 1) % n)];
            truth += 0.5 * (a.x() * b.y() - a.y() * b.x());
        }
        if (truth < 1) continue;  // three points that do not surround the middle
        INFO("case " << i);
        const auto triangles = triangulate(star);
        REQUIRE(triangles.ok());
        CHECK(triangles->size() == star.size() - 2);
        UvMesh mesh;
        mesh.points = star;
        mesh.triangles = *triangles;
        CHECK(area(mesh) == Approx(truth).epsilon(1e-12));
    }
    CHECK_FALSE(triangulate({{0, 0}, {1, 0}}).ok());
    CHECK_FALSE(triangulate({{0, 0}, {2, 2}, {2, 0}, {0, 2}}).ok());
    CHECK_FALSE(triangulate({{0, 0}, {1, 0}, {0, 0}, {0, 1}}).ok());
}

TEST_CASE("Curves that cross, leave the carpet or hold no numbers are refused", "[uv_mesh]") {
    const SplineSurface surface = plane(80, 60).carpet(8, 6);
    const auto refused = [&](const PeriodicCurve& trim, const std::vector<PeriodicCurve>& holes = {}) {
        const auto mesh = mesh_region({&surface}, trim, holes);
        return !mesh.ok() && mesh.fault().stage == "mesh" && !mesh.fault().message.empty();
    };
    const PeriodicCurve good = uv_circle({40, 30}, 20);
    CHECK_FALSE(refused(good));
    CHECK(refused({}));
    CHECK(refused(uv_circle({40, 30}, 31)));
    CHECK(refused(uv_circle({40, std::nan("")}, 20)));
    CHECK(refused(PeriodicCurve::through({{20, 20}, {40, 30}, {60, 40}, {60, 20}, {40, 30.5}, {20, 40}})));
    CHECK(refused(good, {uv_circle({58, 30}, 5)}));                          // over the trim
    CHECK(refused(good, {uv_circle({70, 30}, 4)}));                          // outside it
    CHECK(refused(good, {uv_circle({36, 30}, 5), uv_circle({42, 30}, 5)}));  // over each other
    CHECK(refused(good, {good}));
    PeriodicCurve point;
    point.control.assign(6, Vec2(40, 30));
    CHECK(refused(point));
    CHECK_FALSE(mesh_region({&surface}, good, {}, {0.0, {}}).ok());
    CHECK_FALSE(mesh_region({&surface}, good, {}, {std::nan(""), {}}).ok());
    CHECK_FALSE(mesh_region({}, good).ok());
}

TEST_CASE("The mesh is the same for any number of threads", "[uv_mesh]") {
    const SplineSurface surface = saddle(80, 60, 60, -45).carpet(16, 12);
    std::vector<UvMesh> meshes;
    for (int threads : {1, 2, 8}) {
        set_thread_count(threads);
        auto mesh = mesh_region({&surface}, uv_circle({40, 30}, 25), {uv_circle({40, 30}, 5)});
        REQUIRE(mesh.ok());
        meshes.push_back(std::move(*mesh));
    }
    set_thread_count(0);
    for (std::size_t k : {1U, 2U}) {
        CHECK(meshes[0].points == meshes[k].points);
        CHECK(meshes[0].triangles == meshes[k].triangles);
    }
}
