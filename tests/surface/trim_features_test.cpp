// First-ray cut-out, lateral flange, scalloped lateral edge.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/surface/trim_curve.hpp"
#include "engine/surface/trim_line.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/surface/feet.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

const Carpet& carpet_with_flange_room() {
    static const Carpet carpet = [] {
        TrimRule tall = rule_of(plain_foot());
        tall.lateral_border_mm = 22.0;  // room for a lateral flange
        return lay_carpet(specimen(plain_foot(), 120'000, 0.0).mesh, {}, tall).value();
    }();
    return carpet;
}

}  // namespace

TEST_CASE("The side of a first-ray cut-out is two arcs and a straight piece, C1, of the length asked") {
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> length(1.0, 60.0), radius(3.0, 20.0), width(10.0, 45.0);
    const int count = cases(500, 100, "sides of a cut-out");
    for (int k = 0; k < count; ++k) {
        TrimRule rule;
        rule.first_ray_cutout = {length(random), width(random), radius(random)};
        const FirstRayCutout& asked = rule.first_ray_cutout;
        const auto side = cutout_side(rule);
        REQUIRE(side);
        CHECK(0.5 * (side->from_y + side->to_y) == Approx(rule.first_head.y() - *asked.width_mm));
        CHECK(side->back(side->from_y - 1.0) == 0.0);
        CHECK(side->back(side->to_y + 1.0) == Approx(asked.length_mm));
        CHECK(side->back(0.5 * (side->from_y + side->to_y)) == Approx(0.5 * asked.length_mm));
        const double breadth = side->to_y - side->from_y, h = 1e-6;
        double sharpest = 0.0, before = 0.0;
        for (double t = 0.002; t < 0.998; t += 0.002) {
            const double y = side->from_y + t * breadth;
            const double slope = (side->back(y + h) - side->back(y - h)) / (2.0 * h);
            CHECK(side->slope(y) == Approx(slope).margin(1e-4 * (1.0 + slope)));
            CHECK(side->back(y) >= before);
            before = side->back(y);
            const double bend = (side->slope(y + h) - side->slope(y - h)) / (2.0 * h);
            sharpest = std::max(sharpest, std::abs(bend) / std::pow(1.0 + slope * slope, 1.5));
        }
        CHECK(1.0 / sharpest == Approx(asked.radius_mm).epsilon(0.01));
        CHECK(std::atan(side->slope(0.5 * (side->from_y + side->to_y))) <=
              72.0 * std::numbers::pi / 180.0 + 1e-9);
        // the edge and its slope carry it
        TrimRule plain = rule;
        plain.first_ray_cutout = {};
        const double y = rule.first_head.y();
        if (side->to_y < y)
            CHECK(distal_edge_x(plain, y) - distal_edge_x(rule, y) == Approx(asked.length_mm));
    }
    CHECK_FALSE(cutout_side(TrimRule{}));
}

TEST_CASE("A first-ray cut-out comes out on a foot as long as asked, with its corners round") {
    for (const double length : {10.0, 20.0, 30.0})
        for (const double radius : {4.0, 6.0}) {
            INFO(length << " mm, radius " << radius);
            TrimRule rule = rule_of(plain_foot());
            rule.first_ray_cutout = {length, std::nullopt, radius};
            const auto line = find_trim(carpet_with_flange_room().surface, rule);
            REQUIRE(line);
            // where round corners leave no straight edge between side and border, they cut back further
            CHECK(line->cutout_mm > length - 0.5);
            CHECK(line->cutout_mm < length + (radius < 5.0 ? 1.5 : 4.0));
            CHECK(line->cutout_radius_mm >= 0.75 * radius);
            CHECK(line->corner_radius_mm >= 0.95 * rule.corner_radius_mm);  // the lateral corner
            CHECK(line->notes.empty());
            // nothing of the shell lies in what is cut out
            const auto side = cutout_side(rule);
            for (double s = 0; s < line->curve.period(); s += 0.1) {
                const Vec3 p = carpet_with_flange_room().surface.point(line->curve.point(s));
                CHECK(p.x() - distal_edge_x(rule, p.y()) <
                      2.0 * std::hypot(1.0, distal_edge_slope(rule, p.y())));
                if (p.y() > side->to_y)
                    CHECK(p.x() < rule.first_head.x() - rule.distal_first_mm + 0.5 - length + 3.0);
            }
        }
    TrimRule rule = rule_of(plain_foot());
    rule.first_ray_cutout = {20.0, 44.0, 6.0};  // past the middle of the edge
    const auto refused = find_trim(carpet_with_flange_room().surface, rule);
    REQUIRE_FALSE(refused);
    CHECK(refused.fault().message.find("cut-out") != std::string::npos);
    CHECK(refused.fault().where);
}

TEST_CASE("A lateral flange raises the lateral border between its stations and nowhere else") {
    TrimRule rule = rule_of(plain_foot());
    const TrimRule plain = rule;
    rule.lateral_flange = {18.0, 0.45, 0.65};
    for (double t = 0.0; t <= 1.0; t += 0.005) {
        CHECK(rule_height(rule, t, true) == rule_height(plain, t, true));
        if (t <= 0.30 || t >= 0.80)
            CHECK(rule_height(rule, t, false) == Approx(rule_height(plain, t, false)));
        if (t >= 0.45 && t <= 0.65) CHECK(rule_height(rule, t, false) == Approx(18.0));
        const double h = 1e-6;
        CHECK(std::abs(rule_height(rule, t + h, false) - rule_height(rule, t, false)) < 300.0 * h);
    }
    const auto line = find_trim(carpet_with_flange_room().surface, rule),
               bare = find_trim(carpet_with_flange_room().surface, plain);
    REQUIRE(line);
    REQUIRE(bare);
    CHECK(line->lateral_flange_mm == Approx(18.0).margin(1.0));
    CHECK(bare->lateral_flange_mm == 0.0);
    CHECK(line->cup_lateral_mm == Approx(bare->cup_lateral_mm).margin(0.2));
    CHECK(line->arch_medial_mm == Approx(bare->arch_medial_mm).margin(0.2));
}

TEST_CASE("A scallop bites into the lateral edge by its depth at its middle, and ends where it says") {
    const TrimRule plain = rule_of(plain_foot());
    const auto bare = find_trim(carpet_with_flange_room().surface, plain);
    REQUIRE(bare);
    const Outline before(bare->curve);
    for (const double depth : {4.0, 8.0})
        for (const double station : {0.5, 0.65}) {
            INFO(depth << " mm at " << station);
            TrimRule rule = plain;
            rule.lateral_scallop = {depth, 50.0, station};
            const TrimShift shift(rule);
            CHECK(shift.at(station, false) == Approx(-depth));
            CHECK(shift.at(station, true) == 0.0);
            const auto line = find_trim(carpet_with_flange_room().surface, rule);
            REQUIRE(line);
            CHECK(line->scallop_mm == Approx(depth).margin(0.15 * depth));
            const double x_fifth = distal_edge_x(rule, rule.fifth_head.y());
            const double middle = rule.heel_centre.x() + (station - heel_station) / (1.0 - heel_station) *
                                                             (x_fifth - rule.heel_centre.x());
            for (double s = 0; s < line->curve.period(); s += 0.2) {
                const Vec2 uv = line->curve.point(s);
                const Vec3 p = carpet_with_flange_room().surface.point(uv);
                if (p.y() > 0.0 || std::abs(p.x() - middle) > 33.0)
                    CHECK(before.distance(uv) < 0.45);
                else if (before.distance(uv) > 0.3)
                    CHECK(before.inside(uv));
            }
        }
}
