// The tree against brute force.
#include "engine/mesh/bvh.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <catch2/catch.hpp>
#include <random>
#include <set>

#include "engine/base/parallel.hpp"
#include "tests/mesh/shapes.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;

namespace {

Box3 box_of(const TriangleMesh& mesh, std::size_t t) {
    Box3 box;
    for (const auto p : mesh.triangles[t]) box.add(mesh.points[p]);
    return box;
}
bool touch(const Box3& a, const Box3& b) {
    return (a.low.array() <= b.high.array()).all() && (b.low.array() <= a.high.array()).all();
}

// Independent of the tree's test: solves origin + t d = a + u (b - a) + v (c - a).
std::optional<double> plain_hit(const Vec3& o, const Vec3& d, const Vec3& a, const Vec3& b, const Vec3& c) {
    Mat3 m;
    m << b - a, c - a, -d;
    const Vec3 r = o - a;
    const double det = m.determinant();
    if (det == 0.0) return std::nullopt;
    // Cramer's rule
    const auto with = [&](int column) {
        Mat3 changed = m;
        changed.col(column) = r;
        return changed.determinant() / det;
    };
    const double u = with(0), v = with(1), t = with(2);
    if (u < 0 || v < 0 || u + v > 1) return std::nullopt;
    return t;
}

}  // namespace

TEST_CASE("nearest, rays, boxes and pairs agree with brute force") {
    std::mt19937_64 random(tests::seed());
    const int count = tests::cases(60, 8, "random triangle soups");
    std::uniform_real_distribution<double> any(-0.3, 1.3), unit(-1, 1);
    for (int n = 0; n < count; ++n) {
        const int size = 1 + static_cast<int>(random() % 900);
        const TriangleMesh mesh = tests::soup(random, size, n % 2 ? 0.02 : 0.2);
        const Bvh bvh(mesh);
        for (int q = 0; q < 60; ++q) {
            const Vec3 p(any(random), any(random), any(random));
            double least = 1e300;
            for (const Triangle& t : mesh.triangles)
                least = std::min(
                    least,
                    (nearest_on_triangle(p, mesh.points[t[0]], mesh.points[t[1]], mesh.points[t[2]]) - p)
                        .norm());
            const auto near = bvh.nearest(p, 10.0);
            REQUIRE(near);
            REQUIRE(near->distance == Approx(least).margin(1e-12));
            REQUIRE((near->point - p).norm() == Approx(near->distance).margin(1e-12));
            REQUIRE_FALSE(bvh.nearest(p, least * 0.999));

            const Vec3 d(unit(random), unit(random), unit(random));
            std::vector<Hit> expected;
            for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
                const Triangle& i = mesh.triangles[t];
                const auto hit = plain_hit(p, d, mesh.points[i[0]], mesh.points[i[1]], mesh.points[i[2]]);
                if (hit && *hit >= 0 && *hit <= 2) expected.push_back({*hit, static_cast<std::int32_t>(t)});
            }
            std::sort(expected.begin(), expected.end(), [](const Hit& a, const Hit& b) { return a.t < b.t; });
            const auto all = bvh.ray_all(p, d, 0, 2);
            REQUIRE(all.size() == expected.size());
            for (std::size_t i = 0; i < all.size(); ++i) {
                REQUIRE(all[i].triangle == expected[i].triangle);
                REQUIRE(all[i].t == Approx(expected[i].t).margin(1e-9));
            }
            const auto first = bvh.ray(p, d, 0, 2);
            REQUIRE(first.has_value() == !all.empty());
            if (first) REQUIRE(first->triangle == all[0].triangle);
        }
        Box3 probe;
        probe.add(Vec3(0.2, 0.3, 0.1));
        probe.add(Vec3(0.5, 0.4, 0.8));
        std::vector<std::int32_t> inside;
        std::set<std::pair<int, int>> pairs;
        for (std::size_t a = 0; a < mesh.triangles.size(); ++a) {
            if (touch(box_of(mesh, a), probe)) inside.push_back(static_cast<int>(a));
            for (std::size_t b = a + 1; b < mesh.triangles.size(); ++b)
                if (touch(box_of(mesh, a), box_of(mesh, b)))
                    pairs.insert({static_cast<int>(a), static_cast<int>(b)});
        }
        REQUIRE(bvh.touching(probe) == inside);
        std::vector<std::vector<std::pair<int, int>>> found(bvh.pair_parts());
        bvh.overlapping_pairs([&](std::size_t part, int a, int b) { found[part].emplace_back(a, b); });
        std::set<std::pair<int, int>> once;
        std::size_t total = 0;
        for (const auto& part : found) {
            total += part.size();
            once.insert(part.begin(), part.end());
        }
        REQUIRE(total == pairs.size());
        REQUIRE(once == pairs);
    }
}

