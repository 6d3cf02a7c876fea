// Repairs: closed forms on plates, the fault-free twin on generated feet, and what is refused.
#include "engine/examine/repair.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/cast.hpp"
#include "assets/generator/cast_random.hpp"
#include "assets/generator/random.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using examine::RepairZone;

namespace {

/// A plate of 1 mm cells, 80 x 80 mm about the origin, of this height.
template <class Height>
TriangleMesh plate(Height&& height) {
    constexpr int n = 81;
    TriangleMesh mesh;
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < n; ++j) {
            const double x = i - 40.0, y = j - 40.0;
            mesh.points.emplace_back(x, y, height(x, y));
        }
    const auto at = [](int i, int j) { return static_cast<std::int32_t>(i * n + j); };
    for (int i = 0; i + 1 < n; ++i)
        for (int j = 0; j + 1 < n; ++j) {
            mesh.triangles.push_back({at(i, j), at(i + 1, j), at(i + 1, j + 1)});
            mesh.triangles.push_back({at(i, j), at(i + 1, j + 1), at(i, j + 1)});
        }
    return mesh;
}

double dome(double x, double y, double radius, double height) {
    const double s = (x * x + y * y) / (radius * radius);
    return s < 1.0 ? height * (1.0 - s) * (1.0 - s) : 0.0;
}

double quantile(std::vector<double> values, double share) {
    REQUIRE_FALSE(values.empty());
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

}  // namespace

TEST_CASE("A dome on a plane is taken away whole, and nothing else moves") {
    const TriangleMesh flat = plate([](double, double) { return 0.0; });
    const TriangleMesh scan = plate([](double x, double y) { return dome(x, y, 9, 2); });
    const auto done = examine::repair(scan, {}, {{"dome", {Vec3(0, 0, 2)}, 11.5}});
    REQUIRE(done);
    for (std::size_t i = 0; i < scan.points.size(); ++i) {
        const Vec3& p = done->mesh.points[i];
        if ((scan.points[i] - Vec3(0, 0, 2)).norm() > 11.5)
            CHECK(p == scan.points[i]);
        else
            CHECK((p - flat.points[i]).norm() < 1e-5);
    }
    REQUIRE(done->figures.size() == 1);
    CHECK(done->figures[0].largest_mm == Approx(-2.0).margin(1e-5));
    // the dome's volume, pi R^2 h / 3; sampled on 1 mm cells
    CHECK(done->figures[0].volume_mm3 == Approx(-M_PI * 81 * 2 / 3).epsilon(0.01));
    CHECK(done->figures[0].around_mm < 1e-5);
}

TEST_CASE("A point said many times is one, and the height of a dome is that of its repair") {
    const TriangleMesh scan = plate([](double x, double y) { return x * x / 400 + dome(x, y, 9, 2); });
    const auto once = examine::repair(scan, {}, {{"dome", {Vec3(0, 0, 2)}, 10}});
    const auto often = examine::repair(scan, {}, {{"dome", std::vector<Vec3>(20, Vec3(0, 0, 2)), 10}});
    REQUIRE(once);
    REQUIRE(often);
    CHECK(often->mesh.points == once->mesh.points);
    const auto height = examine::dome_height(scan, {}, {"dome", {Vec3(0, 0, 2)}, 10});
    REQUIRE(height);
    CHECK(*height == Approx(2.0).margin(0.01));
    CHECK(*height == Approx(-once->figures[0].largest_mm).margin(0.02));
    // and of what is no dome there is none
    const TriangleMesh steps = plate([](double x, double) { return x > 0 ? 1.0 : 0.0; });
    CHECK_FALSE(examine::dome_height(steps, {}, {"step", {Vec3(0, 0, 0)}, 10}));
}

