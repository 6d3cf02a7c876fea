#include "engine/scan/clean.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <random>

#include "engine/base/tolerances.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/scan/read.hpp"
#include "tests/mesh/shapes.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/thin_shapes.hpp"

using namespace archwright;
using namespace archwright::tests;

namespace {

/// Half an ellipsoid, open at the top, like a slipper cast: half axes in mm.
TriangleMesh bowl(double a, double b, double c, bool facing_out) {
    const int rings = 40, around = 120;
    TriangleMesh mesh;
    mesh.points.emplace_back(0, 0, -c);
    for (int i = 1; i <= rings; ++i)
        for (int j = 0; j < around; ++j) {
            const double u = 0.5 * std::numbers::pi * i / rings, v = 2 * std::numbers::pi * j / around;
            mesh.points.emplace_back(a * std::sin(u) * std::cos(v), b * std::sin(u) * std::sin(v),
                                     -c * std::cos(u));
        }
    const auto at = [&](int i, int j) { return i == 0 ? 0 : 1 + (i - 1) * around + j % around; };
    for (int i = 0; i < rings; ++i)
        for (int j = 0; j < around; ++j) {
            if (i > 0) mesh.triangles.push_back({at(i, j), at(i, j + 1), at(i + 1, j)});
            mesh.triangles.push_back({at(i, j + 1), at(i + 1, j + 1), at(i + 1, j)});
        }
    const bool out = (mesh.normal2(0)).z() < 0;  // at the bottom
    if (out != facing_out) mesh.flip();
    return mesh;
}

}  // namespace

TEST_CASE("faults put into a sound mesh are found, counted and undone") {
    std::mt19937_64 random(seed());
    const int count = cases(200, 25, "spoilt meshes to clean");
    for (int n = 0; n < count; ++n) {
        const TriangleMesh truth = torus(40, 20, 80, 30);
        TriangleMesh mesh = truth;
        const std::size_t turned = random() % 30;
        std::vector<std::size_t> order(mesh.triangles.size());
        for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
        std::shuffle(order.begin(), order.end(), random);
        for (std::size_t i = 0; i < turned; ++i)
            std::swap(mesh.triangles[order[i]][0], mesh.triangles[order[i]][1]);
        const std::size_t twice = random() % 20;
        for (std::size_t i = 0; i < twice; ++i) {
            Triangle t = truth.triangles[order[100 + i]];
            std::rotate(t.begin(), t.begin() + static_cast<std::ptrdiff_t>(random() % 3), t.end());
            if (random() % 2) std::swap(t[0], t[2]);
            mesh.triangles.push_back(t);
        }
        const std::size_t flat = random() % 10;
        for (std::size_t i = 0; i < flat; ++i) {
            const auto p = static_cast<std::int32_t>(random() % mesh.points.size());
            mesh.triangles.push_back({p, static_cast<std::int32_t>(random() % mesh.points.size()), p});
        }
        const std::size_t loose = random() % 6;
        for (std::size_t i = 0; i < loose; ++i)
            append(mesh, tetrahedron(Vec3(200 + 10.0 * static_cast<double>(i), 0, 0), 2.0));
        for (int i = 0; i < 5; ++i) mesh.points.emplace_back(1000 + i, 0, 0);

        const scan::Cleaning done = scan::clean(mesh);
        REQUIRE(done.degenerate_removed == flat);
        REQUIRE(done.duplicate_removed == twice);
        REQUIRE(done.debris_parts == loose);
        REQUIRE(done.debris_triangles == 4 * loose);
        REQUIRE(done.flipped_to_agree == turned);
        REQUIRE(done.kept_parts == 1);
        REQUIRE(done.mesh.points == truth.points);
        REQUIRE(done.mesh.triangles.size() == truth.triangles.size());
        REQUIRE(done.mesh.volume() == Approx(truth.volume()));
        const double loose_area = 4.0 * static_cast<double>(loose) * tetrahedron().area();
        REQUIRE(done.debris_area_share == Approx(loose_area / (loose_area + truth.area())));
        REQUIRE(find_soundness(done.mesh).sound());
        REQUIRE(done.notes.size() ==
                static_cast<std::size_t>((flat > 0) + (twice > 0) + (loose > 0) + (turned > 0)));
        const scan::Cleaning again = scan::clean(done.mesh);  // clean stays clean
        REQUIRE(again.notes.empty());
        REQUIRE(again.mesh.triangles == done.mesh.triangles);
    }
}

