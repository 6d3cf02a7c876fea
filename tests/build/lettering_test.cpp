// Letters on the underside of devices of generated feet, as an order asks for them.
#include "engine/build/lettering_stage.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/random.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/ground_check.hpp"
#include "engine/build/part_stage.hpp"
#include "engine/foot/frame.hpp"
#include "engine/lettering/layout.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/soundness.hpp"
#include "exporters/float_mesh.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;

namespace {

Outcome<build::Lettered> letters_on(const build::Device& device, const design::Lettering& asked,
                                    const std::vector<std::string>& words, Side side) {
    Progress progress;
    const build::Shelled& shelled = *device.shelled;
    return build::letter_stage(build::with_stuck_on(shelled), shelled.mesh,
                               build::ground_under(*device.surfaced, shelled), shelled.material, asked, words,
                               side, progress);
}

const Check* find(const build::Lettered& letters, const std::string& id) {
    for (const Check& check : letters.checks)
        if (check.id == id) return &check;
    return nullptr;
}

Outcome<build::Device> plain_device(bool posted) {
    auto job = tests::random_job(generator::mix(tests::seed() + 81'000), 40'000);
    REQUIRE(job.ok());
    job->foot.wall = {};
    job->foot.features.clear();
    job->foot.material = "pp_homopolymer";
    job->foot.posts.rearfoot.on = posted;
    return tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "random"), job->foot, job->side);
}

}  // namespace

TEST_CASE("random texts on generated shells are sound, deep as asked, and read from below", "[lettering]") {
    const int count = tests::cases(60, 4, "lettered devices");
    int made = 0, no_room = 0;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 80'000 + static_cast<std::uint64_t>(i));
        const auto job = tests::random_job(seed, 60'000);
        REQUIRE(job.ok());
        INFO(job->words);
        auto device =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "random"), job->foot, job->side);
        if (!device.ok()) continue;  // random_jobs_test looks after these
        generator::Random random(seed, 11);
        design::Lettering asked;
        asked.on = true;
        asked.height_mm = random.between(4.5, 6.0);
        asked.depth_mm = random.between(0.2, 0.45);
        asked.turn_deg = i % 2 == 0 ? 0.0 : random.between(-90.0, 90.0);
        if (i % 3 == 0) asked.style = design::Lettering::Style::raised;
        std::string text;
        for (int n = 3 + i % 6; n > 0; --n)
            text += lettering::characters[static_cast<std::size_t>(random.next() % 38)];
        const auto letters = letters_on(*device, asked, {text, "L A"}, job->side);
        if (!letters.ok()) FAIL(letters.fault().message);
        INFO("\"" << text << "\"");
        const Check* place = find(*letters, "lettering.place");
        REQUIRE(place != nullptr);
        if (place->verdict == Verdict::stop) {
            ++no_room;
            CHECK_FALSE(letters->mesh.has_value());
            CHECK(place->message.find("Nowhere") != std::string::npos);
            continue;
        }
        ++made;
        REQUIRE(letters->mesh.has_value());
        for (const char* id : {"lettering.depth", "lettering.mesh"}) {
            const Check* check = find(*letters, id);
            REQUIRE(check != nullptr);
            INFO(check->message);
            CHECK(check->verdict == Verdict::pass);
        }
        CHECK(letters->clearance_mm >= tolerance::lettering_rim_mm);
        // as a file holds it: still closed and not crossing, and the letters at their depth
        const auto floats = exporters::as_floats(letters->mesh->mesh);
        if (!floats.ok()) FAIL(floats.fault().message);
        const Bvh plain(device->shelled->mesh.mesh);
        double deepest = 0.0;
        for (const Vec3& p : floats->points) deepest = std::max(deepest, plain.nearest(p, 5.0)->distance);
        CHECK(deepest == Approx(asked.depth_mm).margin(tolerance::lettering_depth_mm));
        // breadth of a stroke between its edge and its floor, times depth: more than that of a crease
        CHECK(letters->volume_mm3 > 0.3 * asked.depth_mm * asked.stroke_mm * asked.height_mm);
        // foot side, rims, posts: as they were
        CHECK(letters->mesh->foot_side_end == device->shelled->mesh.foot_side_end);
        CHECK(letters->mesh->mesh.triangles.size() - letters->mesh->underside_end ==
              device->shelled->mesh.mesh.triangles.size() - device->shelled->mesh.underside_end);
        // the same again gives the same
        const auto again = letters_on(*device, asked, {text, "L A"}, job->side);
        REQUIRE(again.ok());
        CHECK(again->mesh->mesh.points == letters->mesh->mesh.points);
    }
    INFO(made << " made, " << no_room << " without room");
    CHECK(tests::share_holds(made, count, 0.5));
}

