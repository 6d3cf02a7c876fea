// The foot: what is asked is what the surface measures.
#include <catch2/catch.hpp>
#include <set>

#include "assets/generator/cast.hpp"
#include "assets/generator/foot.hpp"
#include "engine/base/parallel.hpp"
#include "engine/base/units.hpp"
#include "engine/mesh/soundness.hpp"
#include "tests/generator/measured.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::generator;
using tests::farthest;
using tests::section;

namespace {

// A vertex of the net lies within an edge's length of the extreme, on a surface that bends with a radius of
// 20 mm or more there: 1 mm / 2 squared over 2 x 20 mm, with room.
constexpr double edge = 1.0, extreme_mm = 0.03;
// A section's crossings lie on chords: less than edge^2 / (8 x 8 mm) inside the surface.
constexpr double section_mm = 0.03;

Foot made_foot(const FootShape& shape) {
    Outcome<Foot> foot = Foot::make(shape);
    if (!foot) FAIL(foot.fault().message);
    return std::move(foot).value();
}

TriangleMesh meshed(const Foot& foot, double at) {
    Outcome<TriangleMesh> mesh = foot.mesh(at);
    if (!mesh) FAIL(mesh.fault().message);
    return std::move(mesh).value();
}

bool near(const Vec3& a, const Vec3& b, double distance) {
    return (a - b).norm() < distance;
}

/// Everything asked, measured again from the triangles.
void compare_with_mesh(const FootShape& shape) {
    const Foot foot = made_foot(shape);
    const TriangleMesh mesh = meshed(foot, edge);
    const auto& at = foot.truth().landmarks;
    const double l = shape.length_mm;

    const Vec3 back = farthest(mesh, -Vec3::UnitX()), tip = farthest(mesh, Vec3::UnitX());
    CHECK(tip.x() - back.x() == Approx(l).margin(2 * extreme_mm));
    CHECK(back.x() == Approx(-0.16 * l).margin(extreme_mm));
    CHECK(farthest(mesh, -Vec3::UnitZ()).z() == Approx(0.0).margin(extreme_mm));

    const auto by = [&](const char* key) {
        return [&, key](const Vec3& p) { return near(p, at.at(key), 8.0); };
    };
    const Vec3 border1 = farthest(mesh, Vec3::UnitY(), by("first_head_border"));
    const Vec3 border5 = farthest(mesh, -Vec3::UnitY(), by("fifth_head_border"));
    CHECK(border1.y() - border5.y() == Approx(shape.forefoot_breadth_mm).margin(2 * extreme_mm));
    CHECK(border1.x() - back.x() == Approx(shape.ball_length_mm).margin(1.5));  // flat there: 1 mm net

    // heel: the section at 0.16 of the length, below 0.15 of it
    double low = 1e9, high = -1e9;
    for (const Vec3& p : section(mesh, 0, back.x() + 0.16 * l)) {
        if (p.z() > 0.15 * l + at.at("heel_lowest").z()) continue;
        low = std::min(low, p.y());
        high = std::max(high, p.y());
    }
    CHECK(high - low == Approx(shape.heel_breadth_mm).margin(2 * section_mm));
    CHECK(0.5 * (high + low) == Approx(0.0).margin(2 * section_mm));

    // heads: lowest in reach of the landmark
    const Vec3 m1 = farthest(mesh, -Vec3::UnitZ(), by("first_head_plantar"));
    const Vec3 m5 = farthest(mesh, -Vec3::UnitZ(), by("fifth_head_plantar"));
    const double phi = degrees(
        std::atan2(m1.z() - m5.z(), at.at("first_head_plantar").y() - at.at("fifth_head_plantar").y()));
    const Vec3 heel = farthest(mesh, -Vec3::UnitZ(), [&](const Vec3& p) { return p.x() < 0.15 * l; });
    CHECK(heel.z() == Approx(0.5 * (m1.z() + m5.z())).margin(2 * extreme_mm));

    // heel bisection: the plane through its two points, along x, halves the back of the heel: what lies on
    // one side of it, mirrored, lies on the surface again; a plane 1 degree off does not do that
    const Vec3 p0 = at.at("bisection_lower"), p1 = at.at("bisection_upper");
    CHECK(degrees(std::atan2(p0.y() - p1.y(), p1.z() - p0.z())) ==
          Approx(shape.heel_bisection_deg).margin(1e-5));
    const auto halves = [&](double angle) {
        const double a = radians(angle);
        const Vec3 across(0, std::cos(a), std::sin(a));
        double worst = 0.0;
        for (const Vec3& p : mesh.points)
            if (p.x() < -0.11 * l && p.z() < 0.2 * l)
                worst = std::max(worst, std::abs(foot.implicit(p - 2.0 * (p - p0).dot(across) * across)));
        return worst;
    };
    CHECK(halves(shape.heel_bisection_deg) < 0.1);
    CHECK(halves(shape.heel_bisection_deg + 1.0) > 0.3);
    CHECK(halves(shape.heel_bisection_deg - 1.0) > 0.3);
    CHECK(phi - shape.heel_bisection_deg == Approx(shape.forefoot_to_rearfoot_deg).margin(0.06));

    // arch: highest lower crossing of the section y = half of the 1st head's
    std::vector<std::pair<double, double>> sole;
    for (const Vec3& p : section(mesh, 1, 0.5 * at.at("first_head_plantar").y()))
        if (p.x() > 0.08 * l && p.x() < 0.46 * l && p.z() < 0.2 * l) sole.emplace_back(p.x(), p.z());
    double arch = 0.0;
    for (const auto& [x, z] : sole) {
        const bool lowest = std::all_of(sole.begin(), sole.end(), [&, x = x, z = z](const auto& other) {
            return std::abs(other.first - x) > 1.5 || other.second > z - 3.0;
        });
        if (lowest) arch = std::max(arch, z);
    }
    CHECK(arch == Approx(shape.arch_height_mm).margin(0.08));
}

}  // namespace