TEST_CASE("colours stay with their points, needles go, large parts stay") {
    TriangleMesh mesh = grid(4, 4);
    for (std::size_t i = 0; i < mesh.points.size(); ++i)
        mesh.colours.push_back({static_cast<std::uint8_t>(i), 1, 2});
    mesh.triangles.erase(mesh.triangles.begin(), mesh.triangles.begin() + 2);  // frees point 0
    const scan::Cleaning done = scan::clean(mesh);
    CHECK(done.mesh.points.size() == 24);
    CHECK(done.mesh.colours[0][0] == 1);

    TriangleMesh needle = grid(2, 2);  // points 0, 1, 2 lie on one line
    needle.triangles.push_back({0, 1, 2});
    CHECK(scan::clean(needle).degenerate_removed == 1);

    TriangleMesh two = torus(20, 10, 80, 30);
    append(two, torus(20, 10, 40, 15));  // a quarter of the area
    CHECK(scan::clean(two).kept_parts == 2);
    CHECK(scan::clean(two).debris_parts == 0);
    CHECK(scan::clean(TriangleMesh{}).mesh.triangles.empty());
}

TEST_CASE("cleaning can be cancelled at every step") {
    const TriangleMesh mesh = torus(20, 10, 80, 30);
    int steps = 0;
    Progress counter([&](std::string_view, double) { ++steps; });
    CHECK_FALSE(scan::clean(mesh, &counter).cancelled);
    REQUIRE(steps > 3);
    for (int stop = 0; stop < steps; ++stop) {
        int calls = 0;
        Progress* self = nullptr;
        Progress progress([&](std::string_view, double) {
            if (calls++ == stop) self->cancel();
        });
        self = &progress;
        const scan::Cleaning done = scan::clean(mesh, &progress);
        CHECK(done.cancelled);
        CHECK(done.mesh.triangles.empty());
    }
}

TEST_CASE("a wall scanned on both faces is found, whichever way its layers face") {
    for (const double gap : {1.0, 3.0, 6.0})
        for (const int facing : {0, 1, 2}) {
            TriangleMesh mesh = bowl(130, 45, 60, facing != 0);
            append(mesh, bowl(130 + gap, 45 + gap, 60 + gap, facing != 2));
            std::mt19937_64 random(seed());
            std::normal_distribution<double> noise(0.0, 0.02);
            for (Vec3& p : mesh.points) p += Vec3(noise(random), noise(random), noise(random));
            const auto wall = scan::find_double_wall(mesh);
            INFO("gap " << gap << ", facing " << facing);
            REQUIRE(wall);
            CHECK(wall->share > 0.8);
            CHECK(wall->gap == Approx(gap).epsilon(0.1));
        }
    CHECK_FALSE(scan::find_double_wall(bowl(130, 45, 60, true)));
    CHECK_FALSE(scan::find_double_wall(TriangleMesh{}));
    TriangleMesh far = bowl(130, 45, 60, true);
    append(far, bowl(142, 57, 72, true));
    CHECK_FALSE(scan::find_double_wall(far));
}

TEST_CASE("real feet have one wall, and their debris is dropped") {
    const std::string folder = scans_folder();
    if (folder.empty()) {
        skipped("no folder of real feet beside the project");
        return;
    }
    int feet = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        const std::string name = entry.path().filename().string();
        if (name == "README.md") continue;
        INFO(name);
        const auto reading = scan::read_cast(entry.path());
        REQUIRE(reading);
        scan::Cleaning cleaning = scan::clean(reading->mesh);
        CHECK(cleaning.kept_parts == 1);
        CHECK((cleaning.debris_parts > 0) ==
              (name.rfind("noisy", 0) == 0 || name.rfind("sole_missing", 0) == 0));
        CHECK(cleaning.debris_area_share < 0.02);
        if (name.find("_m.") != std::string::npos)
            for (Vec3& p : cleaning.mesh.points) p *= 1000.0;
        CHECK_FALSE(scan::find_double_wall(cleaning.mesh));
        ++feet;
    }
    CHECK(feet == 13);
}

TEST_CASE("one wild point does not become the size of the cast") {
    TriangleMesh mesh = tests::ball(100.0, 40);
    const std::size_t before = mesh.triangles.size();
    const Vec3 was = mesh.points[7];
    mesh.points[7] = Vec3(1e6, 0.0, 0.0);
    const scan::Cleaning cleaned = scan::clean(mesh);
    CHECK(cleaned.stray_removed > 0);
    CHECK(cleaned.mesh.triangles.size() == before - cleaned.stray_removed);
    CHECK(cleaned.mesh.box().size().maxCoeff() < 201.0);
    CHECK(cleaned.notes.front().find("far off the cast") != std::string::npos);
    mesh.points[7] =
        was + Vec3(0.0, 0.0, 150.0);  // a spike of half the cast's size stays: it is for a person to see
    CHECK(scan::clean(mesh).stray_removed == 0);
}
