// Known motions found again, and the reasons why two surfaces are not registered.
#include "engine/registration/registration.hpp"

#include <catch2/catch.hpp>
#include <iostream>

#include "engine/base/parallel.hpp"
#include "tests/registration/feet.hpp"

using namespace archwright;
using namespace archwright::registration;
using namespace archwright::tests;

namespace {

Registration registered(const TriangleMesh& moving, const Fixed& fixed, const Settings& settings = {}) {
    Progress progress;
    auto made = register_surfaces(moving, fixed, settings, progress);
    REQUIRE(made.ok());
    return *made;
}

constexpr std::size_t foot_triangles = 24'000;

const Fixed& fixed_foot() {
    static const Fixed fixed(meshed_foot(foot_triangles));
    return fixed;
}

TriangleMesh mirrored(TriangleMesh mesh) {
    for (Vec3& p : mesh.points) p.y() = -p.y();
    mesh.flip();
    return mesh;
}

TriangleMesh scaled(TriangleMesh mesh, double factor) {
    for (Vec3& p : mesh.points) p *= factor;
    return mesh;
}

/// A grid over [-1, 1]^2 laid where `at` says.
TriangleMesh patch(int side, const std::function<Vec3(double, double)>& at) {
    TriangleMesh mesh;
    for (int i = 0; i <= side; ++i)
        for (int j = 0; j <= side; ++j) mesh.points.push_back(at(2.0 * i / side - 1.0, 2.0 * j / side - 1.0));
    for (int i = 0; i < side; ++i)
        for (int j = 0; j < side; ++j) {
            const int a = i * (side + 1) + j, b = a + side + 1;
            mesh.triangles.push_back({a, b, b + 1});
            mesh.triangles.push_back({a, b + 1, a + 1});
        }
    return mesh;
}

}  // namespace

TEST_CASE("three pairs or more give the motion that was, and never a mirror image") {
    for (int round = 0; round < 50; ++round) {
        std::mt19937_64 random(seed() + static_cast<std::uint64_t>(round));
        const Motion truth = random_motion(random, 180.0, 300.0);
        std::vector<Pair> pairs;
        for (int i = 0; i < 3 + round % 4; ++i) {
            const double x = uniform(random, -100.0, 100.0);
            const double y = uniform(random, -50.0, 50.0);
            const double z = uniform(random, -50.0, 50.0);
            pairs.push_back({Vec3(x, y, z), truth(Vec3(x, y, z))});
        }
        const auto motion = motion_of(pairs);
        REQUIRE(motion);
        CHECK((motion->turn - truth.turn).norm() < 1e-9);
        CHECK((motion->shift - truth.shift).norm() < 1e-6);
        for (Pair& pair : pairs) pair.fixed.y() = -pair.fixed.y();
        CHECK(motion_of(pairs)->turn.determinant() == Approx(1.0));
    }
    CHECK_FALSE(motion_of(std::vector<Pair>{{{0, 0, 0}, {0, 0, 0}}, {{1, 0, 0}, {1, 0, 0}}}));
    CHECK_FALSE(
        motion_of(std::vector<Pair>{{{0, 0, 0}, {0, 0, 0}}, {{1, 0, 0}, {1, 0, 0}}, {{2, 0, 0}, {2, 0, 0}}}));
}

TEST_CASE("a motion undone, repeated and small is what its matrix says") {
    std::mt19937_64 random(seed());
    const Motion a = random_motion(random, 90.0, 50.0), b = random_motion(random, 90.0, 50.0);
    const Vec3 p(12.0, -3.0, 40.0);
    CHECK((a.inverse()(a(p)) - p).norm() < 1e-12);
    CHECK((a.then(b)(p) - b(a(p))).norm() < 1e-12);
    const Motion small = small_motion({0, 0, radians(1e-6)}, {10, 0, 0}, {0, 0, 0});
    CHECK(small.angle_deg() == Approx(1e-6).epsilon(1e-6));
    CHECK((small(Vec3(10, 0, 5)) - Vec3(10, 0, 5)).norm() < 1e-12);
}

