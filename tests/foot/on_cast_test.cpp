// Landmarks laid on the cast: along its normal, through its noise, never over its edge.
#include "engine/foot/on_cast.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "assets/generator/foot.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;

namespace {

foot::Landmarks one_at(const Vec3& p) {
    foot::Landmarks marks;
    marks[foot::LandmarkId::heel_centre].position = p;
    return marks;
}
Vec3 laid(const TriangleMesh& cast, double mm_per_unit, const Vec3& p) {
    return foot::on_cast(cast, mm_per_unit, one_at(p)).begin()->second.position;
}

}  // namespace

TEST_CASE("A landmark off the foot comes to the foot below it, in any unit, through noise") {
    const int count = tests::cases(200, 12, "landmarks laid on noisy feet");
    std::mt19937_64 random(tests::seed());
    const auto made = generator::Foot::make({});
    REQUIRE(made);
    TriangleMesh cast = *made->mesh(1.2);
    const std::vector<Vec3> normals = cast.point_normals();
    std::normal_distribution<double> noise(0.0, 0.2);
    for (std::size_t i = 0; i < cast.points.size(); ++i) cast.points[i] += noise(random) * normals[i];
    double square = 0.0;
    for (int c = 0; c < count; ++c) {
        const double x = tests::uniform(random, -10, 150), y = tests::uniform(random, -20, 20);
        const auto on = made->sole(x, y);
        REQUIRE(on);
        const Vec3 off = *on + tests::uniform(random, -3, 3) * made->normal(*on);
        const Vec3 at = laid(cast, 1.0, off);
        const auto exact = made->project(at);
        REQUIRE(exact);
        square += (at - *exact).squaredNorm();
        CHECK((at - *exact).norm() < 0.3);
        // it moved along the normal alone
        CHECK((at - *on - (at - *on).dot(made->normal(*on)) * made->normal(*on)).norm() < 0.6);
    }
    CHECK(std::sqrt(square / count) < 0.12);
    TriangleMesh inches = cast;
    for (Vec3& p : inches.points) p /= 25.4;
    const Vec3 p = *made->sole(40, 5) + Vec3(0, 0, -1.5);
    CHECK((25.4 * laid(inches, 25.4, p / 25.4) - laid(cast, 1.0, p)).norm() < 1e-6);
}

TEST_CASE("What lies too far off, or beyond the edge, stays where it was set") {
    TriangleMesh plate;
    for (int i = 0; i <= 40; ++i)
        for (int j = 0; j <= 40; ++j) plate.points.emplace_back(i, j, 0.0);
    for (int i = 0; i < 40; ++i)
        for (int j = 0; j < 40; ++j) {
            const auto at = [](int a, int b) { return static_cast<std::int32_t>(41 * a + b); };
            plate.triangles.push_back({at(i, j), at(i + 1, j), at(i + 1, j + 1)});
            plate.triangles.push_back({at(i, j), at(i + 1, j + 1), at(i, j + 1)});
        }
    CHECK(laid(plate, 1.0, Vec3(20, 20, 3)) == Vec3(20, 20, 0));
    CHECK(laid(plate, 1.0, Vec3(20, 20, 6)) == Vec3(20, 20, 6));
    CHECK(laid(plate, 1.0, Vec3(43, 20, 0.5)) == Vec3(43, 20, 0.5));
    CHECK(laid({}, 1.0, Vec3(1, 2, 3)) == Vec3(1, 2, 3));
}
