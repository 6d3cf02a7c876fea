// Borders, arch and footprint of shapes whose sections are known.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "engine/foot/arch.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/foot/survey.hpp"

using namespace archwright;

namespace {

constexpr double half_length = 130.0, half_width = 45.0, half_height = 15.0;

/// An ellipsoid that rests on z = 0, `n` triangles round.
TriangleMesh ellipsoid(int n) {
    TriangleMesh mesh;
    const int rows = n / 2;
    for (int j = 0; j <= rows; ++j)
        for (int i = 0; i < n; ++i) {
            const double a = std::numbers::pi * j / rows, b = 2.0 * std::numbers::pi * i / n;
            mesh.points.emplace_back(-half_length * std::cos(a), half_width * std::sin(a) * std::cos(b),
                                     half_height + half_height * std::sin(a) * std::sin(b));
        }
    for (int j = 0; j < rows; ++j)
        for (int i = 0; i < n; ++i) {
            const int p = j * n + i, q = j * n + (i + 1) % n;
            mesh.triangles.push_back({p, p + n, q});
            mesh.triangles.push_back({q, p + n, q + n});
        }
    return mesh;
}

/// A sheet facing down over [0, length] x [-half, half] with z = height(x, y).
template <class Height>
TriangleMesh sheet(double length, double half, int nx, int ny, Height&& height) {
    TriangleMesh mesh;
    for (int i = 0; i <= nx; ++i)
        for (int j = 0; j <= ny; ++j) {
            const double x = length * i / nx, y = -half + 2.0 * half * j / ny;
            mesh.points.emplace_back(x, y, height(x, y));
        }
    for (int i = 0; i < nx; ++i)
        for (int j = 0; j < ny; ++j) {
            const int a = i * (ny + 1) + j, b = a + ny + 1;
            mesh.triangles.push_back({a, a + 1, b});
            mesh.triangles.push_back({a + 1, b + 1, b});
        }
    return mesh;
}

foot::Survey known(double length) {
    foot::Survey survey;
    survey.profile.rear = 0.0;
    survey.profile.length = length;
    return survey;
}

}  // namespace

TEST_CASE("Borders of an ellipsoid converge with the square of its triangles' size", "[survey]") {
    std::vector<double> errors;
    for (const int n : {60, 120, 240}) {
        const auto survey = foot::survey(ellipsoid(n), false);
        REQUIRE(survey);
        double worst = 0.0;
        for (int k = 10; k <= 90; ++k) {
            const double x = survey->profile.x(k);
            const double border = half_width * std::sqrt(1.0 - std::pow(x / half_length, 2));
            worst = std::max(worst, std::abs(survey->profile.medial[static_cast<std::size_t>(k)] - border));
            worst = std::max(worst, std::abs(survey->profile.lateral[static_cast<std::size_t>(k)] + border));
        }
        errors.push_back(worst);
        CHECK(survey->profile.length == Approx(2.0 * half_length));
        CHECK(survey->heel_centre.x() == Approx(-half_length + 0.16 * 2.0 * half_length));
        CHECK(std::abs(survey->heel_centre.y()) < 1e-9);
        CHECK(survey->lowest == Approx(0.0).margin(1e-9));
    }
    CHECK(std::log2(errors[0] / errors[1]) > 1.7);
    CHECK(std::log2(errors[1] / errors[2]) > 1.7);
    CHECK_FALSE(foot::survey({}, false));
    const auto height = foot::sole_height(ellipsoid(240), 30.0, 10.0);
    REQUIRE(height);
    CHECK(*height == Approx(half_height * (1.0 - std::sqrt(1.0 - std::pow(30.0 / half_length, 2) -
                                                           std::pow(10.0 / half_width, 2))))
                         .margin(0.02));
    CHECK_FALSE(foot::sole_height(ellipsoid(60), 0.0, 100.0));
}

TEST_CASE("The arch apex is the highest point of its section", "[arch]") {
    constexpr double length = 250.0;
    // a half wave of 18 mm at y = 12, rising by 0.2 a mm towards medial
    const TriangleMesh mesh = sheet(length, 40.0, 500, 160, [](double x, double y) {
        return std::max(0.0, 18.0 + 0.2 * (y - 12.0)) * std::exp(-std::pow((x - 100.0) / 30.0, 2));
    });
    const auto apex = foot::arch_apex(mesh, known(length), 12.0);
    REQUIRE(apex);
    CHECK(apex->z() == Approx(18.0).margin(0.01));
    CHECK(apex->x() == Approx(100.0).margin(1.0));
    CHECK(foot::arch_apex(mesh, known(length), 22.0)->z() == Approx(20.0).margin(0.02));
    CHECK_FALSE(foot::arch_apex(mesh, known(length), 60.0));
}

TEST_CASE("The arch index is the middle third's share of the print", "[arch]") {
    // The print ends at the toe roots, 0.78 of the length. Middle third: lateral half on the ground, medial
    // half lifted: 0.5 / 2.5.
    constexpr double length = 250.0;
    const double print = 0.78 * length;
    const auto lifted = [&](double x, double y) {
        return x > print / 3.0 && x < 2.0 * print / 3.0 && y > 0.0 ? 20.0 : 0.0;
    };
    const double coarse = *foot::arch_index(sheet(length, 40.0, 300, 80, lifted), known(length), 5.0);
    const double fine = *foot::arch_index(sheet(length, 40.0, 1200, 320, lifted), known(length), 5.0);
    CHECK(fine == Approx(0.2).margin(0.004));
    CHECK(std::abs(fine - 0.2) < std::abs(coarse - 0.2) + 1e-12);
    // flat: a third; what is above the height does not count
    CHECK(*foot::arch_index(sheet(length, 40.0, 100, 20, [](double, double) { return 0.0; }), known(length),
                            5.0) == Approx(1.0 / 3.0));
    CHECK_FALSE(foot::arch_index(sheet(length, 40.0, 50, 10, [](double, double) { return 9.0; }),
                                 known(length), 5.0));
}

TEST_CASE("Landmark keys read back", "[landmarks]") {
    int count = 0;
    for (int i = 0; i <= static_cast<int>(foot::LandmarkId::lateral_malleolus); ++i) {
        const auto id = static_cast<foot::LandmarkId>(i);
        CHECK(foot::landmark_id(foot::key(id)) == id);
        CHECK(std::string(foot::title(id)).size() > 5);
        ++count;
    }
    CHECK(count == 13);
    CHECK_FALSE(foot::landmark_id("third_head"));
}
