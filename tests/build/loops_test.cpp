// Apertures and posts on generated feet: every gate of the build holds with them too.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "assets/generator/random.hpp"
#include "engine/foot/frame.hpp"
#include "engine/solid/solid.hpp"
#include "engine/surface/plan_loop.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;

namespace {

std::vector<Vec2> oval(const Vec2& centre, const Vec2& half, int points) {
    std::vector<Vec2> plan;
    for (int k = 0; k < points; ++k) {
        const double a = 2 * std::numbers::pi * k / points;
        // a square oval: posts are more like rectangles than circles
        const double c = std::cos(a), s = std::sin(a), r = std::pow(c * c * c * c + s * s * s * s, -0.25);
        plan.push_back(centre + (r * Vec2(c, s)).cwiseProduct(half));
    }
    return plan;
}

}  // namespace

TEST_CASE("every gate holds for shells with an aperture and a rearfoot post on generated feet") {
    const int count = tests::cases(60, 3, "shells with loops on generated feet");
    int built = 0, refused = 0;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 9000 + static_cast<std::uint64_t>(i));
        const auto job = tests::random_job(seed, 60'000);
        REQUIRE(job.ok());
        INFO(job->words);
        generator::Random random(seed, 7);
        const auto plain =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "random"), job->foot, job->side);
        if (!plain.ok()) continue;  // a cast too low for the trim asked: random_jobs_test looks after these
        build::Shelled shelled = *plain->shelled;
        surface::Shell& shell = shelled.shell;
        const Box3 box = shelled.mesh.mesh.box();
        const double length = box.size().x(), width = box.size().y();

        const double angle = random.between(-5, 5) * std::numbers::pi / 180;
        const Vec2 half(random.between(14, 20), 0.22 * width);
        const auto loop = surface::plan_loop(shell.underside, oval({5, 0}, half, 32));
        REQUIRE(loop.ok());
        surface::Post post{"rearfoot", *loop, random.between(0, 6), Vec3::Zero(),
                           Vec3(0, std::sin(angle), -std::cos(angle))};
        post.floor_point = Vec3(5, 0, box.low.z() - 0.5 - std::abs(std::tan(angle)) * half.y());
        shell.posts.push_back(post);
        const Vec2 hole{box.low.x() + random.between(0.55, 0.8) * length, random.between(-6, 6)};
        const double r = random.between(5, 9);
        const auto round = surface::plan_loop(shell.foot_side, oval(hole, {r, r}, 20));
        REQUIRE(round.ok());
        shell.apertures.push_back({"met", *round, job->foot.rim});

        auto mesh = surface::mesh_shell(shell);
        if (!mesh.ok() && mesh.fault().kind == FaultKind::check && mesh.fault().where) {
            UNSCOPED_INFO(mesh.fault().message);
            ++refused;
            continue;
        }
        if (!mesh.ok()) FAIL(mesh.fault().message);
        shelled.mesh = std::move(*mesh);
        Progress progress;
        const auto proved = build::prove_stage(*plain->surfaced, shelled, progress);
        if (!proved.ok()) FAIL(proved.fault().message);
        ++built;
        for (const Check& check : proved->checks) {
            INFO(check.id << ": " << check.message);
            CHECK(check.verdict != Verdict::stop);
        }
        CHECK(proved->solid_report.faces == plain->proved->solid_report.faces * 2 - 2 + 5);
        // the walls elsewhere are those of the plain shell, measured anew
        CHECK(proved->walls.least_wall_mm >= plain->proved->walls.least_wall_mm - 1e-9);
        // and the floor lies lowest, at its angle
        CHECK(shelled.mesh.mesh.box().low.z() < box.low.z() - 0.4);
        const auto& m = shelled.mesh;
        for (std::size_t k = m.walls_end; k < m.mesh.triangles.size(); k += 7)
            CHECK(m.mesh.normal2(k).normalized().dot(post.floor_normal) > 1 - 1e-9);
        // mirrored on the way out
        const auto left = solid::mirrored(proved->solid);
        REQUIRE(left.ok());
        CHECK(solid::examine(*left).volume_mm3 == Approx(proved->solid_report.volume_mm3).epsilon(1e-9));
    }
    INFO(built << " built, " << refused << " refused");
    CHECK(tests::share_holds(built, count, 0.8));
}
