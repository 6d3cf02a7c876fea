// The filters against closed forms.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "engine/examine/image.hpp"
#include "engine/examine/oriented.hpp"
#include "engine/examine/trace.hpp"
#include "tests/support/random_cases.hpp"

namespace archwright::examine {

namespace {

// A ridge of Gaussian section along a straight line through (ci, cj), on a cubic.
Image ridge(int nu, int nv, double angle, double height, double width_nodes) {
    Image image(nu, nv);
    const double sigma = width_nodes / 2.3548200450309493;
    for (int i = 0; i < nu; ++i)
        for (int j = 0; j < nv; ++j) {
            const double x = i - 0.5 * nu, y = j - 0.5 * nv;
            const double t = -std::sin(angle) * x + std::cos(angle) * y;
            image.at(i, j) = static_cast<float>(height * std::exp(-0.5 * t * t / (sigma * sigma)) + 0.3 +
                                                0.004 * x - 2e-4 * x * y + 1e-6 * y * y * y);
        }
    return image;
}

}  // namespace

TEST_CASE("distances inside a mask are those of a search over all nodes") {
    Mask mask(23, 31, 1);
    for (const auto& [i, j] : std::vector<std::pair<int, int>>{{3, 4}, {11, 20}, {12, 20}, {22, 30}, {0, 17}})
        mask.at(i, j) = 0;
    const Distance d = distance_inside(mask, false);
    for (int i = 0; i < mask.nu; ++i)
        for (int j = 0; j < mask.nv; ++j) {
            double least = 1e300;
            for (int a = 0; a < mask.nu; ++a)
                for (int b = 0; b < mask.nv; ++b)
                    if (!mask.at(a, b)) least = std::min(least, std::hypot(a - i, b - j));
            CHECK(static_cast<double>(d.to.at(i, j)) == Approx(least).margin(1e-5));
            const std::int32_t who = d.nearest[mask.index(i, j)];
            REQUIRE(who >= 0);
            CHECK(std::hypot(who / mask.nv - i, who % mask.nv - j) == Approx(least).margin(1e-9));
        }
}

TEST_CASE("a blur keeps a constant, and under a mask sees the mask alone") {
    Image image(40, 50, 2.5f);
    Mask mask(40, 50, 1);
    for (int i = 10; i < 20; ++i) {
        mask.at(i, 7) = 0;
        image.at(i, 7) = 100.0f;
    }
    const Image out = blurred(image, mask, 3.0);
    for (const float x : out.a) CHECK(x == Approx(2.5f).margin(1e-4));
}

TEST_CASE("the ridge filter gives the height of a ridge in every direction, and nothing of a cubic") {
    constexpr double step = 0.5;
    const Mask all(160, 160, 1);
    for (const double degrees : {0.0, 22.5, 45.0, 101.25, 157.5}) {
        const double angle = degrees * std::numbers::pi / 180.0;
        const Response r = ridges(ridge(160, 160, angle, 0.8, 2.8 / step), all, step, {2.8}, 5.0);
        INFO(degrees);
        // looked up between nodes twice, which takes up to 6 % off a ridge of six nodes' width
        CHECK(r.size.at(80, 80) == Approx(0.8).epsilon(0.08));
        CHECK(r.angle.at(80, 80) == Approx(angle).margin(1e-6));
    }
    const Response none = ridges(ridge(160, 160, 0.4, 0.0, 5.0), all, step, {1.2, 2.8}, 5.0);
    CHECK(std::abs(none.size.at(80, 80)) < 2e-3);
}

TEST_CASE("a traced ridge has its height, width and place") {
    constexpr double step = 0.5;
    const Mask all(200, 160, 1);
    for (const double degrees : {8.0, 63.0, 120.0}) {
        const double angle = degrees * std::numbers::pi / 180.0;
        const Image image = ridge(200, 160, angle, -0.7, 2.2 / step);
        TraceSettings settings;
        const auto found = traces(ridges(image, all, step, {1.2, 2.8}, 5.0), -1, settings);
        INFO(degrees);
        REQUIRE(!found.empty());
        std::vector<Vec2> points = found[0].points;
        const Section section = measure_section(image, step, points);
        CHECK(section.height == Approx(-0.7).epsilon(0.05));
        CHECK(section.width == Approx(2.2).epsilon(0.08));
        CHECK(section.share > 0.97);
        double worst = 0.0;
        for (std::size_t k = points.size() / 10; k < points.size() * 9 / 10; ++k)
            worst = std::max(worst, std::abs(-std::sin(angle) * (points[k].x() - 100.0) +
                                             std::cos(angle) * (points[k].y() - 80.0)));
        CHECK(worst * step < 0.3);
    }
}

TEST_CASE("the step filter gives a step's height and sense") {
    constexpr double step = 0.5;
    Image image(120, 120);
    for (int i = 0; i < 120; ++i)
        for (int j = 0; j < 120; ++j)
            image.at(i, j) =
                static_cast<float>(0.6 * 0.5 * std::tanh(2.0 * (i - 60) * step / 1.5) + 0.002 * j);
    const Response r = steps(image, Mask(120, 120, 1), step, 6.0);
    // along +v the side (-sin, cos) is that of lower u
    CHECK(std::abs(r.size.at(60, 60)) == Approx(0.6).epsilon(0.04));
    CHECK(r.size.at(60, 60) < 0.0f);
    CHECK(r.angle.at(60, 60) == Approx(0.5 * std::numbers::pi).margin(1e-6));
}

}  // namespace archwright::examine
