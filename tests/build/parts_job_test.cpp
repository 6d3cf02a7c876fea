// Parts of their own as a job orders them, on generated feet.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>

#include "assets/generator/random.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/order_check.hpp"
#include "engine/build/part_stage.hpp"
#include "engine/foot/frame.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using feature::Feature;

namespace {

// A plug under the heel or the midfoot, a pad, dome or bar in front of it, posts now and then.
std::string order_parts(generator::Random& random, design::FootDesign& foot) {
    foot.balance.method = foot::Balance::Method::heel_bisection;
    foot.balance.forefoot = foot::Balance::Forefoot::platform;
    Feature plug;
    plug.name = "plug";
    plug.points = {Vec2{random.between(0.0, 40.0), random.between(-8.0, 8.0)}};
    plug.width_mm = random.between(10.0, 20.0);
    plug.length_mm = random.between(10.0, 26.0);
    plug.turn_deg = random.between(-60.0, 60.0);
    plug.depth_mm = random.between(1.5, 3.0);
    // steeper flanks are for the wall's own gates
    plug.flank_mm = random.between(std::max(4.0, 2.0 * plug.depth_mm), 9.0);
    plug.underside = random.uniform() < 0.5 ? Feature::Underside::follows : Feature::Underside::stays;
    plug.part = {"eva_soft", random.between(0.1, 0.6), random.uniform() < 0.5 ? 0.0 : 1.0,
                 random.uniform() < 0.5 ? 0.0 : 0.1};
    Feature pad;
    pad.name = "pad";
    const Feature::Kind kinds[] = {Feature::Kind::pad, Feature::Kind::metatarsal_dome,
                                   Feature::Kind::metatarsal_bar};
    pad.kind = kinds[random.next() % 3];
    if (pad.kind == Feature::Kind::pad)
        pad.points = {Vec2{random.between(75.0, 95.0), random.between(-15.0, 10.0)}};
    pad.behind_mm = random.between(8.0, 20.0);
    pad.height_mm = random.between(1.0, 4.0);
    pad.length_mm = random.between(14.0, 30.0);
    pad.width_mm = random.between(16.0, 36.0);
    pad.flank_mm = random.between(4.0, 8.0);
    pad.part = {"eva_medium", 0.3, 0.0, random.uniform() < 0.5 ? 0.0 : 0.2};
    foot.features = {plug, pad};
    std::string words = "; plug " + rounded(plug.depth_mm, 1) + ", clearance " +
                        rounded(plug.part.clearance_mm, 2) + ", pad " + rounded(pad.height_mm, 1);
    if (random.uniform() < 0.6) {
        feature::RearfootPost& rear = foot.posts.rearfoot;
        rear.on = true;
        rear.angle_deg = random.between(-3.0, 3.0);
        rear.height_mm = random.between(1.0, 4.0);
        rear.width_mm = 34.0;
        rear.flare_deg = random.between(-6.0, 6.0);
        rear.part = {"eva_firm", random.uniform() < 0.5 ? 0.0 : 0.2};
        words += ", rearfoot post";
    }
    if (random.uniform() < 0.3) {
        foot.posts.forefoot.on = true;
        foot.posts.forefoot.length_mm = 14.0;
        foot.posts.forefoot.height_mm = 1.0;
        foot.posts.forefoot.part = {"eva_firm", 0.0};
        words += ", forefoot post";
    }
    return words;
}

const Check* find(const std::vector<Check>& checks, const std::string& id) {
    for (const Check& check : checks)
        if (check.id == id) return &check;
    return nullptr;
}

}  // namespace