TEST_CASE("the point nearest to a triangle is no farther than any other of it") {
    std::mt19937_64 random(tests::seed() + 1);
    std::uniform_real_distribution<double> any(-1, 1), part(0, 1);
    for (int n = 0; n < 300; ++n) {
        const auto point = [&] { return Vec3(any(random), any(random), any(random)); };
        const Vec3 a = point(), b = point(), c = n % 5 == 0 ? Vec3(0.5 * (a + b)) : point(), p = 2 * point();
        const double d = (nearest_on_triangle(p, a, b, c) - p).norm();
        double sampled = 1e300;
        for (int k = 0; k < 400; ++k) {
            double u = part(random), v = part(random);
            if (u + v > 1) u = 1 - u, v = 1 - v;
            sampled = std::min(sampled, (a + u * (b - a) + v * (c - a) - p).norm());
        }
        REQUIRE(d <= sampled + 1e-12);
        REQUIRE(d > sampled - 0.2);
    }
}

TEST_CASE("no ray slips between triangles, and ties go to the lowest triangle") {
    const TriangleMesh mesh = tests::grid(8, 8);
    const Bvh bvh(mesh);
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> any(-1, 1);
    // at points and edge middles of the sheet, from all directions
    for (const Triangle& t : mesh.triangles)
        for (std::size_t k = 0; k < 3; ++k) {
            const Vec3 middle = 0.5 * (mesh.points[t[k]] + mesh.points[t[(k + 1) % 3]]);
            if (middle.x() < 0.1 || middle.x() > 0.9 || middle.y() < 0.1 || middle.y() > 0.9) continue;
            const Vec3 from(any(random), any(random), 1.0 + any(random) * 0.5);
            REQUIRE(bvh.ray(from, middle - from, 0.0, 2.0));
        }
    // (3/8, 3/8) is a point of triangles; straight down, exact in binary
    const auto hits = bvh.ray_all(Vec3(0.375, 0.375, 1), Vec3(0, 0, -1), 0, 2);
    REQUIRE(hits.size() == 6);
    const auto first = bvh.ray(Vec3(0.375, 0.375, 1), Vec3(0, 0, -1), 0, 2);
    REQUIRE(first);
    CHECK(first->triangle == hits[0].triangle);
    CHECK(first->t == 1.0);
    const auto near = bvh.nearest(Vec3(0.375, 0.375, 0.5), 1.0);
    REQUIRE(near);
    CHECK(near->triangle == hits[0].triangle);
    CHECK(near->distance == 0.5);
    CHECK(bvh.nearest(Vec3(0.375, 0.375, 0.5), 0.5));  // "no farther than" includes the limit
}

TEST_CASE("the tree is the same for any number of threads") {
    std::mt19937_64 random(tests::seed());
    const TriangleMesh mesh = tests::soup(random, 40000, 0.01);
    std::vector<std::vector<std::pair<int, int>>> answer;
    for (const int threads : {1, 2, 8}) {
        set_thread_count(threads);
        const Bvh bvh(mesh);
        std::vector<std::vector<std::pair<int, int>>> found(bvh.pair_parts());
        bvh.overlapping_pairs([&](std::size_t part, int a, int b) { found[part].emplace_back(a, b); });
        if (answer.empty()) answer = found;
        CHECK(answer == found);
    }
    set_thread_count(0);
}

