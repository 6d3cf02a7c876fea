// The same order on the mirrored cast is the mirrored shell.
#include "engine/design/second_foot.hpp"

#include <catch2/catch.hpp>

#include "assets/generator/random.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/frame.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;

TEST_CASE("the second foot to the same order: a mirrored cast gives the mirrored shell", "[unsanitized]") {
    constexpr std::size_t triangles = 30'000;
    const int count = tests::cases(20, 1, "second feet built");
    for (int i = 0; i < count; ++i) {
        auto job = tests::random_job(generator::mix(tests::seed() + 7000 + static_cast<std::uint64_t>(i)),
                                     triangles);
        REQUIRE(job.ok());
        INFO(job->words);
        design::FootDesign& first = job->foot;
        // drawn on one side of the foot, so that a plan that was not copied as it is would show
        first.wall.regions = {{{design::WallZone::Kind::wall, first.wall.base_mm + 0.4, 1, 1, 20, 0},
                               "arch",
                               {{50, 5}, {110, 5}, {110, 28}, {50, 28}}}};
        first.dress.arch_fill_mm = 2;
        first.dress.medial_skive.depth_mm = 2;
        first.dress.keep = {{{"fascia", {{60, -20}, {100, -20}, {80, -8}}}, 8}};
        design::FootDesign second = tests::stated_foot(job->unit);
        const auto drawn = design::copy_order(first, second);
        CHECK(drawn.size() == 2);

        TriangleMesh mirrored = job->cast.mesh;
        for (Vec3& p : mirrored.points) p.y() = -p.y();
        mirrored.flip();
        const auto one =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "one"), first, job->side);
        const auto two =
            tests::build_in_memory(tests::cast_in_memory(mirrored, "two"), second, other(job->side));
        if (!one.ok()) FAIL(one.fault().message);
        if (!two.ok()) FAIL(two.fault().message);
        const TriangleMesh out = foot::to_export(one->shelled->mesh.mesh, one->side);
        TriangleMesh back = foot::to_export(two->shelled->mesh.mesh, two->side);
        for (Vec3& p : back.points) p.y() = -p.y();
        back.flip();
        REQUIRE(out.points.size() == back.points.size());
        CHECK(out.triangles == back.triangles);
        double worst = 0;
        for (std::size_t k = 0; k < out.points.size(); ++k)
            worst = std::max(worst, (out.points[k] - back.points[k]).norm());
        CHECK(worst <= tolerance::mirror_mm);
    }
}