TEST_CASE("a clean scan of the same foot comes back within 0.01 mm and 0.01 degrees") {
    const int rounds = cases(500, 8, "clean scans moved up to 30 degrees and 50 mm");
    const TriangleMesh& foot = meshed_foot(foot_triangles);
    double worst_mm = 0.0, worst_deg = 0.0;
    int found = 0;
    for (int round = 0; round < rounds; ++round) {
        std::mt19937_64 random(seed() + static_cast<std::uint64_t>(round));
        const Motion truth = random_motion(random, 30.0, 50.0);
        const TriangleMesh moving = moved(foot, truth.inverse());
        const Registration r = registered(moving, fixed_foot());
        INFO("round " << round << ": " << r.words);
        CHECK(r.ok());
        const MotionError error = error_of(r.fit.motion, truth, moving);
        CHECK(error.mm < 0.01);
        CHECK(error.degrees < 0.01);
        found += r.ok() && error.mm < 0.01 && error.degrees < 0.01;
        worst_mm = std::max(worst_mm, error.mm);
        worst_deg = std::max(worst_deg, error.degrees);
        CHECK(r.fit.used > 0.9);
        CHECK(r.fit.overlap > 0.95);
    }
    std::cout << "clean: " << found << " of " << rounds << ", worst " << worst_mm << " mm, " << worst_deg
              << " degrees\n";
}