TEST_CASE("What lies round a zone goes on through it: a biquadratic bowl, and a cubic saddle") {
    // thin-plate energy is least for biharmonic surfaces, and these are: they come back but for the spline's
    // own knots and the weight of smoothness
    for (const auto& [name, shape] :
         {std::pair<const char*, double (*)(double, double)>{
              "bowl", [](double x, double y) { return (x * x + 0.6 * y * y) / 60.0; }},
          {"saddle", [](double x, double y) { return (x * x * x - 3.0 * x * y * y) / 9000.0; }}}) {
        INFO(name);
        const TriangleMesh whole = plate(shape);
        TriangleMesh scan = whole;
        for (Vec3& p : scan.points) p.z() -= dome(p.x() - 3, p.y() + 5, 8, 3);
        const auto done = examine::repair(scan, {}, {{"dent", {Vec3(3, -5, shape(3, -5) - 3)}, 10}});
        REQUIRE(done);
        double worst = 0.0;
        for (const Vec3& p : done->mesh.points)  // points move along the zone's normal: compare in height
            worst = std::max(worst, std::abs(p.z() - shape(p.x(), p.y())));
        CHECK(worst < 0.1);  // a thirtieth of the dent: it leans with the bowl, and its dome not
        CHECK(done->figures[0].largest_mm == Approx(3.0).margin(0.1));
    }
}

TEST_CASE("A ridge along a line goes, whether it is one zone or two that meet") {
    const TriangleMesh scan = plate([](double x, double y) {
        return std::abs(x) < 22 ? 1.2 * std::exp(-0.5 * y * y) * std::min(1.0, (22 - std::abs(x)) / 3) : 0.0;
    });
    const auto one = examine::repair(scan, {}, {{"ridge", {Vec3(-22, 0, 0), Vec3(22, 0, 0)}, 5}});
    const auto two = examine::repair(
        scan, {}, {{"a", {Vec3(-22, 0, 0), Vec3(1, 0, 0)}, 5}, {"b", {Vec3(-1, 0, 0), Vec3(22, 0, 0)}, 5}});
    REQUIRE(one);
    REQUIRE(two);
    for (std::size_t i = 0; i < scan.points.size(); ++i) {
        CHECK(std::abs(one->mesh.points[i].z()) < 0.02);
        CHECK(std::abs(two->mesh.points[i].z()) < 0.02);
    }
    CHECK(one->figures[0].volume_mm3 ==
          Approx(two->figures[0].volume_mm3 + two->figures[1].volume_mm3).epsilon(0.01));
}

TEST_CASE("A mirrored scan is repaired to its mirror image, and a scan in inches to the same") {
    const auto shape = [](double x, double y) {
        return (x * x + 0.4 * x * y + 0.3 * y * y) / 90.0 + dome(x - 4, y - 6, 8, 2);
    };
    const TriangleMesh scan = plate(shape);
    const std::vector<RepairZone> zones{{"dome", {Vec3(4, 6, shape(4, 6))}, 10}};
    examine::ScanFrame frame;
    frame.toes = Vec3(0.8, 0.6, 0).normalized();
    const auto plain = examine::repair(scan, frame, zones);
    REQUIRE(plain);

    TriangleMesh other = scan;
    for (Vec3& p : other.points) p.y() = -p.y();
    other.flip();
    std::vector<RepairZone> there = zones;
    there[0].points[0].y() *= -1;
    examine::ScanFrame mirrored = frame;
    mirrored.toes.y() *= -1;
    const auto turned = examine::repair(other, mirrored, there);
    REQUIRE(turned);
    for (std::size_t i = 0; i < scan.points.size(); ++i) {
        const Vec3 p = turned->mesh.points[i];
        CHECK((Vec3(p.x(), -p.y(), p.z()) - plain->mesh.points[i]).norm() < 1e-9);
    }

    TriangleMesh inches = scan;
    for (Vec3& p : inches.points) p /= 25.4;
    inches.flip();  // and scanned from inside
    there = zones;
    there[0].points[0] /= 25.4;
    examine::ScanFrame small = frame;
    small.mm_per_unit = 25.4;
    small.inside_out = true;
    const auto scaled = examine::repair(inches, small, there);
    REQUIRE(scaled);
    for (std::size_t i = 0; i < scan.points.size(); ++i)
        CHECK((25.4 * scaled->mesh.points[i] - plain->mesh.points[i]).norm() < 1e-9);
    CHECK(scaled->figures[0].largest_mm == Approx(plain->figures[0].largest_mm).margin(1e-9));
}

