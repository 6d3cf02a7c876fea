// Posts and apertures as a job orders them, on generated feet.
#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/build/post_stage.hpp"
#include "engine/solid/step_file.hpp"
#include "engine/surface/post.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/step_planes.hpp"

using namespace archwright;

namespace {

// The floors' triangles by their post: inclination about +x and pitch, degrees; lowest and highest z.
struct Floor {
    double inclination_deg = 0.0, pitch_deg = 0.0, area = 0.0;
};

Floor floor_of(const surface::ShellMesh& shell, double from_x, double to_x) {
    Floor floor;
    Vec3 sum = Vec3::Zero();
    const TriangleMesh& mesh = shell.mesh;
    for (std::size_t t = shell.walls_end; t < mesh.triangles.size(); ++t) {
        const Triangle& c = mesh.triangles[t];
        const double x = mesh.points[c[0]].x();
        if (x < from_x || x > to_x) continue;
        sum += 0.5 * (mesh.points[c[1]] - mesh.points[c[0]]).cross(mesh.points[c[2]] - mesh.points[c[0]]);
    }
    floor.area = sum.norm();
    const Vec3 n = sum / -sum.z();  // z = ... + n.x x + n.y y
    floor.inclination_deg = std::atan(n.y()) * 180.0 / std::numbers::pi;
    floor.pitch_deg = std::atan(n.x()) * 180.0 / std::numbers::pi;
    return floor;
}

double inclination_of(const Vec3& normal) {
    return std::atan(normal.y() / -normal.z()) * 180.0 / std::numbers::pi;
}

// Of a floor with a hinge: the face lateral of it and the medial one.
std::array<Floor, 2> faces_of(const surface::ShellMesh& shell, const surface::Post& post) {
    std::array<Vec3, 2> sums{Vec3::Zero(), Vec3::Zero()};
    const TriangleMesh& mesh = shell.mesh;
    for (std::size_t t = shell.walls_end; t < mesh.triangles.size(); ++t) {
        const Triangle& c = mesh.triangles[t];
        std::array<double, 3> beyond{};
        bool floor = true;
        for (std::size_t k = 0; k < 3; ++k) {
            const Vec3& p = mesh.points[static_cast<std::size_t>(c[k])];
            floor = floor && std::abs(surface::height_above_floor(post, p)) < 1e-6;
            beyond[k] = (p.head<2>() - post.hinge->point).dot(post.hinge->beyond);
        }
        constexpr double half = surface::Post::Hinge::half_breadth_mm;
        const auto [low, high] = std::minmax_element(beyond.begin(), beyond.end());
        if (!floor || (*high > -half && *low < half)) continue;
        sums[*low >= half] += mesh.normal2(t) * 0.5;
    }
    std::array<Floor, 2> faces;
    for (std::size_t k = 0; k < 2; ++k) {
        faces[k].area = sums[k].norm();
        faces[k].inclination_deg = inclination_of(sums[k]);
    }
    return faces;
}

}  // namespace

