// Columns and relative rigidities on built shells: the wall is there, mirrored with the foot, and told.
#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/random.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/plan_border.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using design::WallZone;

namespace {

/// A medial column twice as rigid and a lateral one that scales, on an even base.
void order_columns(design::FootDesign& foot) {
    foot.material = "pp_homopolymer";
    foot.wall = {};
    foot.wall.base_mm = 3.0;
    foot.wall.medial_column = {{WallZone::Kind::rigidity, 3, 1, 2, 12, 0}, true, 0.2, 0.8, 24};
    foot.wall.lateral_column = {{WallZone::Kind::scale, 3, 1.1, 1, 10, 0}, true, 0.3, 0.9, 16};
}

}  // namespace

TEST_CASE("a column's rigidity is in the shell, and a mirrored foot gets the mirrored wall",
          "[wall][unsanitized]") {
    int compared = 0;
    for (int i = 0; compared < 1 && i < 4; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 97'000 + static_cast<std::uint64_t>(i));
        auto job = tests::random_job(seed, 40'000);
        REQUIRE(job.ok());
        order_columns(job->foot);
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
        const design::WallMap &a = *one->shelled->wall, &b = *two->shelled->wall;
        const std::vector<Vec2> line =
            build::trim_in_plan(one->shelled->shell.carpet, one->shelled->shell.trim);
        double low = 1e9, high = -1e9;
        for (const Vec2& p : line) low = std::min(low, p.x()), high = std::max(high, p.x());
        for (int k = 1; k < 40; ++k)
            for (int j = 0; j <= 20; ++j) {
                const double x = low + (high - low) * k / 40;
                const build::PlanBorder border = build::border_at(line, x);
                const double y = border.lateral_y_mm + (border.medial_y_mm - border.lateral_y_mm) * j / 20;
                CHECK(std::abs(a.at(x, y) - b.at(x, y)) <= tolerance::mirror_mm);
            }
        // half way along, 5 mm in from the medial border: every blend is over there
        const double x = 0.5 * (low + high), y = build::border_at(line, x).medial_y_mm - 5;
        CHECK(a.rigidity(x, y) == Approx(2).epsilon(1e-9));
        // and in the shell: some place of the foot side near it carries that wall
        const surface::ShellMesh& mesh = one->shelled->mesh;
        const double wanted = 3 * std::cbrt(2.0);
        double nearest = 1e9;
        for (std::size_t p = 0; p < mesh.foot_side_points; ++p) {
            const Vec3& at = mesh.mesh.points[p];
            if ((at.head<2>() - Vec2(x, y)).norm() > 4) continue;
            for (std::size_t q = 0; q < mesh.underside_points; ++q)
                nearest = std::min(nearest, (mesh.mesh.points[mesh.foot_side_points + q] - at).norm());
        }
        CHECK(nearest >= wanted - 2 * tolerance::wall_mm);
        CHECK(nearest <= wanted + 0.4);
        CHECK(one->shelled->rigidity.over_base(wanted) == Approx(2));
        CHECK(one->shelled->rigidity.walls.greatest_mm == Approx(wanted).margin(0.02));
        CHECK(one->shelled->rigidity.base() == Approx(one->shelled->rigidity.of_1_mm * 27));
    }
    CHECK(compared == 1);
}