TEST_CASE("The mean foot measures on its triangles what was asked") {
    compare_with_mesh(FootShape{});
}

TEST_CASE("Feet over the whole range measure what was asked") {
    FootShape flat;
    flat.arch_height_mm = 9;
    flat.forefoot_to_rearfoot_deg = 7;
    compare_with_mesh(flat);
    FootShape high;
    high.arch_height_mm = 29;
    high.instep_height_mm = 68;
    high.forefoot_to_rearfoot_deg = -8;
    high.heel_bisection_deg = 3;
    compare_with_mesh(high);
}

TEST_CASE("Random feet measure what was asked and lie within the survey's percentiles") {
    const int n = tests::cases(200, 8, "random feet");
    for (int i = 0; i < n; ++i) {
        const std::uint64_t seed = tests::seed() + static_cast<std::uint64_t>(i);
        INFO("seed " << seed);
        const Population population = i % 2 == 0 ? Population::woman : Population::man;
        const Outcome<Foot> made = Foot::random(seed, population);
        REQUIRE(made);
        const Foot& foot = *made;
        compare_with_mesh(foot.shape());
        const FootTruth& truth = foot.truth();
        const Survey& of = survey(population);
        const auto within = [](double value, Percentiles p) {
            return value >= p.low - 1e-6 && value <= p.high + 1e-6;
        };
        CHECK(within(truth.length_mm, of.length_mm));
        CHECK(within(truth.ball_length_mm, of.ball_length_mm));
        CHECK(within(truth.forefoot_breadth_mm, of.forefoot_breadth_mm));
        CHECK(within(truth.heel_breadth_mm, of.heel_breadth_mm));
    }
}

TEST_CASE("A random foot can be made or says why, children's too") {
    const int n = tests::cases(1000, 40, "feet made");
    int refused = 0;
    for (int i = 0; i < n; ++i) {
        const std::uint64_t seed = tests::seed() + 5000 + static_cast<std::uint64_t>(i);
        INFO("seed " << seed);
        const FootShape shape = i % 4 == 0 ? random_foot(seed, Population::child) : random_foot(seed);
        const Outcome<Foot> foot = Foot::make(shape);
        if (!foot) {
            CHECK(foot.fault().message.find("bring them nearer") != std::string::npos);
            ++refused;
            continue;
        }
        CHECK(foot->truth().forefoot_to_rearfoot_deg == Approx(shape.forefoot_to_rearfoot_deg).margin(1e-6));
        CHECK(foot->truth().arch_height_mm == Approx(shape.arch_height_mm).margin(1e-6));
    }
    CHECK(refused <= 1 + n / 200);
}

TEST_CASE("Landmarks lie on the surface, the lowest point on the plane, the 2nd head on the axis") {
    const Foot foot = made_foot(random_foot(tests::seed()));
    for (const auto& [key, p] : foot.truth().landmarks) {
        INFO(key);
        CHECK(std::abs(foot.implicit(p)) < 1e-8);
        const auto on = foot.project(p);
        REQUIRE(on);
        CHECK((*on - p).norm() < 1e-3);
    }
    const auto& at = foot.truth().landmarks;
    CHECK(std::abs(at.at("second_head_plantar").y()) < 1e-6);
    CHECK(std::abs(at.at("heel_centre").y()) < 1e-6);
    CHECK(std::abs(at.at("heel_centre").x()) < 1e-6);
    for (const char* key :
         {"heel_centre", "posterior_heel", "bisection_lower", "bisection_upper", "first_head_plantar",
          "second_head_plantar", "fifth_head_plantar", "first_head_border", "fifth_head_border", "fifth_base",
          "navicular", "medial_malleolus", "lateral_malleolus"})
        CHECK(at.count(key) == 1);
}