TEST_CASE("the letters of a left and a right device stand in mirrored places and read alike",
          "[lettering][unsanitized]") {
    const auto device = plain_device(false);
    REQUIRE(device.ok());
    design::Lettering asked;
    asked.on = true;
    asked.height_mm = 8;
    const auto right = letters_on(*device, asked, {"F"}, Side::right),
               left = letters_on(*device, asked, {"F"}, Side::left);
    REQUIRE(right.ok());
    REQUIRE(left.ok());
    REQUIRE(right->mesh.has_value());
    REQUIRE(left->mesh.has_value());
    CHECK((right->place - left->place).norm() < 1e-9);  // design frame: medial is +y of both
    const Bvh plain(device->shelled->mesh.mesh);
    for (const Side side : {Side::right, Side::left}) {
        const build::Lettered& letters = side == Side::right ? *right : *left;
        const TriangleMesh out = foot::to_export(letters.mesh->mesh, side);
        const double y = side == Side::right ? letters.place.y() : -letters.place.y();
        // a reader below has +x at their right and -y up: the stem left, the long bar at the top
        double stem = -1e9, right_end = -1e9, bar = 0.0;
        for (std::size_t k = 0; k < out.points.size(); ++k) {
            if (plain.nearest(letters.mesh->mesh.points[k], 5.0)->distance < 0.3) continue;
            const double across = out.points[k].x() - letters.place.x(), up = y - out.points[k].y();
            if (up < -2.0) stem = std::max(stem, across);
            if (across > right_end) {
                right_end = across;
                bar = up;
            }
        }
        INFO(word(side));
        CHECK(stem < -0.5);
        CHECK(stem > -5.0);
        CHECK(bar > 2.0);
    }
}

TEST_CASE("letters without room, on a post or through too thin a wall are stops with what to do",
          "[lettering]") {
    const auto device = plain_device(true);
    REQUIRE(device.ok());
    design::Lettering asked;
    asked.on = true;
    const auto stops = [&](const std::vector<std::string>& words, const char* id) {
        const auto letters = letters_on(*device, asked, words, Side::right);
        REQUIRE(letters.ok());
        const Check* check = find(*letters, id);
        REQUIRE(check != nullptr);
        CHECK(check->verdict == Verdict::stop);
        CHECK_FALSE(check->signable);
        CHECK(check->message.find("lettering.") != std::string::npos);
        return check->message;
    };
    asked.forward_mm = 0, asked.medial_mm = 0;  // under the heel: the post
    CHECK(stops({"AB"}, "lettering.place").find("post") != std::string::npos);
    asked.forward_mm = 400;
    CHECK(stops({"AB"}, "lettering.place").find("no underside") != std::string::npos);
    asked.forward_mm = 80, asked.medial_mm = 0, asked.turn_deg = 90;  // broader than the shell
    CHECK(stops({"ABCDEFGHIJKLMNOPQRSTUVWX"}, "lettering.place").find("trim line") != std::string::npos);
    asked = {};
    asked.on = true;
    asked.height_mm = 15;
    CHECK(stops({"ABCDEFGHIJKLMN", "OPQRSTUVW"}, "lettering.place").find("Nowhere") != std::string::npos);
    asked = {};
    asked.on = true;
    design::Material thin = device->shelled->material;
    Progress progress;
    const build::Shelled& shelled = *device->shelled;
    for (const double needed : {2.0, 3.0}) {
        thin.wall_min_mm.value = needed;  // 3.2 mm of wall less 0.4 are 2.8
        const auto letters = build::letter_stage(shelled.shell, shelled.mesh, std::nullopt, thin, asked,
                                                 {"AB"}, Side::right, progress);
        REQUIRE(letters.ok());
        const Check* wall = find(*letters, "lettering.wall");
        REQUIRE(wall != nullptr);
        INFO(wall->message);
        CHECK(*wall->figure == Approx(2.8).margin(0.1));
        CHECK((wall->verdict == Verdict::stop) == (needed > 2.9));
    }
}

