// Devices compared: what differs is found where it was changed, and nothing else.
#include "engine/compare/device.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/random.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/design/second_foot.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;

namespace {

constexpr std::size_t triangles_of_cast = 30'000;

double worst(const compare::Difference& of, double expected = 0.0) {
    double most = 0.0;
    for (const double mm : of.mm)
        if (std::isfinite(mm)) most = std::max(most, std::abs(mm - expected));
    return most;
}

const compare::Figure* find(const std::vector<compare::Figure>& all, const std::string& key) {
    const auto found =
        std::find_if(all.begin(), all.end(), [&](const compare::Figure& f) { return f.key == key; });
    return found == all.end() ? nullptr : &*found;
}

}  // namespace

TEST_CASE("compare: the mirrored cast to the same order is the same shell and the same cast",
          "[unsanitized]") {
    Progress progress;
    for (int i = tests::cases(20, 1, "mirrored feet compared"); i > 0; --i) {
        auto job = tests::random_job(generator::mix(tests::seed() + 8100 + static_cast<std::uint64_t>(i)),
                                     triangles_of_cast);
        REQUIRE(job.ok());
        INFO(job->words);
        design::FootDesign second = tests::stated_foot(job->unit);
        design::copy_order(job->foot, second);
        TriangleMesh mirrored = job->cast.mesh;
        for (Vec3& p : mirrored.points) p.y() = -p.y();
        mirrored.flip();
        const auto one =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "one"), job->foot, job->side);
        const auto two =
            tests::build_in_memory(tests::cast_in_memory(mirrored, "two"), second, other(job->side));
        REQUIRE(one.ok());
        REQUIRE(two.ok());
        const auto shells = compare::shells(*one, *two, progress);
        REQUIRE(shells.ok());
        for (const compare::Difference* side : {&shells->foot_side, &shells->underside}) {
            CHECK(worst(*side) <= tolerance::mirror_mm);
            CHECK(side->alone_mm2 == 0.0);
            CHECK(side->area_mm2 > 1000.0);
            CHECK(side->peaks.empty());
        }
        const auto casts = compare::casts(*one->received, *two->received, progress);
        REQUIRE(casts.ok());
        CHECK(worst(*casts) <= tolerance::mirror_mm);
        CHECK(casts->alone_mm2 < 1e-3 * casts->area_mm2);  // places where a scan's points have no normal
        for (const compare::Figure& f : compare::figures_that_differ(*two, *one)) {
            INFO(f.key);
            REQUIRE(f.difference());
            CHECK(std::abs(*f.difference()) < 1e-6);
        }
    }
}

TEST_CASE("compare: a wall raised by 0.3 mm is 0.3 mm on the underside and nothing on the foot side") {
    auto job = tests::random_job(generator::mix(tests::seed() + 8200), triangles_of_cast);
    REQUIRE(job.ok());
    INFO(job->words);
    const auto cast = tests::cast_in_memory(job->cast.mesh, "one");
    design::FootDesign foot = tests::stated_foot(job->unit);
    foot.cast = job->foot.cast;
    foot.landmarks = job->foot.landmarks;
    foot.rim.kind = surface::Rim::Kind::square;  // a rounded one bulges with the square of the wall
    const auto before = tests::build_in_memory(cast, foot, job->side);
    foot.wall.base_mm += 0.3;
    const auto after = tests::build_in_memory(cast, foot, job->side);
    if (!before.ok()) FAIL(before.fault().message);
    if (!after.ok()) FAIL(after.fault().message);
    Progress progress;
    const auto shells = compare::shells(*after, *before, progress);
    REQUIRE(shells.ok());
    CHECK(worst(shells->foot_side) <= 1e-9);
    CHECK(shells->foot_side.alone_mm2 == 0.0);
    // both undersides are splines within the fit of their shells
    CHECK(worst(shells->underside, 0.3) <=
          before->shelled->fit_error_mm + after->shelled->fit_error_mm + 0.01);
    CHECK(shells->underside.mean_mm == Approx(0.3).margin(0.005));
    CHECK(shells->underside.alone_mm2 < 0.01 * shells->underside.area_mm2);
    const auto figures = compare::figures_that_differ(*before, *after);
    const compare::Figure* mass = find(figures, "mass");
    REQUIRE(mass != nullptr);
    CHECK(*mass->difference() > 0.0);
    // volume gained: 0.3 mm over the area between the two undersides, to the curvature of the sole and the
    // rim
    const compare::Figure* volume = find(figures, "volume");
    REQUIRE(volume != nullptr);
    CHECK(1000.0 * *volume->difference() == Approx(shells->underside.added_mm3).epsilon(0.05));
    CHECK(find(figures, "arch.delivered") == nullptr);

    // the cast against the foot side: a plain order keeps to it, a filled arch stands off it
    const auto plain = compare::against_cast(*after, progress);
    REQUIRE(plain.ok());
    CHECK(plain->rms_mm < 0.3);
    foot.dress.arch_fill_mm = 3.0;
    const auto filled = tests::build_in_memory(cast, foot, job->side);
    REQUIRE(filled.ok());
    const auto moved = compare::against_cast(*filled, progress);
    REQUIRE(moved.ok());
    // filling the positive's arch lowers the shell there: it keeps off the foot
    CHECK(moved->most_taken_mm == Approx(3.0).margin(0.6));
    REQUIRE_FALSE(moved->peaks.empty());
    CHECK(moved->peaks.front().mm < 0.0);
    CHECK(moved->peaks.front().where.y() > 0.0);  // medial
    const auto lowered = compare::figures_that_differ(*after, *filled);
    REQUIRE(find(lowered, "arch.delivered") != nullptr);
    CHECK(*find(lowered, "arch.delivered")->difference() < -1.0);
}
