// A camera's three answers agree: where a point lands, its clip space, and the line through that pixel.
#include <catch2/catch.hpp>
#include <random>

#include "engine/picture/camera.hpp"
#include "engine/picture/canvas.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::picture;

TEST_CASE("projection, clip space and rays of a camera agree") {
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> any(-1.0, 1.0);
    for (int n = 0; n < 300; ++n) {
        INFO("case " << n << " of 300");
        const Side side = n % 2 == 0 ? Side::left : Side::right;
        const Vec3 forward(any(random), any(random), 0.9 * any(random));
        if (forward.head<2>().norm() < 0.1) continue;
        Camera camera(side, forward, Vec3::UnitZ(), n % 3 == 0 ? 0.0 : 23.0);
        const Vec3 middle(120.0 + 50.0 * any(random), 30.0 * any(random), 40.0 * any(random));
        const double radius = 150.0, w = 640.0, h = 480.0;
        camera.aim(middle, {300.0 + 40.0 * any(random), 220.0}, 1.5 + any(random), radius);
        const Eigen::Matrix4d clip = camera.clip(w, h, 2.0 * radius);
        for (int k = 0; k < 8; ++k) {
            const Vec3 p = middle + radius * Vec3(any(random), any(random), any(random)) / std::sqrt(3.0);
            const Vec3 at = camera.project(p);
            const Eigen::Vector4d c = clip * Eigen::Vector4d(p.x(), p.y(), p.z(), 1.0);
            CHECK(c.w() == Approx(camera.w(p)));
            CHECK((c.x() / c.w() + 1.0) * 0.5 * w == Approx(at.x()).margin(1e-8));
            CHECK((1.0 - c.y() / c.w()) * 0.5 * h == Approx(at.y()).margin(1e-8));
            CHECK(std::abs(c.z()) <= c.w());  // within the depth a card keeps
            Vec3 from, way;
            camera.ray({at.x(), at.y()}, 2.0 * radius, from, way);
            CHECK(way.norm() == Approx(1.0));
            const Vec3 off = (p - from) - (p - from).dot(way) * way;
            CHECK(off.norm() < 1e-7);
            CHECK((p - from).dot(way) > 0.0);
        }
    }
}

TEST_CASE("a clear page keeps colours apart from opacity") {
    Canvas page(4, 1, 1.0);
    page.fill(Box{1, 0, 1, 1}, Colour::hex(0xC86432));
    page.fill(Box{2, 0, 1, 1}, Colour::hex(0xC86432), 0.5);
    const std::vector<std::uint8_t> pixels = page.take_clear();
    REQUIRE(pixels.size() == 16);
    CHECK(pixels[3] == 0);
    CHECK(pixels[4] == 0xC8);
    CHECK(pixels[7] == 255);
    CHECK(std::abs(pixels[8] - 0xC8) <= 2);  // half there, the colour whole
    CHECK(std::abs(pixels[9] - 0x64) <= 2);
    CHECK(std::abs(pixels[11] - 128) <= 1);
}