TEST_CASE("no letter stands under a post that is stuck on", "[lettering][unsanitized]") {
    auto job = tests::random_job(generator::mix(tests::seed() + 81'000), 40'000);
    REQUIRE(job.ok());
    job->foot.wall = {};
    job->foot.features.clear();
    job->foot.material = "pp_homopolymer";
    job->foot.posts.rearfoot.on = true;
    job->foot.posts.rearfoot.length_mm = 90.0;
    job->foot.posts.rearfoot.part.material = "eva_firm";
    const auto device =
        tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "random"), job->foot, job->side);
    if (!device.ok()) FAIL(device.fault().message);
    design::Lettering asked;
    asked.on = true;
    asked.forward_mm = 10.0, asked.medial_mm = 0.0;
    auto letters = letters_on(*device, asked, {"AB"}, Side::right);
    REQUIRE(letters.ok());
    CHECK_FALSE(letters->mesh);
    const Check* placed = find(*letters, "lettering.place");
    REQUIRE(placed != nullptr);
    CHECK(placed->verdict == Verdict::stop);
    CHECK(placed->message.find("post") != std::string::npos);
    // and where the program finds the place, clear of it
    asked.forward_mm = asked.medial_mm = std::nullopt;
    letters = letters_on(*device, asked, {"AB"}, Side::right);
    REQUIRE(letters.ok());
    if (letters->mesh) {
        const build::Part& post = device->shelled->parts.front();
        surface::PeriodicCurve curve = post.body.posts.front().curve;
        for (Vec2& p : curve.control) p += post.origin;
        const surface::TrimRegion under{surface::Outline(curve)};
        Vec2 uv(0.5 * device->shelled->shell.underside.u.length,
                0.5 * device->shelled->shell.underside.v.length);
        device->shelled->shell.underside.project(letters->place, uv, 40);
        CHECK_FALSE(under.inside(uv));
    }
}

TEST_CASE("raised letters that would carry the device are a look, engraved ones there are not",
          "[lettering]") {
    const auto device = plain_device(false);
    REQUIRE(device.ok());
    // over the lowest place of the shell
    const TriangleMesh& mesh = device->shelled->mesh.mesh;
    const Vec3 lowest = *std::min_element(mesh.points.begin(), mesh.points.end(),
                                          [](const Vec3& a, const Vec3& b) { return a.z() < b.z(); });
    design::Lettering asked;
    asked.on = true;
    asked.forward_mm = lowest.x();
    asked.medial_mm = lowest.y();
    for (const auto style : {design::Lettering::Style::raised, design::Lettering::Style::engraved}) {
        asked.style = style;
        const auto letters = letters_on(*device, asked, {"H"}, Side::right);
        REQUIRE(letters.ok());
        INFO(letters->checks.front().message);
        REQUIRE(letters->mesh.has_value());
        const bool raised = style == design::Lettering::Style::raised;
        const Check* stands = find(*letters, "lettering.stands");
        REQUIRE((stands != nullptr) == raised);
        if (stands == nullptr) continue;
        CHECK(stands->verdict == Verdict::look);
        CHECK(*stands->figure == Approx(asked.depth_mm).margin(0.1));
    }
}

TEST_CASE("a text too long for one line stands in two, in the place asked", "[lettering]") {
    const auto device = plain_device(false);
    REQUIRE(device.ok());
    design::Lettering asked;
    asked.on = true;
    const auto one = letters_on(*device, asked, {"AB", "R A"}, Side::right);
    REQUIRE(one.ok());
    CHECK(one->lines == std::vector<std::string>{"AB R A"});
    asked.turn_deg = 90;  // across the shell there is less room
    const auto two = letters_on(*device, asked, {"ABCDEFGH-12", "R A 77 / W300"}, Side::right);
    REQUIRE(two.ok());
    INFO(two->checks.front().message);
    CHECK(two->lines == std::vector<std::string>{"ABCDEFGH-12", "R A 77 / W300"});
    CHECK(two->mesh.has_value());
}

TEST_CASE("what is written: code in capitals, side, revision, text", "[lettering]") {
    design::Job job;
    job.case_code = "lark-2207";
    job.left.emplace();
    job.right.emplace();
    job.revisions.push_back({"B", "", ""});
    for (const Side side : {Side::left, Side::right}) job.foot(side)->lettering.text = "W3";
    CHECK(build::letter_words(job, Side::left) == std::vector<std::string>{"LARK-2207", "L B W3"});
    CHECK(build::letter_words(job, Side::right) == std::vector<std::string>{"LARK-2207", "R B W3"});
    job.left->lettering.case_code = job.left->lettering.side = job.left->lettering.revision = false;
    CHECK(build::letter_words(job, Side::left) == std::vector<std::string>{"W3"});
}
