// Balance on generated feet, whose angles are known.
#include "engine/foot/balance.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/foot.hpp"
#include "engine/base/units.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using foot::Balance;
using foot::LandmarkId;

namespace {

/// A generated foot as it stands in its own design frame, landmarks as they truly are.
foot::Standing standing_of(const generator::Foot& made) {
    foot::Standing standing;
    const auto mesh = made.mesh(2.0);
    REQUIRE(mesh.ok());
    standing.mesh = *mesh;
    standing.foot_length_mm = made.truth().length_mm;
    for (const auto& [key, place] : made.truth().landmarks)
        if (const auto id = foot::landmark_id(key)) {
            foot::Landmark landmark;
            landmark.position = place;
            landmark.source = foot::Landmark::Source::set;
            landmark.sd_mm = 1.0;
            standing.landmarks[*id] = landmark;
        }
    standing.heel_lowest = made.truth().landmarks.at("heel_lowest");
    return standing;
}

foot::Balanced balanced(const foot::Standing& standing, const Balance& asked) {
    auto result = foot::balance(standing, asked);
    if (!result.ok()) FAIL(result.fault().message);
    return std::move(*result);
}

}  // namespace

TEST_CASE(
    "The heel stands as prescribed, the forefoot where its angle to the heel puts it, the rest remains") {
    const int count = tests::cases(300, 12, "feet balanced by the heel bisection");
    for (int c = 0; c < count; ++c) {
        std::mt19937_64 random(tests::seed() + static_cast<std::uint64_t>(c));
        const auto made = generator::Foot::random(random());
        REQUIRE(made);
        const foot::Standing standing = standing_of(*made);
        Balance asked;
        asked.method = Balance::Method::heel_bisection;
        asked.heel_deg = tests::uniform(random, -8, 8);
        asked.forefoot = Balance::Forefoot::platform;
        asked.intrinsic_deg = tests::uniform(random, -6, 6);
        const auto done = balanced(standing, asked);
        INFO("foot " << c << " FFRF " << made->truth().forefoot_to_rearfoot_deg);
        CHECK(done.after.heel_bisection->value == Approx(asked.heel_deg).margin(1e-9));
        const double forefoot = made->truth().forefoot_to_rearfoot_deg + asked.heel_deg;
        CHECK(std::abs(done.after.forefoot->value - forefoot) <= 0.05);
        CHECK(std::abs(done.after.metatarsal_plane->value - forefoot) <= 0.05);
        CHECK(std::abs(*done.platform_deg - (forefoot - asked.intrinsic_deg)) <= 0.05);
        const double extrinsic = tests::uniform(random, -3, 3);
        CHECK(std::abs(foot::remainder_deg(done.after.forefoot->value, asked.intrinsic_deg, extrinsic) -
                       (forefoot - asked.intrinsic_deg - extrinsic)) <= 0.05);
        // the matrix is the whole movement but for the shift, and the cast lies on its plane
        double lowest = 1e300, off = 0.0;
        const Vec3 shift = done.standing.mesh.points[0] - done.rotation * standing.mesh.points[0];
        for (std::size_t i = 0; i < standing.mesh.points.size(); ++i) {
            const Vec3& p = done.standing.mesh.points[i];
            off = std::max(off, (done.rotation * standing.mesh.points[i] + shift - p).norm());
            if (p.x() < 0.7 * standing.foot_length_mm) lowest = std::min(lowest, p.z());
        }
        CHECK(off < 1e-9);
        CHECK(std::abs(lowest) < 1e-9);
        CHECK((done.standing.frame.to_design(standing.frame.to_scan(standing.mesh.points[5])) -
               done.standing.mesh.points[5])
                  .norm() < 1e-9);
    }
}

TEST_CASE("The figures of the worked example: F -5, I -3, E -2, nothing remains") {
    CHECK(foot::remainder_deg(-5.0, -3.0, -2.0) == 0.0);  // docs/decisions.md
}

