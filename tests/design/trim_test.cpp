// The trim of a job becomes the rule of the surface, number for number.
#include "engine/design/trim.hpp"

#include <catch2/catch.hpp>

using namespace archwright;
using namespace archwright::design;
using foot::LandmarkId;

TEST_CASE("trim: every handle reaches the rule", "[trim]") {
    foot::Landmarks landmarks;
    landmarks[LandmarkId::heel_centre].position = Vec3(0, 0, 0);
    landmarks[LandmarkId::first_head_border].position = Vec3(180, 40, 12);
    landmarks[LandmarkId::first_head_plantar].position = Vec3(178, 25, 0);
    landmarks[LandmarkId::fifth_head_plantar].position = Vec3(155, -35, 0);
    Trim trim;
    trim.distal_first_mm = 1;
    trim.distal_fifth_mm = 2;
    trim.distal_bow_mm = 3;
    trim.distal_height_mm = 4;
    trim.medial_flange_mm = 5;
    trim.lateral_border_mm = 6;
    trim.cup_medial_mm = 7;
    trim.cup_posterior_mm = 8;
    trim.cup_lateral_mm = 9;
    trim.width_allowance_mm = -1;
    trim.corner_radius_mm = 11;
    trim.controls = {{0.4, false, 2.5}};
    const auto rule = trim_rule(trim, landmarks);
    REQUIRE(rule.ok());
    CHECK(rule->first_head == Vec3(180, 40, 12));  // the border point where there is one
    CHECK(rule->fifth_head == Vec3(155, -35, 0));  // else the plantar one
    CHECK(rule->distal_first_mm == 1);
    CHECK(rule->distal_fifth_mm == 2);
    CHECK(rule->distal_bow_mm == 3);
    CHECK(rule->distal_height_mm == 4);
    CHECK(rule->medial_flange_mm == 5);
    CHECK(rule->lateral_border_mm == 6);
    CHECK(rule->cup_medial_mm == 7);
    CHECK(rule->cup_posterior_mm == 8);
    CHECK(rule->cup_lateral_mm == 9);
    CHECK(rule->width_allowance_mm == -1);
    CHECK(rule->corner_radius_mm == 11);
    REQUIRE(rule->controls.size() == 1);
    CHECK(rule->controls[0].station == 0.4);
    CHECK_FALSE(rule->controls[0].medial);
    CHECK(rule->controls[0].offset_mm == 2.5);
}

TEST_CASE("trim: a missing landmark is asked for by name", "[trim]") {
    foot::Landmarks landmarks;
    landmarks[LandmarkId::heel_centre].position = Vec3(0, 0, 0);
    landmarks[LandmarkId::first_head_border].position = Vec3(180, 40, 12);
    const auto rule = trim_rule(Trim{}, landmarks);
    REQUIRE_FALSE(rule.ok());
    CHECK(rule.fault().kind == FaultKind::ask);
    CHECK_THAT(rule.fault().message, Catch::Contains("fifth_head_border"));
}