TEST_CASE("noise of 0.2 mm, a fifth missing and a dent leave 0.1 mm and 0.1 degrees") {
    const int rounds = cases(500, 8, "scans with noise, a gap and a dent, moved up to 30 degrees and 50 mm");
    // another meshing of the same foot: no point of one is a point of the other
    const TriangleMesh& foot = meshed_foot(foot_triangles - 5'000);
    double worst_mm = 0.0, worst_deg = 0.0;
    int found = 0;
    for (int round = 0; round < rounds; ++round) {
        std::mt19937_64 random(seed() + 5000 + static_cast<std::uint64_t>(round));
        const Motion truth = random_motion(random, 30.0, 50.0);
        TriangleMesh moving = foot;
        add_dent(moving, random_point(foot, random), 12.0, 2.5);
        cut_out(moving, random_point(foot, random), 0.2);
        add_noise(moving, 0.2, random);
        moving = moved(std::move(moving), truth.inverse());
        const Registration r = registered(moving, fixed_foot());
        INFO("round " << round << ": " << r.words);
        CHECK(r.ok());
        const MotionError error = error_of(r.fit.motion, truth, moving);
        CHECK(error.mm < 0.1);
        CHECK(error.degrees < 0.1);
        found += r.ok() && error.mm < 0.1 && error.degrees < 0.1;
        worst_mm = std::max(worst_mm, error.mm);
        worst_deg = std::max(worst_deg, error.degrees);
    }
    std::cout << "noise, gap and dent: " << found << " of " << rounds << ", worst " << worst_mm << " mm, "
              << worst_deg << " degrees\n";
}

TEST_CASE("landmarks give the start where the axes would not") {
    // turned heel to toes and upside down, with landmarks 5 mm off
    std::mt19937_64 random(seed());
    const TriangleMesh& foot = meshed_foot(foot_triangles);
    Motion truth = random_motion(random, 180.0, 400.0);
    const TriangleMesh moving = moved(foot, truth.inverse());
    Settings settings;
    for (const Vec3& p : {Vec3(0, 0, 0), Vec3(140, 30, 5), Vec3(120, -35, 5), Vec3(-30, 0, 30)}) {
        const double x = 5.0 * polar_normal(random);
        const double y = 5.0 * polar_normal(random);
        settings.landmarks.push_back({truth.inverse()(p + Vec3(x, y, 0.0)), p});
    }
    const Registration r = registered(moving, fixed_foot(), settings);
    CHECK(r.ok());
    CHECK(error_of(r.fit.motion, truth, moving).mm < 0.01);
}

TEST_CASE("the covariance is the scatter of what is found, for independent noise") {
    // plane-to-point noise on a dense mesh: samples err independently
    const TriangleMesh& foot = meshed_foot(foot_triangles);
    Eigen::Matrix<double, 6, 1> squares = Eigen::Matrix<double, 6, 1>::Zero();
    Mat6 told = Mat6::Zero();
    const int rounds = 24;
    for (int round = 0; round < rounds; ++round) {
        std::mt19937_64 random(seed() + static_cast<std::uint64_t>(round));
        Samples samples = samples_of(foot, 2000);
        for (std::size_t i = 0; i < samples.points.size(); ++i)
            samples.points[i] += 0.2 * polar_normal(random) * samples.normals[i];
        const Fit fit = settle(fixed_foot(), samples, {}, {4.0, 60});
        const Vec3 turn = 0.5 * Vec3(fit.motion.turn(2, 1) - fit.motion.turn(1, 2),
                                     fit.motion.turn(0, 2) - fit.motion.turn(2, 0),
                                     fit.motion.turn(1, 0) - fit.motion.turn(0, 1));
        squares.head<3>() += turn.cwiseAbs2();
        squares.tail<3>() += (fit.motion(fit.centre) - fit.centre).cwiseAbs2();
        told += fit.covariance;
    }
    for (int k = 0; k < 6; ++k) {
        // a mean of 24 squares: within a factor of two and a half, four standard deviations and more
        CHECK(squares[k] < 2.5 * told(k, k));
        CHECK(squares[k] > told(k, k) / 2.5);
    }
}

TEST_CASE("the same motion whatever the number of threads") {
    std::mt19937_64 random(seed());
    TriangleMesh moving = moved(meshed_foot(foot_triangles), random_motion(random, 30.0, 50.0));
    add_noise(moving, 0.2, random);
    const Registration one = registered(moving, fixed_foot());
    for (const int threads : {1, 2, 8}) {
        set_thread_count(threads);
        const Registration other = registered(moving, fixed_foot());
        CHECK(other.fit.motion.turn == one.fit.motion.turn);
        CHECK(other.fit.motion.shift == one.fit.motion.shift);
        CHECK(other.fit.rms_mm == one.fit.rms_mm);
    }
    set_thread_count(0);
}

TEST_CASE("the mirror image is found, not fitted") {
    for (int round = 0; round < 4; ++round) {
        std::mt19937_64 random(seed() + static_cast<std::uint64_t>(round));
        const TriangleMesh moving =
            moved(mirrored(meshed_foot(foot_triangles)), random_motion(random, 30.0, 50.0));
        const Registration r = registered(moving, fixed_foot());
        CHECK(r.trouble == Trouble::wrong_side);
        CHECK(r.words.find("mirror image") != std::string::npos);
    }
}

TEST_CASE("a wrong unit is found with its factor, mirrored or not") {
    for (const double factor : {10.0, 25.4, 0.001, 1.0 / 25.4, 2.54}) {
        std::mt19937_64 random(seed());
        const TriangleMesh moving =
            scaled(moved(meshed_foot(foot_triangles), random_motion(random, 30.0, 50.0)), factor);
        const Registration r = registered(moving, fixed_foot());
        INFO("factor " << factor);
        CHECK(r.trouble == Trouble::wrong_unit);
        CHECK(r.factor * factor == Approx(1.0).epsilon(1e-9));
        CHECK(registered(mirrored(moving), fixed_foot()).trouble == Trouble::wrong_unit);
    }
}

TEST_CASE("a part of the foot is no wrong unit") {
    // the heel alone: 0.36 of the length, near 1 / 2.54
    TriangleMesh heel = meshed_foot(foot_triangles);
    std::erase_if(heel.triangles, [&](const Triangle& t) { return heel.points[t[0]].x() > 55.0; });
    Settings settings;
    settings.starts.push_back({});
    std::mt19937_64 random(seed());
    const Motion truth = random_motion(random, 3.0, 3.0);
    const TriangleMesh moving = moved(heel, truth.inverse());
    const Registration r = registered(moving, fixed_foot(), settings);
    INFO(r.words);
    CHECK(r.ok());
    CHECK((r.fit.motion(Vec3(0, 0, 0)) - truth(Vec3(0, 0, 0))).norm() < 0.05);
}

TEST_CASE("another foot is not the same, and a foot is not half there") {
    // feet of other persons: most lie too far off; one of like size and form cannot be told from another cast
    int told = 0, all = 0;
    for (int round = 0; round < 4; ++round) {
        const auto other = generator::Foot::random(seed() + static_cast<std::uint64_t>(round));
        REQUIRE(other.ok());
        const auto mesh = other->mesh_of(foot_triangles);
        REQUIRE(mesh.ok());
        const Registration r = registered(*mesh, fixed_foot());
        std::cout << "another foot: half within " << r.fit.median_mm << " mm, mirrored "
                  << r.mirrored_median_mm << ", " << key(r.trouble) << "\n";
        told += !r.ok();
        ++all;
    }
    CHECK(2 * told >= all);
    // the same person's foot two sizes longer
    const Registration longer = registered(scaled(meshed_foot(foot_triangles), 1.06), fixed_foot());
    CHECK(longer.trouble == Trouble::not_the_same);
    CHECK(longer.words.find("another foot") != std::string::npos);
    // a scan that reaches far past the other
    TriangleMesh heel = meshed_foot(foot_triangles);
    std::erase_if(heel.triangles, [&](const Triangle& t) { return heel.points[t[0]].x() > 0.0; });
    const Fixed part(heel);
    Settings settings;
    settings.starts.push_back({});
    settings.check_unit = false;
    const Registration r = registered(meshed_foot(foot_triangles), part, settings);
    CHECK(r.trouble == Trouble::too_little_overlap);
    CHECK(registered(TriangleMesh{}, fixed_foot()).trouble == Trouble::nothing_there);
}

TEST_CASE("what the shape does not hold is told, with its direction") {
    Settings settings;
    settings.starts.push_back({});
    settings.check_side = false;
    const auto flat = [](double u, double v) { return Vec3(60.0 * u, 40.0 * v, 0.0); };
    const Registration plane = registered(patch(40, flat), Fixed(patch(41, flat)), settings);
    CHECK(plane.trouble == Trouble::slides);
    const auto barrel = [](double u, double v) {
        return Vec3(60.0 * u, 30.0 * std::sin(1.2 * v), 30.0 * std::cos(1.2 * v));
    };
    const Registration cylinder = registered(patch(40, barrel), Fixed(patch(41, barrel)), settings);
    CHECK(cylinder.trouble == Trouble::slides);
    const auto ball = [](double u, double v) {
        const Vec3 p(u, v, 1.2);
        return Vec3(40.0 * p.normalized());
    };
    CHECK(registered(patch(40, ball), Fixed(patch(41, ball)), settings).trouble == Trouble::slides);
    // and the foot is held
    const Registration foot = registered(meshed_foot(foot_triangles), fixed_foot());
    std::cout << "least held: foot " << foot.fit.least_held << ", plane " << plane.fit.least_held
              << ", cylinder " << cylinder.fit.least_held << "\n";
    CHECK(foot.fit.least_held > 5.0 * Settings{}.least_held);
}

TEST_CASE("a cancelled registration says so and nothing else") {
    Progress progress;
    progress.cancel();
    const auto made = register_surfaces(meshed_foot(foot_triangles), fixed_foot(), {}, progress);
    REQUIRE_FALSE(made.ok());
    CHECK(made.fault().kind == FaultKind::cancelled);
}