TEST_CASE("meshes that defeat division are still answered") {
    TriangleMesh mesh;  // five thousand times the same triangle, and an empty one
    mesh.points = {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}};
    mesh.triangles.assign(5000, {0, 1, 2});
    const Bvh bvh(mesh);
    const auto near = bvh.nearest(Vec3(0.2, 0.2, 1), 5);
    REQUIRE(near);
    CHECK(near->triangle == 0);
    CHECK(bvh.ray_all(Vec3(0.2, 0.2, 1), Vec3(0, 0, -1), 0, 5).size() == 5000);
    const TriangleMesh nothing;
    const Bvh empty(nothing);
    CHECK_FALSE(empty.nearest(Vec3::Zero(), 1e9));
    CHECK_FALSE(empty.ray(Vec3::Zero(), Vec3::UnitX(), 0, 1e9));
    // centres spaced by powers of two: every division takes off one triangle only
    TriangleMesh spiral;
    for (int i = 0; i < 100; ++i) {
        const double x = std::ldexp(1.0, i - 60);
        for (int k = 0; k < 3; ++k)
            spiral.points.emplace_back(x * (1 + 0.1 * (k == 1)), 0.1 * x * (k == 2), 0);
        spiral.triangles.push_back({3 * i, 3 * i + 1, 3 * i + 2});
    }
    const Bvh tall(spiral);
    for (int i = 0; i < 100; ++i) {
        const auto n = tall.nearest(spiral.points[static_cast<std::size_t>(3 * i)], 0.0);
        REQUIRE(n);
        REQUIRE(n->triangle == i);
    }
}

TEST_CASE("a tree whose points have moved answers as one built anew") {
    std::mt19937_64 random(tests::seed());
    const int count = tests::cases(60, 8, "trees of moved points");
    std::uniform_real_distribution<double> any(-0.3, 1.3), unit(-1, 1);
    for (int n = 0; n < count; ++n) {
        const TriangleMesh before =
            tests::soup(random, 1 + static_cast<int>(random() % 30000 / (n % 4 + 1)), 0.05);
        const Bvh like(before);
        TriangleMesh mesh = before;
        // some by a little, some far
        const double far = n % 3 == 0 ? 1.0 : 0.02;
        for (Vec3& p : mesh.points)
            if (random() % 3 == 0) p += far * Vec3(unit(random), unit(random), unit(random));
        const Bvh moved(mesh, like), anew(mesh);
        CHECK(&moved.mesh() == &mesh);
        for (int q = 0; q < 40; ++q) {
            const Vec3 p(any(random), any(random), any(random)), d(unit(random), unit(random), unit(random));
            const double within = 0.5 * std::abs(unit(random));
            const auto a = moved.nearest(p, within), b = anew.nearest(p, within);
            REQUIRE(a.has_value() == b.has_value());
            if (a) {
                REQUIRE(a->triangle == b->triangle);
                REQUIRE(a->distance == b->distance);
                REQUIRE(a->point == b->point);
            }
            const auto hit = moved.ray(p, d, 0.0, 5.0), other = anew.ray(p, d, 0.0, 5.0);
            REQUIRE(hit.has_value() == other.has_value());
            if (hit) REQUIRE((hit->triangle == other->triangle && hit->t == other->t));
            Box3 box;
            box.add(p);
            box.add(p + 0.1 * d);
            REQUIRE(moved.touching(box) == anew.touching(box));
        }
        const auto pairs = [](const Bvh& bvh) {
            std::vector<std::set<std::pair<std::int32_t, std::int32_t>>> parts(bvh.pair_parts());
            bvh.overlapping_pairs([&](std::size_t part, std::int32_t a, std::int32_t b) {
                REQUIRE(parts[part].insert({a, b}).second);
            });
            std::set<std::pair<std::int32_t, std::int32_t>> all;
            for (const auto& part : parts) all.insert(part.begin(), part.end());
            return all;
        };
        if (mesh.triangles.size() < 3000) REQUIRE(pairs(moved) == pairs(anew));
    }
    const TriangleMesh none;
    CHECK_FALSE(Bvh(none, Bvh(none)).nearest(Vec3::Zero(), 1.0));
}
