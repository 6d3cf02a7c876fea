// Reliefs so close that the underside folds between them.
#include <catch2/catch.hpp>

#include "assets/generator/demo.hpp"
#include "tests/support/build_in_memory.hpp"

using namespace archwright;
using feature::Feature;

TEST_CASE("close reliefs: the wall is measured where neither start of its search leads", "[wall]") {
    // a deep groove, a turned pad and an aperture between them on the demonstration's cast: rays met the
    // underside nearer than the search had found it, which stopped a sound shell
    const auto cast = generator::demo_cast();
    REQUIRE(cast);
    design::FootDesign foot = tests::stated_foot(LengthUnit::inch);
    Feature groove;
    groove.name = "groove";
    groove.kind = Feature::Kind::groove;
    groove.points = {Vec2(49.9, 5.5), Vec2(89.9, 5.5)};
    groove.width_mm = 23.6;
    groove.depth_mm = 2;
    groove.stations = {{0.14, 23.6, 5.3}};
    Feature pad;
    pad.name = "pad";
    pad.kind = Feature::Kind::pad;
    pad.points = {Vec2(85.5, -10.8)};
    pad.length_mm = 36.8;
    pad.turn_deg = 20;
    Feature aperture;
    aperture.name = "aperture";
    aperture.kind = Feature::Kind::aperture;
    aperture.points = {Vec2(76, 3)};
    foot.features = {groove, pad, aperture};
    foot.wall.stations = {{0.39, 3.2}};
    foot.wall.medial_column.on = true;
    foot.wall.medial_column.width_mm = 14.8;
    foot.wall.regions = {{}};
    foot.wall.regions[0].name = "painted";
    foot.wall.regions[0].outline = {{100.2, -37.8}, {106.7, -35.5}, {110.1, -29.6}, {108.9, -22.8},
                                    {103.6, -18.4}, {96.7, -17.6},  {75.8, -17},    {34, -15.3},
                                    {20, -14.8},    {13.6, -17.2},  {10.2, -23.1},  {11.4, -29.8},
                                    {16.7, -34.2},  {30.5, -35.3},  {86.3, -37.4}};
    foot.wall.regions[0].wall_mm = 4;
    foot.wall.regions[0].blend_mm = 15;
    foot.trim.controls = {{0.5, true, -3.7}};
    const auto built = tests::build_in_memory(tests::cast_in_memory(cast->mesh, "demo"), foot, Side::left);
    if (!built) FAIL(built.fault().message);
    CHECK(built->proved->walls.rays_disagree == 0);
    for (const Check& check : built->checks)
        if (check.id == "wall.foot_side") CHECK(check.verdict == Verdict::pass);
}