TEST_CASE(
    "parts of their own are closed bodies apart from the shell, which is as if stuck-on ones were not") {
    const int count = tests::cases(60, 6, "devices with parts of their own");
    int made = 0;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 90'000 + static_cast<std::uint64_t>(i));
        generator::Random random(seed, 5);
        auto job = tests::random_job(seed, 40'000);
        REQUIRE(job.ok());
        design::FootDesign& foot = job->foot;
        job->words += order_parts(random, foot);
        INFO(job->words);
        const auto cast = tests::cast_in_memory(job->cast.mesh, "parts");
        const auto device = tests::build_in_memory(cast, foot, job->side);
        if (!device.ok()) {  // refused with its place, never wrong
            INFO(device.fault().message);
            std::cout << "  refused: " << device.fault().message << "\n";
            CHECK(device.fault().kind == FaultKind::check);
            CHECK((device.fault().stage == "features" || device.fault().stage == "loops" ||
                   device.fault().stage == "posts" || device.fault().where));
            continue;
        }
        ++made;
        CHECK(tests::unsound(*device) == "");
        const auto& parts = device->shelled->parts;
        const auto& proofs = device->proved->parts;
        REQUIRE(parts.size() == proofs.size());
        REQUIRE(parts.size() == 2U + (foot.posts.rearfoot.on ? 1U : 0U) + (foot.posts.forefoot.on ? 1U : 0U));
        for (std::size_t k = 0; k < parts.size(); ++k) {
            INFO(parts[k].name);
            CHECK(proofs[k].soundness.sound());
            CHECK(proofs[k].soundness.components == 1);
            CHECK(proofs[k].mass_g ==
                  Approx(proofs[k].soundness.volume / 1000.0 * parts[k].material.density_g_cm3.value));
            INFO(proofs[k].solid_report.fault);
            CHECK(proofs[k].solid);
            if (proofs[k].solid)
                CHECK(proofs[k].solid_report.volume_mm3 == Approx(proofs[k].soundness.volume).epsilon(0.01));
            CHECK(proofs[k].clearance_mm.has_value() == (parts[k].kind == build::Part::Kind::plug));
            if (proofs[k].clearance_mm)
                CHECK(*proofs[k].clearance_mm ==
                      Approx(foot.features[0].part.clearance_mm).margin(tolerance::part_clearance_mm));
            if (parts[k].kind != build::Part::Kind::post) CHECK(proofs[k].greatest_mm < 7.0);
            CHECK(proofs[k].least_mm > 0.1);
        }
        const Check* fit = find(device->checks, "parts.fit");
        REQUIRE(fit != nullptr);
        CHECK(fit->verdict == Verdict::pass);
        // the same device without its stuck-on parts and with an empty seat has the same shell
        if (i % 6 == 0) {
            design::FootDesign bare = foot;
            bare.posts = {};
            bare.features.resize(1);
            bare.features[0].part = {};
            const auto without = tests::build_in_memory(cast, bare, job->side);
            if (!without.ok()) FAIL(without.fault().message);
            CHECK(without->shelled->mesh.mesh.triangles == device->shelled->mesh.mesh.triangles);
            CHECK(without->shelled->mesh.mesh.points == device->shelled->mesh.mesh.points);
            CHECK(without->shelled->parts.empty());
            CHECK(find(without->checks, "parts.fit") == nullptr);
        }
    }
    CHECK(tests::share_holds(made, count, 0.5));
}

TEST_CASE("a mirrored foot gets the mirrored parts", "[unsanitized]") {
    int compared = 0;
    for (int i = 0; compared < 1 && i < 4; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 91'000 + static_cast<std::uint64_t>(i));
        generator::Random random(seed, 5);
        auto job = tests::random_job(seed, 40'000);
        REQUIRE(job.ok());
        job->words += order_parts(random, job->foot);
        INFO(job->words);
        TriangleMesh mirrored = job->cast.mesh;
        for (Vec3& p : mirrored.points) p.y() = -p.y();
        mirrored.flip();
        const auto one =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "one"), job->foot, job->side);
        const auto two =
            tests::build_in_memory(tests::cast_in_memory(mirrored, "two"), job->foot, other(job->side));
        REQUIRE(one.ok() == two.ok());
        if (!one.ok()) continue;
        ++compared;
        REQUIRE(one->shelled->parts.size() == two->shelled->parts.size());
        for (std::size_t k = 0; k < one->shelled->parts.size(); ++k) {
            const TriangleMesh out = foot::to_export(one->shelled->parts[k].mesh.mesh, one->side);
            TriangleMesh back = foot::to_export(two->shelled->parts[k].mesh.mesh, two->side);
            for (Vec3& p : back.points) p.y() = -p.y();
            back.flip();
            REQUIRE(out.points.size() == back.points.size());
            CHECK(out.triangles == back.triangles);
            double worst = 0.0;
            for (std::size_t p = 0; p < out.points.size(); ++p)
                worst = std::max(worst, (out.points[p] - back.points[p]).norm());
            CHECK(worst <= tolerance::mirror_mm);
        }
    }
    CHECK(compared == 1);
}