TEST_CASE("A malleolar line stands as stated, from either second point; without a value a person is asked") {
    const auto made = generator::Foot::random(tests::seed());
    REQUIRE(made);
    const foot::Standing standing = standing_of(*made);
    for (const auto second : {Balance::Second::medial_malleolus, Balance::Second::navicular}) {
        Balance asked;
        asked.method = Balance::Method::malleolar;
        asked.malleolar_second = second;
        const auto unstated = foot::balance(standing, asked);
        REQUIRE_FALSE(unstated.ok());
        CHECK(unstated.fault().kind == FaultKind::ask);
        asked.malleolar_deg = 7.5;
        const auto done = balanced(standing, asked);
        CHECK(done.after.malleolar->value == Approx(7.5).margin(1e-9));
        CHECK(done.after.malleolar->uncertainty > 0.5);  // 1.96 x sqrt(2) mm over less than 100 mm
    }
    foot::Standing lateral_only = standing;
    lateral_only.landmarks.erase(LandmarkId::medial_malleolus);
    Balance asked;
    asked.method = Balance::Method::malleolar;
    asked.malleolar_deg = 5.0;
    const auto missing = foot::balance(lateral_only, asked);
    REQUIRE_FALSE(missing.ok());
    CHECK(missing.fault().message.find("medial_malleolus") != std::string::npos);
    asked.malleolar_second = Balance::Second::fifth_base;
    CHECK(foot::balance(lateral_only, asked).ok());
}

TEST_CASE("A heel height lifts the heel's lowest point above the heads' mean by as much") {
    const auto made = generator::Foot::random(tests::seed() + 1);
    REQUIRE(made);
    const foot::Standing standing = standing_of(*made);
    Balance asked;
    asked.heel_height_mm = 12.0;
    const auto done = balanced(standing, asked);
    const auto z = [&](LandmarkId id) { return done.standing.landmarks.at(id).position.z(); };
    const double heads = 0.5 * (z(LandmarkId::first_head_plantar) + z(LandmarkId::fifth_head_plantar));
    CHECK(done.standing.heel_lowest.z() - heads == Approx(12.0).margin(0.02));
    CHECK(done.pitch_deg > 3.0);
    asked.heel_height_mm = 1000.0;
    CHECK_FALSE(foot::balance(standing, asked).ok());
}

TEST_CASE("An inverted pour tells its expected effect, five to one, and is no post") {
    const auto made = generator::Foot::random(tests::seed() + 2);
    REQUIRE(made);
    Balance asked;
    asked.method = Balance::Method::inverted_pour;
    CHECK_FALSE(foot::balance(standing_of(*made), asked).ok());  // no default
    asked.pour_deg = 25.0;
    const auto done = balanced(standing_of(*made), asked);
    CHECK(done.after.heel_bisection->value == Approx(25.0).margin(1e-9));
    CHECK(*done.heel_effect_deg == Approx(5.0));
    CHECK(done.words.front().find("no post") != std::string::npos);
}

TEST_CASE("Too much or contrary intrinsic correction is told; a cast that rocks is announced") {
    generator::FootShape shape;
    shape.forefoot_to_rearfoot_deg = 8.0;
    const auto made = generator::Foot::make(shape);
    REQUIRE(made);
    Balance asked;
    asked.method = Balance::Method::heel_bisection;
    asked.forefoot = Balance::Forefoot::platform;
    const auto verdict = [&](double intrinsic) {
        asked.intrinsic_deg = intrinsic;
        for (const Check& check : balanced(standing_of(*made), asked).checks)
            if (check.id == "balance.platform") return check.verdict;
        FAIL("no check of the platform");
        return Verdict::stop;
    };
    CHECK(verdict(4.0) == Verdict::pass);
    CHECK(verdict(8.0) == Verdict::pass);
    CHECK(verdict(16.0) == Verdict::look);
    CHECK(verdict(-4.0) == Verdict::look);

    // a foot with one low spot in the middle of the lateral border turns over it
    foot::Standing rocking = standing_of(*made);
    for (Vec3& p : rocking.mesh.points)
        if ((p.head<2>() - Vec2(70.0, -18.0)).norm() < 10.0 && p.z() < 30.0) p.z() -= 15.0;
    for (const Check& check : balanced(rocking, {}).checks)
        if (check.id == "balance.rest") {
            CHECK(check.verdict == Verdict::look);
            CHECK(check.message.find("rocks") != std::string::npos);
        }
}
