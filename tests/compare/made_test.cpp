// Made devices: what was made otherwise than designed is found, and by how much.
#include "engine/compare/made.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/foot.hpp"
#include "engine/base/units.hpp"
#include "tests/registration/feet.hpp"
#include "tests/support/build_in_memory.hpp"

using namespace archwright;
using namespace archwright::compare;

namespace {

/// A shell with a heel post of 4 degrees and a forefoot post, of a generated foot.
const build::Device& designed(Side side) {
    const auto build_one = [](Side of) {
        TriangleMesh mesh = tests::meshed_foot(24'000);
        if (of == Side::left) {
            for (Vec3& p : mesh.points) p.y() = -p.y();
            mesh.flip();
        }
        design::FootDesign foot = tests::stated_foot(LengthUnit::millimetre);
        foot.posts.rearfoot.on = true;
        foot.posts.rearfoot.angle_deg = 4.0;
        foot.posts.forefoot.on = true;
        auto device = tests::build_in_memory(tests::cast_in_memory(mesh, "cast"), foot, of);
        REQUIRE(device.ok());
        return std::move(*device);
    };
    static const build::Device right = build_one(Side::right), left = build_one(Side::left);
    return side == Side::left ? left : right;
}

/// The device as a scanner sees it: its export, somewhere.
TriangleMesh scanned(const build::Device& device, const TriangleMesh& mesh, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    return tests::moved(foot::to_export(mesh, device.side), tests::random_motion(random, 30.0, 50.0));
}

Made verified(const build::Device& device, TriangleMesh scan) {
    Progress progress;
    auto made = verify_made(device, std::move(scan), {}, progress);
    REQUIRE(made.ok());
    return std::move(*made);
}

const Check* check_of(const Made& made, const std::string& id) {
    for (const Check& check : made.checks)
        if (check.id == id) return &check;
    return nullptr;
}

const MadePost& post_of(const Made& made, const std::string& name) {
    for (const MadePost& post : made.posts)
        if (post.name == name) return post;
    FAIL("no " << name);
    return made.posts.front();
}

}  // namespace

TEST_CASE("made: a device made as designed passes, left and right, whichever way it was scanned",
          "[unsanitized]") {
    for (const Side side : {Side::right, Side::left}) {
        const build::Device& device = designed(side);
        TriangleMesh scan = scanned(device, device.made().mesh, tests::seed());
        if (side == Side::left) scan.flip();  // inside out: a closed scan tells
        const Made made = verified(device, std::move(scan));
        INFO(made.registration.words);
        CHECK(made.verdict() == Verdict::pass);
        for (const Face face : {Face::foot_side, Face::underside, Face::rim, Face::post_floors}) {
            CHECK(made.of(face).within_mm < 0.01);
            CHECK(made.of(face).seen > 0.99);
        }
        CHECK(made.wall.places > 500);
        CHECK(std::abs(made.wall.mean_mm) < 0.01);
        CHECK(made.wall.sd_mm < 0.02);
        REQUIRE(made.posts.size() == 2);
        // standing on its face the device is inverted by the angle asked
        CHECK(post_of(made, "heel post").designed_deg == Approx(4.0).margin(0.05));
        CHECK(post_of(made, "heel post").made_deg == Approx(4.0).margin(0.05));
        REQUIRE(check_of(made, "made.wall") != nullptr);
        CHECK(check_of(made, "made.post.heel_post") != nullptr);
    }
}

TEST_CASE("made: a wall 0.4 mm too thick, a post ground by 1.2 degrees: figures and verdicts") {
    const build::Device& device = designed(Side::right);
    const surface::ShellMesh& shell = device.made();
    TriangleMesh thick = shell.mesh;
    const std::vector<Vec3> normals = thick.point_normals();
    for (std::size_t i = shell.foot_side_points; i < shell.foot_side_points + shell.underside_points; ++i)
        thick.points[i] += 0.4 * normals[i];
    const Made first = verified(device, scanned(device, thick, tests::seed()));
    REQUIRE(first.registration.ok());
    CHECK(first.wall.mean_mm == Approx(0.4).margin(0.03));
    REQUIRE(check_of(first, "made.wall") != nullptr);
    CHECK(check_of(first, "made.wall")->verdict == Verdict::look);
    CHECK(first.wall.thicker_mm == Approx(0.4).margin(0.05));

    TriangleMesh ground = shell.mesh;
    std::vector<char> floor(ground.points.size(), 0);
    Vec3 middle = Vec3::Zero();
    double count = 0.0;
    for (std::size_t i = shell.walls_end; i < ground.triangles.size(); ++i)
        for (const auto corner : ground.triangles[i])
            if (ground.points[static_cast<std::size_t>(corner)].x() < 60.0)
                floor[static_cast<std::size_t>(corner)] = 1;
    for (std::size_t i = 0; i < ground.points.size(); ++i)
        if (floor[i]) {
            middle += ground.points[i];
            count += 1.0;
        }
    middle /= count;
    // a face that falls to medial leaves more there: inverted by 1.2 degrees more
    const Mat3 tilt = Eigen::AngleAxisd(radians(-1.2), Vec3::UnitX()).toRotationMatrix();
    for (std::size_t i = 0; i < ground.points.size(); ++i)
        if (floor[i]) ground.points[i] = middle + tilt * (ground.points[i] - middle);
    const Made second = verified(device, scanned(device, ground, tests::seed() + 1));
    REQUIRE(second.registration.ok());
    const MadePost& post = post_of(second, "heel post");
    CHECK(post.made_deg - post.designed_deg == Approx(1.2).margin(0.08));
    CHECK(std::abs(post.pitch_off_deg) < 0.08);
    const Check* check = check_of(second, "made.post.heel_post");
    REQUIRE(check != nullptr);
    CHECK(check->verdict == Verdict::stop);
    CHECK(check->message.find("5.2 degrees inverted") != std::string::npos);
}

TEST_CASE("made: a scan of one face is judged by it, and the other is said not to be measured") {
    const build::Device& device = designed(Side::right);
    TriangleMesh face = device.made().mesh;
    face.triangles.resize(device.made().foot_side_end);
    const Made made = verified(device, scanned(device, face, tests::seed()));
    INFO(made.registration.words);
    REQUIRE(made.registration.ok());
    CHECK(made.of(Face::foot_side).within_mm < 0.02);
    REQUIRE(check_of(made, "made.underside") != nullptr);
    CHECK(check_of(made, "made.underside")->verdict == Verdict::look);
    CHECK(check_of(made, "made.underside")->message.find("Not measured") == 0);
    REQUIRE(check_of(made, "made.wall") != nullptr);
    CHECK(check_of(made, "made.wall")->verdict == Verdict::look);
}

TEST_CASE("made: the other foot's device, another unit and another device stop with their reason") {
    const build::Device& device = designed(Side::right);
    const TriangleMesh right = device.made().mesh;
    const auto trouble = [&](TriangleMesh scan) {
        const Made made = verified(device, std::move(scan));
        REQUIRE(check_of(made, "made.laid") != nullptr);
        CHECK(check_of(made, "made.laid")->verdict == Verdict::stop);
        CHECK(check_of(made, "made.laid")->message == made.registration.words);
        return made.registration.trouble;
    };
    TriangleMesh other = right;
    for (Vec3& p : other.points) p.y() = -p.y();
    other.flip();
    CHECK(trouble(scanned(device, other, tests::seed())) == registration::Trouble::wrong_side);
    TriangleMesh inches = scanned(device, right, tests::seed());
    for (Vec3& p : inches.points) p /= 25.4;
    CHECK(trouble(std::move(inches)) == registration::Trouble::wrong_unit);
    TriangleMesh longer = right;
    for (Vec3& p : longer.points) p = Vec3(1.12 * p.x(), 0.9 * p.y(), 1.5 * p.z());
    const registration::Trouble another = trouble(scanned(device, longer, tests::seed()));
    CHECK((another == registration::Trouble::not_the_same ||
           another == registration::Trouble::too_little_overlap));
}