TEST_CASE("What cannot be repaired is told by name, with what to do") {
    const TriangleMesh scan = plate([](double, double) { return 0.0; });
    const auto told = [&](const RepairZone& zone) {
        const auto done = examine::repair(scan, {}, {zone});
        REQUIRE_FALSE(done);
        CHECK(done.fault().kind == FaultKind::input);
        return done.fault().message;
    };
    CHECK_THAT(told({"far", {Vec3(0, 0, 50)}, 8}), Catch::Contains("\"far\"") && Catch::Contains("no cast"));
    CHECK_THAT(told({"rim", {Vec3(38, 0, 0)}, 8}),
               Catch::Contains("\"rim\"") && Catch::Contains("end of the cast"));
    const TriangleMesh ridge = plate([](double x, double) { return -6.0 * std::abs(x); });
    const auto bent = examine::repair(ridge, {}, {{"edge", {Vec3(0, 0, 0)}, 8}});
    REQUIRE_FALSE(bent);
    CHECK_THAT(bent.fault().message, Catch::Contains("\"edge\"") && Catch::Contains("bends"));
}

TEST_CASE("Dents and creases of generated casts come back to the foot below them") {
    using namespace archwright::generator;
    const int count = tests::cases(100, 8, "casts with three dents of 2 to 4 mm and two creases, repaired");
    std::vector<double> dents, creases;
    for (int c = 0; c < count; ++c) {
        Random random(tests::seed(), static_cast<std::uint64_t>(c));
        const auto foot = Foot::random(random.next());
        REQUIRE(foot);
        CastSpec spec;
        spec.noise_mm = random.between(0.05, 0.3);
        spec.triangles = 150'000;
        spec.seed = random.next();
        place_faults(spec, *foot, 3, 2, 0);
        for (Dent& dent : spec.dents) dent.depth_mm = random.between(2, 4);
        const auto cast = take_cast(*foot, spec);
        REQUIRE(cast);
        const bool left = foot->shape().side == Side::left;
        std::vector<RepairZone> zones;
        constexpr double more_mm = 1.5;
        for (const Dent& dent : spec.dents)
            zones.push_back({"dent",
                             {in_file(*foot, spec, *foot->sole(dent.at.x(), dent.at.y()))},
                             dent.radius_mm + more_mm});
        for (const Crease& crease : spec.creases) {
            RepairZone zone{"crease", {}, 1.3 * crease.width_mm + 1.0};
            const Vec2 way = crease.to - crease.from;
            const Vec2 aside = Vec2(-way.y(), way.x()).normalized();
            for (int i = 0; i <= 12; ++i) {
                const double t = i / 12.0;
                const Vec2 at = crease.from + t * way + 4.0 * t * (1.0 - t) * crease.bow_mm * aside;
                if (const auto p = foot->sole(at.x(), at.y()))
                    zone.points.push_back(in_file(*foot, spec, *p));
            }
            zones.push_back(zone);
        }
        const auto done = examine::repair(cast->mesh, {}, zones);
        if (!done) FAIL(done.fault().message);
        std::vector<double> square(zones.size(), 0.0);
        std::vector<int> number(zones.size(), 0);
        for (std::size_t i = 0; i < cast->mesh.points.size(); ++i) {
            const Vec3 was = cast->mesh.points[i];
            bool within = false;
            for (std::size_t z = 0; z < zones.size(); ++z) {
                const double away = examine::distance_to_line(was, zones[z].points);
                within |= away < zones[z].reach_mm;
                if (away > zones[z].reach_mm - more_mm) continue;
                Vec3 now = done->mesh.points[i];
                if (left) now.y() = -now.y();
                const auto on = foot->project(now);
                if (!on) continue;
                square[z] += (now - *on).squaredNorm();
                ++number[z];
            }
            if (!within) REQUIRE(done->mesh.points[i] == was);
        }
        for (std::size_t z = 0; z < zones.size(); ++z)
            if (number[z] > 0)
                (z < spec.dents.size() ? dents : creases).push_back(std::sqrt(square[z] / number[z]));
    }
    INFO("dents " << quantile(dents, 0.5) << " mm rms, p90 " << quantile(dents, 0.9) << "; creases "
                  << quantile(creases, 0.5) << ", p90 " << quantile(creases, 0.9));
    CHECK(quantile(dents, 0.5) <= 0.2);
    CHECK(quantile(dents, 0.9) <= 0.45);
    CHECK(quantile(creases, 0.5) <= 0.1);
    CHECK(quantile(creases, 0.9) <= 0.2);
    WARN("repaired: dents " << quantile(dents, 0.5) << " mm rms, p90 " << quantile(dents, 0.9) << "; creases "
                            << quantile(creases, 0.5) << ", p90 " << quantile(creases, 0.9));
}
