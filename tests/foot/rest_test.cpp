// What a body rests on, against every triple of its points.
#include "engine/foot/rest.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;

namespace {

/// Height of the highest plane through three of the points that lies below all of them, at the load.
std::optional<double> by_all_triples(const std::vector<Vec3>& points, const Vec2& load) {
    std::optional<double> best;
    const std::size_t n = points.size();
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = i + 1; j < n; ++j)
            for (std::size_t k = j + 1; k < n; ++k) {
                const Vec3 normal = (points[j] - points[i]).cross(points[k] - points[i]);
                if (std::abs(normal.z()) < 1e-9) continue;
                const auto height = [&](const Vec2& p) {
                    return points[i].z() -
                           (normal.x() * (p.x() - points[i].x()) + normal.y() * (p.y() - points[i].y())) /
                               normal.z();
                };
                bool below = true;
                for (const Vec3& p : points) below = below && height(p.head<2>()) <= p.z() + 1e-9;
                if (below && (!best || height(load) > *best)) best = height(load);
            }
    return best;
}

}  // namespace

TEST_CASE("A three-legged table rests on its legs; its plane tells inclination and pitch") {
    const double tilt = std::tan(0.05), fall = std::tan(0.02);
    std::vector<Vec3> table;
    for (const Vec2& leg : {Vec2(0, -20), Vec2(0, 30), Vec2(150, 0)})
        for (const double up : {0.0, 1.0, 40.0})
            table.push_back(Vec3(leg.x(), leg.y(), up + tilt * leg.y() - fall * leg.x()));
    const auto rest = foot::rest_under(table, Vec2(60, 2));
    REQUIRE(rest);
    CHECK(rest->inclination_deg() ==
          Approx(0.05 * 180.0 / 3.14159265358979).epsilon(0.01));                       // medial side up
    CHECK(rest->pitch_deg() == Approx(0.02 * 180.0 / 3.14159265358979).epsilon(0.01));  // front down
    CHECK(rest->height_at(0, 0) == Approx(0.0).margin(1e-9));
    CHECK_FALSE(foot::rest_under(table, Vec2(500, 0)));  // the load is beside the table
    CHECK_FALSE(foot::rest_under(std::vector<Vec3>{}, Vec2(0, 0)));
}

TEST_CASE("The rest is the highest plane below all points, as trying every triple finds it") {
    const int count = tests::cases(2000, 300, "clouds of points at rest");
    for (int c = 0; c < count; ++c) {
        std::mt19937_64 random(tests::seed() + static_cast<std::uint64_t>(c));
        std::vector<Vec3> points;
        const int n = 4 + static_cast<int>(random() % 12);
        for (int i = 0; i < n; ++i)
            points.push_back(Vec3{tests::uniform(random, 0, 200), tests::uniform(random, -40, 40),
                                  tests::uniform(random, 0, 30)});
        const Vec2 load{tests::uniform(random, 40, 160), tests::uniform(random, -15, 15)};
        const auto rest = foot::rest_under(points, load);
        INFO("seed " << tests::seed() << " case " << c);
        if (!rest) continue;  // the load lies outside
        const auto best = by_all_triples(points, load);
        REQUIRE(best);
        CHECK(rest->height_at(load.x(), load.y()) == Approx(*best).margin(1e-7));
        for (const Vec3& p : points) CHECK(rest->height_at(p.x(), p.y()) <= p.z() + 1e-7);
    }
}
