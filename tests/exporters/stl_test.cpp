// Binary STL out and back.
#include "exporters/stl.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <fstream>

#include "exporters/float_mesh.hpp"
#include "tests/support/disk_trouble.hpp"
#include "tests/support/temporary_folder.hpp"
#include "tests/support/thin_shapes.hpp"

using namespace archwright;

namespace {

std::string stl_bytes(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

}  // namespace

TEST_CASE("A ball written as STL has its header, facets and volume") {
    const tests::TemporaryFolder folder;
    const TriangleMesh ball = tests::ball(20.0, 48);
    const auto path = folder.path() / "ball.stl";
    const auto done = exporters::write_stl(ball, "DEMO-01 left unit mm", path);
    INFO((done ? std::string() : done.fault().message));
    REQUIRE(done.ok());
    const std::string bytes = stl_bytes(path);
    REQUIRE(bytes.size() == 84 + 50 * ball.triangles.size());
    CHECK(bytes.substr(0, 20) == "DEMO-01 left unit mm");
    double volume = 0.0;
    for (std::size_t t = 0; t < ball.triangles.size(); ++t) {
        float f[12];
        std::memcpy(f, bytes.data() + 84 + 50 * t, sizeof f);
        const Vec3 n(f[0], f[1], f[2]), a(f[3], f[4], f[5]), b(f[6], f[7], f[8]), c(f[9], f[10], f[11]);
        volume += a.dot(b.cross(c)) / 6.0;
        CHECK(n.norm() == Approx(1.0).epsilon(1e-6));
        CHECK(n.dot((a + b + c).normalized()) > 0.9);  // outward
    }
    CHECK(volume == Approx(ball.volume()).epsilon(1e-6));
    REQUIRE(exporters::write_stl(ball, "DEMO-01 left unit mm", path).ok());
    CHECK(stl_bytes(path) == bytes);
}

TEST_CASE("An STL header is cut, plain, and never begins with solid") {
    const tests::TemporaryFolder folder;
    const auto path = folder.path() / "a.stl";
    CHECK_FALSE(exporters::write_stl(tests::ball(5.0, 8), "solid thing", path).ok());
    CHECK_FALSE(std::filesystem::exists(path));
    REQUIRE(exporters::write_stl(tests::ball(5.0, 8), "\xc3\xbc" + std::string(200, 'x'), path).ok());
    CHECK(stl_bytes(path).substr(0, 81) == "__" + std::string(78, 'x') + stl_bytes(path)[80]);
}

TEST_CASE("Points that coincide as floats leave the STL closed") {
    // A ball with bands a ten-millionth of a millimetre wide, far from the origin: they vanish in float32.
    const TriangleMesh ball = tests::ball_with_slivers(20.0, 24, 1e-7, Vec3(200.0, 80.0, 30.0));
    const auto as_floats = exporters::as_floats(ball);
    REQUIRE(as_floats.ok());
    CHECK(as_floats->triangles.size() < ball.triangles.size());
    CHECK(as_floats->volume() == Approx(ball.volume()).epsilon(1e-5));
    for (std::size_t t = 0; t < as_floats->triangles.size(); ++t) CHECK(as_floats->area(t) > 0.0);
    const tests::TemporaryFolder folder;
    REQUIRE(exporters::write_stl(ball, "slivers", folder.path() / "s.stl").ok());
}

TEST_CASE("A triangle on three points in line is swapped away") {
    TriangleMesh box = tests::box(Vec3(0, 0, 0), Vec3(4, 2, 1));
    const double volume = box.volume();
    tests::add_flat_triangle(box);
    REQUIRE(exporters::open_edge(box).empty());
    const auto flat = [](const TriangleMesh& mesh) {
        std::size_t count = 0;
        for (std::size_t t = 0; t < mesh.triangles.size(); ++t) count += mesh.area(t) == 0.0;
        return count;
    };
    REQUIRE(flat(box) == 1);
    const auto clean = exporters::as_floats(box);
    REQUIRE(clean.ok());
    CHECK(flat(*clean) == 0);
    CHECK(clean->triangles.size() == box.triangles.size());
    CHECK(clean->volume() == Approx(volume).epsilon(1e-12));
}

TEST_CASE("What is not closed or not finite is not written") {
    const tests::TemporaryFolder folder;
    const auto path = folder.path() / "bad.stl";
    TriangleMesh mesh = tests::ball(5.0, 8);
    SECTION("a triangle is missing") {
        mesh.triangles.pop_back();
    }
    SECTION("a triangle is turned over") {
        std::swap(mesh.triangles[3][0], mesh.triangles[3][1]);
    }
    SECTION("a triangle is there twice") {
        mesh.triangles.push_back(mesh.triangles.front());
    }
    SECTION("a point is infinite") {
        mesh.points[2].x() = 1e300;
    }
    SECTION("a point does not exist") {
        mesh.triangles[1][1] = 100000;
    }
    SECTION("there is nothing") {
        mesh = {};
    }
    const auto done = exporters::write_stl(mesh, "bad", path);
    REQUIRE_FALSE(done.ok());
    CHECK(done.fault().message.size() > 20);
    CHECK(tests::holds_nothing(folder.path()));
}

TEST_CASE("A device or folder that refuses an STL keeps nothing") {
    tests::leaves_nothing([](const std::filesystem::path& path) {
        return exporters::write_stl(tests::ball(20.0, 48), "x", path);
    });
}