TEST_CASE("posts stand at the angle and height asked, and the device on their floors") {
    const int count = tests::cases(60, 3, "devices with posts");
    int made = 0;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 70'000 + static_cast<std::uint64_t>(i));
        generator::Random random(seed, 3);
        auto job = tests::random_job(seed, 40'000);
        REQUIRE(job.ok());
        design::FootDesign& foot = job->foot;
        foot.balance.method = foot::Balance::Method::heel_bisection;
        foot.balance.forefoot = foot::Balance::Forefoot::platform;
        feature::RearfootPost& rear = foot.posts.rearfoot;
        rear.on = true;
        rear.angle_deg = random.between(-4.0, 4.0);
        rear.height_mm = random.between(1.0, 5.0);
        rear.width_mm = 34.0;
        rear.flare_deg = random.between(-8.0, 8.0);
        if (i % 3 == 1) {
            rear.motion_deg = random.between(1.0, 4.0);
            rear.hinge_mm = random.between(-4.0, 4.0);
            rear.height_mm += 1.0;  // the medial face rises
        }
        feature::ForefootPost& fore = foot.posts.forefoot;
        fore.on = i % 2 == 0;
        fore.length_mm = 14.0;
        INFO(job->words << ", rear " << rear.angle_deg << " deg, " << rear.height_mm << " mm");
        const auto device =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "posts"), foot, job->side);
        if (!device.ok()) {  // refused with its place, never wrong
            INFO(device.fault().message);
            std::cout << "  refused: " << device.fault().message << "\n";
            CHECK(device.fault().kind == FaultKind::check);
            CHECK(
                (device.fault().stage == "loops" || device.fault().stage == "posts" || device.fault().where));
            continue;
        }
        ++made;
        CHECK(tests::unsound(*device) == "");
        const surface::ShellMesh& shell = device->shelled->mesh;
        const double middle =
            0.5 * (device->surfaced->rule.first_head.x() + device->surfaced->rule.heel_centre.x());
        const Floor heel = floor_of(shell, -100.0, middle);
        REQUIRE(heel.area > 100.0);
        if (rear.motion_deg > 0.0) {
            const auto two = faces_of(shell, device->shelled->shell.posts.front());
            REQUIRE((two[0].area > 50.0 && two[1].area > 50.0));
            CHECK(two[0].inclination_deg == Approx(-rear.angle_deg).margin(0.05));
            CHECK(two[1].inclination_deg == Approx(-(rear.angle_deg - rear.motion_deg)).margin(0.05));
        } else {
            CHECK(heel.inclination_deg == Approx(-rear.angle_deg).margin(0.05));
        }
        if (fore.on) {
            const Floor front = floor_of(shell, middle, 400.0);
            const auto face = build::forefoot_face_deg(*device->received, foot);
            REQUIRE(face);
            CHECK(front.inclination_deg == Approx(*face).margin(0.05));
            CHECK(front.pitch_deg == Approx(heel.pitch_deg).margin(0.02));  // one ground
            if (rear.motion_deg <= 0.0) {  // both angles again, from the planes of the STEP file
                const auto step = solid::step_text(device->proved->solid, {});
                REQUIRE(step.ok());
                const auto planes = tests::plane_normals(*step);
                REQUIRE(planes.size() == 2);
                CHECK(inclination_of(planes[0]) == Approx(-rear.angle_deg).margin(0.05));
                CHECK(inclination_of(planes[1]) == Approx(*face).margin(0.05));
            }
        }
        // the floor's least distance from the underside above it, straight down
        const surface::Post& post = device->shelled->shell.posts.front();
        const surface::TrimRegion inside{surface::Outline(post.curve)};
        double least = 1e300;
        const surface::SplineSurface& underside = device->shelled->shell.underside;
        for (double u = 0; u < underside.u.length; u += 0.7)
            for (double v = 0; v < underside.v.length; v += 0.7)
                if (inside.inside({u, v})) {
                    least = std::min(least, surface::height_above_floor(post, underside.point({u, v})));
                }
        CHECK(least == Approx(rear.height_mm).margin(0.05));
        bool told = false;
        for (const Check& check : device->checks) told = told || check.id == "ground.rest";
        CHECK(told);
    }
    CHECK(tests::share_holds(made, count, 0.5));
}

