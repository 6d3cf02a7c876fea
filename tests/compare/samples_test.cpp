// Places kept of a device: nothing moves where nothing changed, and what changed is found by its amount.
#include "engine/compare/samples.hpp"

#include <catch2/catch.hpp>

#include "tests/support/build_in_memory.hpp"

using namespace archwright;

TEST_CASE("samples of a device tell how far another lies from it", "[unsanitized]") {
    const auto job = tests::random_job(31, 12'000);
    REQUIRE(job.ok());
    design::FootDesign foot = job->foot;
    foot.wall = {};
    foot.features.clear();
    foot.posts = {};
    foot.material = "pp_homopolymer";
    const auto build = [&](double base_mm) {
        foot.wall.base_mm = base_mm;
        auto device =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "cast.ply"), foot, job->side);
        if (!device.ok()) FAIL(device.fault().message);
        return std::move(*device);
    };
    const build::Device then = build(3.2), again = build(3.2), now = build(3.25);
    const compare::Samples samples = compare::samples_of(then);
    CHECK(samples.foot_side.size() == compare::most_samples);
    CHECK(samples.underside.size() == compare::most_samples);
    CHECK(samples.rest.size() == compare::most_samples);
    const compare::Moved same = compare::moved_since(samples, again);
    CHECK(same.most_mm < 1e-9);
    CHECK(same.lost == 0);
    const compare::Moved moved = compare::moved_since(samples, now);
    CHECK(moved.most_mm > 0.045);
    CHECK(moved.most_mm < 0.1);  // on the rim a thicker wall also lies lower
    compare::Samples feet = samples;
    feet.underside.clear();
    feet.rest.clear();
    CHECK(compare::moved_since(feet, now).most_mm < 1e-6);
}
