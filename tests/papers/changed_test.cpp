// What changed between two built devices, point by point of the mesh it is drawn on.
#include "exporters/comparing/changed_told.hpp"

#include <catch2/catch.hpp>

#include "engine/build/ground_check.hpp"
#include "engine/build/lettering_stage.hpp"
#include "engine/build/part_stage.hpp"
#include "tests/support/build_in_memory.hpp"

using namespace archwright;
using namespace archwright::exporters;

namespace {

/// A lettered device whose wall goes evenly from 3.2 mm at the heel to this at the distal edge.
build::Device lettered(const tests::RandomJob& job, design::FootDesign foot, double distal_mm) {
    foot.wall = {};
    foot.wall.base_mm = 3.2;
    foot.wall.stations = {{0.0, 3.2}, {1.0, distal_mm}};
    auto device = tests::build_in_memory(tests::cast_in_memory(job.cast.mesh, "cast.ply"), foot, job.side);
    if (!device.ok()) FAIL(device.fault().message);
    Progress progress;
    const build::Shelled& shelled = *device->shelled;
    design::Lettering asked;
    asked.on = true;
    auto letters = build::letter_stage(build::with_stuck_on(shelled), shelled.mesh,
                                       build::ground_under(*device->surfaced, shelled), shelled.material,
                                       asked, {"WREN", "A"}, job.side, progress);
    if (!letters.ok()) FAIL(letters.fault().message);
    REQUIRE(letters->mesh.has_value());
    device->lettered = std::make_shared<const build::Lettered>(std::move(*letters));
    return std::move(*device);
}

}  // namespace

TEST_CASE("what changed is told at the points of the mesh it is drawn on, letters and all") {
    // Specimen: the figures were of the lettered mesh and drawn on the one without letters: streaks.
    const auto job = tests::random_job(21, 12'000);
    REQUIRE(job.ok());
    design::FootDesign foot = job->foot;
    foot.features.clear();
    foot.material = "pp_homopolymer";
    foot.posts = {};
    const build::Device then = lettered(*job, foot, 3.2), now = lettered(*job, foot, 4.2);
    Progress progress;
    const auto apart = comparing::built_apart(now, foot, then, foot, progress);
    REQUIRE(apart.ok());
    const surface::ShellMesh& mesh = now.made();
    REQUIRE(apart->underside_mm.size() == mesh.mesh.points.size());
    std::size_t told = 0;
    double most = 0.0, spread = 0.0;
    for (std::size_t k = mesh.foot_side_end; k < mesh.underside_end; ++k) {
        double low = 1e300, high = -1e300;
        for (const auto corner : mesh.mesh.triangles[k]) {
            const double mm = apart->underside_mm[static_cast<std::size_t>(corner)];
            low = std::min(low, std::isfinite(mm) ? mm : -1e300);
            high = std::max(high, std::isfinite(mm) ? mm : 1e300);
        }
        if (!(low > -1e299 && high < 1e299)) continue;
        ++told;
        most = std::max(most, high);
        spread = std::max(spread, high - low);
    }
    CHECK(told > 9 * (mesh.underside_end - mesh.foot_side_end) / 10);
    CHECK(most > 0.7);     // 1 mm at the distal edge
    CHECK(spread < 0.15);  // across a triangle: the wall changes by 1 mm over the whole length
}