TEST_CASE("an aperture ordered in a job goes through the shell; through a post it is refused") {
    auto job = tests::random_job(generator::mix(tests::seed() + 71'000), 40'000);
    REQUIRE(job.ok());
    feature::Feature hole;
    hole.name = "hole";
    hole.kind = feature::Feature::Kind::aperture;
    hole.points = {Vec2(55, -8)};
    hole.width_mm = 12;
    hole.length_mm = 18;
    job->foot.features = {hole};
    const auto cast = tests::cast_in_memory(job->cast.mesh, "hole");
    const auto device = tests::build_in_memory(cast, job->foot, job->side);
    if (!device.ok()) FAIL(device.fault().message);
    CHECK(tests::unsound(*device) == "");
    // one handle: points - edges + triangles = 0
    const TriangleMesh& mesh = device->shelled->mesh.mesh;
    CHECK(static_cast<long>(mesh.points.size()) - static_cast<long>(mesh.triangles.size()) / 2 == 0);
    job->foot.features.front().points = {Vec2(2, 0)};
    job->foot.posts.rearfoot.on = true;
    const auto refused = tests::build_in_memory(cast, job->foot, job->side);
    REQUIRE_FALSE(refused.ok());
    INFO(refused.fault().message);
    CHECK(refused.fault().message.find("hole") != std::string::npos);
    CHECK(refused.fault().message.find("rearfoot post") != std::string::npos);
}

TEST_CASE("a flat contact is a level disc under the heel, and what must not touch the ground is told") {
    const int count = tests::cases(40, 2, "devices with a flat contact and a deep relief");
    int made = 0, near_ground = 0;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 75'000 + static_cast<std::uint64_t>(i));
        generator::Random random(seed, 4);
        auto job = tests::random_job(seed, 40'000);
        REQUIRE(job.ok());
        design::FootDesign& foot = job->foot;
        foot.posts.flat_contact.on = true;
        foot.posts.flat_contact.diameter_mm = random.between(14.0, 22.0);
        feature::Feature& relief = foot.features.emplace_back();
        relief.name = "deep";
        relief.points = {Vec2{random.between(20.0, 60.0), random.between(-22.0, 4.0)}};
        relief.depth_mm = random.between(1.0, 4.0);
        relief.width_mm = relief.length_mm = 18.0;
        INFO(job->words << ", " << foot.posts.flat_contact.diameter_mm << " mm, relief " << relief.depth_mm);
        const auto device =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "flat"), foot, job->side);
        if (!device.ok()) {
            std::cout << "  refused: " << device.fault().message << "\n";
            CHECK(device.fault().kind == FaultKind::check);
            continue;
        }
        ++made;
        const surface::ShellMesh& shell = device->shelled->mesh;
        const Floor disc = floor_of(shell, -100.0, 100.0);
        const double r = 0.5 * foot.posts.flat_contact.diameter_mm;
        CHECK(disc.area == Approx(std::numbers::pi * r * r).epsilon(0.02));
        CHECK(std::abs(disc.inclination_deg) < 1e-6);
        const auto check = [&](const std::string& id) {
            const auto at = std::find_if(device->checks.begin(), device->checks.end(),
                                         [&](const Check& c) { return c.id == id; });
            REQUIRE(at != device->checks.end());
            return *at;
        };
        // round its edge as high as the heel is round, measured straight from underside to floor
        const surface::Post& post = device->shelled->shell.posts.front();
        double most = 0.0;
        for (std::size_t t = shell.rims_end; t < shell.walls_end; ++t)
            for (const std::int32_t k : shell.mesh.triangles[t])
                most = std::max(most, surface::height_above_floor(post, shell.mesh.points[k]));
        CHECK(check("post.flat_contact").figure.value() == Approx(most).margin(0.01));
        // the lowest place under the relief over the plane the device rests on, from the mesh alone
        const Check rest = check("ground.rest"), clearance = check("ground.clearance");
        CHECK(rest.message.find("It stands on") == 0);
        CHECK((clearance.figure.value() < 0.5) == (clearance.verdict == Verdict::look));
        CHECK(clearance.figure.value() > -1e-6);
        near_ground += clearance.verdict == Verdict::look;
        if (clearance.message.find("\"deep\"") != std::string::npos)
            CHECK((clearance.where->head<2>() - relief.points[0]).norm() < 22.0);
    }
    std::cout << "  " << made << " made, " << near_ground << " look\n";
    CHECK(tests::share_holds(made, count, 0.5));
}