TEST_CASE("bodies that cut into one another are a stop that nobody may sign") {
    auto job = tests::random_job(generator::mix(tests::seed() + 92'000), 40'000);
    REQUIRE(job.ok());
    Feature pad;
    pad.name = "pad";
    pad.kind = Feature::Kind::pad;
    pad.points = {Vec2(60, -5)};
    pad.part.material = "eva_soft";
    job->foot.features = {pad};
    INFO(job->words);
    const auto device =
        tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "cut"), job->foot, job->side);
    if (!device.ok()) FAIL(device.fault().message);
    CHECK(tests::unsound(*device) == "");
    for (const double sunk : {0.02, 0.3}) {
        build::Shelled shelled = *device->shelled;
        for (Vec3& p : shelled.parts[0].mesh.mesh.points) p.z() -= sunk;
        const auto proofs = build::prove_parts(shelled);
        const auto checks = build::check_parts(shelled, proofs);
        const Check* fit = find(checks, "parts.fit");
        REQUIRE(fit != nullptr);
        INFO(fit->message);
        if (sunk < 0.1) {  // touching: less than two chords
            CHECK(fit->verdict == Verdict::pass);
        } else {
            CHECK(fit->verdict == Verdict::stop);
            CHECK_FALSE(fit->signable);
            CHECK(fit->message.find("into the shell") != std::string::npos);
            CHECK(proofs[0].deepest_mm == Approx(sunk).margin(0.1));
        }
    }
}

TEST_CASE("a plug too shallow for its clearance is a stop that says so") {
    auto job = tests::random_job(generator::mix(tests::seed() + 94'000), 40'000);
    REQUIRE(job.ok());
    Feature plug;
    plug.name = "plug";
    plug.points = {Vec2(30, 0)};
    plug.depth_mm = 1.0;
    plug.part = {"eva_soft", 0.6, 0.0, 0.0};
    job->foot.features = {plug};
    INFO(job->words);
    const auto device =
        tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "shallow"), job->foot, job->side);
    if (!device.ok()) FAIL(device.fault().message);
    const Check* fit = find(device->checks, "parts.fit");
    REQUIRE(fit != nullptr);
    INFO(fit->message);
    CHECK(fit->verdict == Verdict::stop);
    CHECK(fit->message.find("too shallow") != std::string::npos);
}

TEST_CASE("an unknown material, an aperture with a plug and two parts of one name are refused",
          "[unsanitized]") {
    auto job = tests::random_job(generator::mix(tests::seed() + 93'000), 40'000);
    REQUIRE(job.ok());
    const auto cast = tests::cast_in_memory(job->cast.mesh, "refused");
    const auto refused = [&](const std::vector<Feature>& features, const std::string& words) {
        job->foot.features = features;
        const auto device = tests::build_in_memory(cast, job->foot, job->side);
        REQUIRE_FALSE(device.ok());
        INFO(device.fault().message);
        CHECK(device.fault().message.find(words) != std::string::npos);
    };
    Feature pad;
    pad.name = "pad";
    pad.kind = Feature::Kind::pad;
    pad.points = {Vec2(60, -5)};
    pad.part.material = "eva_sof";
    refused({pad}, "eva_soft");
    Feature hole = pad;
    hole.kind = Feature::Kind::aperture;
    hole.part.material = "eva_soft";
    refused({hole}, "cannot hold a part of its own");
    pad.part.material = "eva_soft";
    pad.name = "Rearfoot-Post";
    job->foot.posts.rearfoot.on = true;
    job->foot.posts.rearfoot.part.material = "eva_firm";
    refused({pad}, "rename one");
}

TEST_CASE("a plug or an edge under a foot without feeling stops the order until it is signed") {
    design::Job job;
    job.case_code = "TEST";
    job.right.emplace();
    Feature plug;
    plug.name = "heel";
    plug.part.material = "eva_soft";
    job.right->features = {plug};
    CHECK(find(build::check_order(job, Side::right, {}), "order.insensate_parts") == nullptr);
    job.order.insensate_foot = true;
    const auto checks = build::check_order(job, Side::right, {});
    const Check* stop = find(checks, "order.insensate_parts");
    REQUIRE(stop != nullptr);
    CHECK(stop->verdict == Verdict::stop);
    CHECK(stop->signable);
    CHECK(stop->message.find("\"heel\"") != std::string::npos);
    job.right->features[0].on = false;
    CHECK(find(build::check_order(job, Side::right, {}), "order.insensate_parts") == nullptr);
}