TEST_CASE("The gradient is that of the field, continuous, and never steeper than the mesher supposes") {
    const Foot foot = made_foot(FootShape{});
    const TriangleMesh mesh = meshed(foot, 3.0);
    for (std::size_t i = 0; i < mesh.points.size(); i += 97) {
        for (double away : {-8.0, -1.0, 0.0, 1.0, 8.0}) {
            const Vec3 p = mesh.points[i] + away * foot.normal(mesh.points[i]);
            const Vec3 g = foot.gradient(p);
            CHECK(g.norm() < 1.8);  // FootField::steepest
            for (int axis = 0; axis < 3; ++axis) {
                const Vec3 e = 1e-5 * Vec3::Unit(axis);
                CHECK((foot.implicit(p + e) - foot.implicit(p - e)) / 2e-5 == Approx(g[axis]).margin(1e-5));
                // C2: the gradient's own slope stays bounded across every blend
                CHECK((foot.gradient(p + e) - foot.gradient(p - e)).norm() / 2e-5 < 3.0);
            }
        }
    }
}

TEST_CASE("The mesh is one sound skin, open at the ankle plane alone, at any density") {
    for (int i = 0; i < tests::cases(40, 3, "feet at three densities"); ++i) {
        const FootShape shape = random_foot(tests::seed() + static_cast<std::uint64_t>(i));
        const Foot foot = made_foot(shape);
        for (double at : {3.0, 1.7, 1.0}) {
            INFO("seed " << tests::seed() + static_cast<std::uint64_t>(i) << ", edge " << at);
            const TriangleMesh mesh = meshed(foot, at);
            const Soundness s = find_soundness(mesh);
            CHECK(s.non_manifold_edges == 0);
            CHECK(s.misoriented_edges == 0);
            CHECK(s.non_manifold_points == 0);
            CHECK(s.degenerate_triangles == 0);
            CHECK(s.components == 1);
            CHECK(self_intersections(mesh, 1).empty());
            std::map<std::pair<std::int32_t, std::int32_t>, int> uses;
            for (const Triangle& t : mesh.triangles)
                for (std::size_t k = 0; k < 3; ++k) ++uses[std::minmax(t[k], t[(k + 1) % 3])];
            std::size_t off_plane = 0, open = 0;
            for (const auto& [e, count] : uses) {
                if (count != 1) continue;
                ++open;
                if (mesh.points[e.first].z() != shape.ankle_height_mm) ++off_plane;
            }
            CHECK(open > 20);
            CHECK(off_plane == 0);
            double worst = 0.0;
            for (const Vec3& p : mesh.points) worst = std::max(worst, std::abs(foot.implicit(p)));
            CHECK(worst < 1e-9);
            // wound outward
            const auto normals = mesh.point_normals();
            std::size_t inward = 0;
            for (std::size_t k = 0; k < mesh.points.size(); ++k)
                if (normals[k].dot(foot.gradient(mesh.points[k])) <= 0.0) ++inward;
            CHECK(inward == 0);
        }
    }
}

TEST_CASE("Area settles with the second power of the edge") {
    const Foot foot = made_foot(FootShape{});
    const double a = meshed(foot, 2.4).area(), b = meshed(foot, 1.2).area(), c = meshed(foot, 0.6).area();
    CHECK((b - a) / (c - b) > 2.8);
    CHECK((b - a) / (c - b) < 5.6);
}

TEST_CASE("The number of triangles comes out as asked") {
    const Foot foot = made_foot(FootShape{});
    for (std::size_t asked : {40'000U, 100'000U, 400'000U}) {
        const Outcome<TriangleMesh> mesh = foot.mesh_of(asked);
        REQUIRE(mesh.ok());
        CHECK(static_cast<double>(mesh->triangles.size()) ==
              Approx(static_cast<double>(asked)).epsilon(0.03));
    }
}

TEST_CASE("Any number of threads gives the same mesh to the bit") {
    const Foot foot = made_foot(random_foot(11));
    set_thread_count(1);
    const TriangleMesh one = meshed(foot, 1.5);
    for (int threads : {2, 8}) {
        set_thread_count(threads);
        const TriangleMesh other = meshed(foot, 1.5);
        CHECK(one.points == other.points);
        CHECK(one.triangles == other.triangles);
    }
    set_thread_count(0);
}

TEST_CASE("Feet that cannot be are refused with the dimension's name") {
    FootShape s;
    s.heel_breadth_mm = 20;
    const auto a = Foot::make(s);
    REQUIRE(!a.ok());
    CHECK(a.fault().message.find("heel_breadth_mm") != std::string::npos);
    s = {};
    s.forefoot_to_rearfoot_deg = std::numeric_limits<double>::quiet_NaN();
    CHECK(!Foot::make(s).ok());
    const Foot foot = made_foot(FootShape{});
    CHECK(!foot.mesh(0.01).ok());
    CHECK(!foot.mesh(9.0).ok());
    CHECK(!foot.mesh_of(0).ok());
    Progress progress;
    progress.cancel();
    const auto cancelled = foot.mesh(1.0, &progress);
    REQUIRE(!cancelled.ok());
    CHECK(cancelled.fault().kind == FaultKind::cancelled);
}
