#include "engine/surface/trim_line.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "engine/surface/trim_curve.hpp"
#include "engine/surface/trim_walk.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/surface/feet.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

const Carpet& plain_carpet() {
    static const Carpet carpet = [] {
        TrimRule tall = rule_of(plain_foot());  // room for every rule of these tests
        tall.cup_medial_mm = tall.cup_lateral_mm = tall.cup_posterior_mm = 18.0;
        tall.medial_flange_mm = 25.0;
        tall.lateral_border_mm = 14.0;
        const Specimen s = specimen(plain_foot(), 120'000, 0.0);
        return lay_carpet(s.mesh, {}, tall).value();
    }();
    return carpet;
}

void check_sound(const TrimLine& line, const TrimRule& rule) {
    CHECK(line.curve.signed_area() > 0.0);
    CHECK(Outline(line.curve).self_crossings() == 0);
    CHECK(line.margin_mm >= 4.0);
    CHECK(line.least_radius_mm >= 0.55 * rule.corner_radius_mm);
    for (const TrimStation& s : line.stations) CHECK(s.reached);
}

// Mean distance, outward positive, of one line's places near a station from another line.
double shift_at(const TrimLine& from, const TrimLine& to, double station, bool medial) {
    const TrimStation* nearest = &from.stations.front();
    for (const TrimStation& s : from.stations)
        if (s.medial == medial && (nearest->medial != medial ||
                                   std::abs(s.station - station) < std::abs(nearest->station - station)))
            nearest = &s;
    const Outline outline(to.curve);
    return outline.inside(nearest->uv) ? outline.distance(nearest->uv) : -outline.distance(nearest->uv);
}

}  // namespace

TEST_CASE("The rule's heights meet the numbers asked and are smooth between them") {
    TrimRule rule;
    rule.cup_medial_mm = 16;
    rule.cup_posterior_mm = 13;
    rule.cup_lateral_mm = 11;
    rule.medial_flange_mm = 24;
    rule.lateral_border_mm = 8;
    CHECK(rule_height(rule, 0.0, true) == Approx(13));
    CHECK(rule_height(rule, 0.0, false) == Approx(13));
    CHECK(rule_height(rule, heel_station, true) == Approx(16));
    CHECK(rule_height(rule, heel_station, false) == Approx(11));
    CHECK(rule_height(rule, 0.6, true) == Approx(24));
    CHECK(rule_height(rule, 0.6, false) == Approx(8));
    CHECK(rule_height(rule, 1.0, true) == Approx(rule.distal_height_mm));
    CHECK(rule_height(rule, 1.0, false) == Approx(rule.distal_height_mm));
    for (bool medial : {true, false}) {
        const double h = 1e-5;
        double before = (rule_height(rule, h, medial) - rule_height(rule, 0.0, medial)) / h;
        CHECK(before == Approx(0.0).margin(0.1));  // no kink at the back of the heel
        for (double t = 0.0; t < 1.0 - h; t += 1e-3) {
            const double slope = (rule_height(rule, t + h, medial) - rule_height(rule, t, medial)) / h;
            CHECK(std::abs(slope - before) < 2.5);  // of slopes up to 100 mm a station
            before = slope;
            const double height = rule_height(rule, t, medial);
            CHECK(height <= (medial ? 24.0 : 13.0) + 1e-9);
            CHECK(height >= rule.distal_height_mm - 1e-9);
        }
    }
    CHECK(cup_share(heel_station) == 1.0);
    CHECK(cup_share(0.6) == 0.0);
}

TEST_CASE("The distal edge lies the two distances behind the heads, bowed forward between them") {
    TrimRule rule;
    rule.distal_first_mm = 6;
    rule.distal_fifth_mm = 11;
    rule.distal_bow_mm = 4;
    CHECK(distal_edge_x(rule, rule.first_head.y()) == Approx(rule.first_head.x() - 6));
    CHECK(distal_edge_x(rule, rule.fifth_head.y()) == Approx(rule.fifth_head.x() - 11));
    const double middle = 0.5 * (rule.first_head.y() + rule.fifth_head.y());
    CHECK(distal_edge_x(rule, middle) == Approx(0.5 * (rule.first_head.x() + rule.fifth_head.x()) - 8.5 + 4));
    for (double y = -70; y < 60; y += 0.7)
        CHECK(distal_edge_slope(rule, y) ==
              Approx((distal_edge_x(rule, y + 1e-5) - distal_edge_x(rule, y - 1e-5)) / 2e-5).margin(1e-4));
    CHECK(station_of_x(rule, rule.heel_centre.x(), true) == Approx(heel_station));
    CHECK(station_of_x(rule, rule.first_head.x() - 6, true) == Approx(1.0));
    CHECK(station_of_x(rule, rule.fifth_head.x() - 11, false) == Approx(1.0));
}

TEST_CASE("Free control points are met exactly and die out; twins count once") {
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> offset(-5, 5), station(0, 1);
    const int count = cases(200, 40, "sets of control points");
    for (int k = 0; k < count; ++k) {
        TrimRule rule;
        for (int i = 0; i < 6; ++i) rule.controls.push_back({station(random), i % 2 == 0, offset(random)});
        const TrimShift shift(rule);
        for (const TrimControl& c : rule.controls) {
            bool twin = false;
            for (const TrimControl& other : rule.controls)
                twin = twin || (&other != &c && std::abs((other.medial ? 1 : -1) * other.station -
                                                         (c.medial ? 1 : -1) * c.station) < 0.02);
            if (!twin) CHECK(shift.at(c.station, c.medial) == Approx(c.offset_mm).margin(1e-8));
        }
    }
    TrimRule one;
    one.controls = {{0.5, true, 3.0}, {0.5, true, 3.0}};
    CHECK(TrimShift(one).at(0.5, true) == Approx(3.0));
    CHECK(TrimShift(one).at(0.75, true) == 0.0);
    CHECK(TrimShift(one).at(0.5, false) == 0.0);
}

TEST_CASE("A walk keeps to its plan line and its step") {
    const AnalyticSurface exact = foot_like();
    const SplineSurface s = exact.carpet(50, 30);
    const Vec2 start(0.5 * exact.length_u, 0.5 * exact.length_v);
    const Vec3 p = exact.point(start);
    const PlanLine line = PlanLine::straight(p.head<2>(), Vec2(0.3, 1.0).normalized());
    const Walk path = walk(s, line, start, {p.head<2>(), Vec2(0.3, 1.0).normalized(), 0.5, 150.0, {}});
    REQUIRE(path.points.size() > 40);
    for (std::size_t k = 0; k < path.points.size(); ++k) {
        Vec2 gradient;
        CHECK(std::abs(line.value(path.points[k].p.head<2>(), gradient)) < 1e-5);
        if (k > 0) CHECK((path.points[k].p - path.points[k - 1].p).norm() == Approx(0.5).epsilon(0.03));
    }
    CHECK(path.domain_ended);
}

TEST_CASE("Rounded corners have the radius asked, and a closed curve follows its polygon") {
    std::vector<Vec2> row, distal;  // an open U with straight arms, 60 wide
    for (double x = 100; x > 30; x -= 0.5) row.emplace_back(x, 60);
    for (double a = 0; a <= std::acos(-1.0); a += 0.02)
        row.emplace_back(30 - 30 * std::sin(a), 30 + 30 * std::cos(a));
    for (double x = 30; x < 100; x += 0.5) row.emplace_back(x, 0);
    for (double y = -10; y < 70; y += 0.5) distal.emplace_back(85 + 0.1 * y, y);
    for (double radius : {5.0, 10.0, 20.0}) {
        const auto polygon = round_corners(row, distal, radius, radius);
        REQUIRE(polygon);
        const PeriodicCurve curve = closed_curve(*polygon, 120);
        CHECK(curve.signed_area() > 0);
        const Outline outline(curve);
        for (const Vec2& q : *polygon) CHECK(outline.distance(q) < 0.06);
        const double least = least_radius(curve, [](const Vec2&) { return true; }).radius;
        CHECK(least > 0.75 * radius);
        CHECK(least < 1.05 * radius);
    }
    CHECK_FALSE(round_corners(row, distal, 40.0, 40.0));  // no room
}

TEST_CASE("Cup depths are hit within 0.1 mm, for any cups a laboratory asks for") {
    std::mt19937_64 random(seed());
    std::uniform_real_distribution<double> cup(8.0, 18.0);
    const int count = cases(60, 8, "cups");
    for (int k = 0; k < count; ++k) {
        TrimRule rule = rule_of(plain_foot());
        rule.cup_medial_mm = cup(random);
        rule.cup_lateral_mm = cup(random);
        rule.cup_posterior_mm = 0.5 * (rule.cup_medial_mm + rule.cup_lateral_mm) + 0.2 * (cup(random) - 13.0);
        const auto line = find_trim(plain_carpet().surface, rule);
        REQUIRE(line);
        check_sound(*line, rule);
        INFO(rule.cup_medial_mm << " " << rule.cup_posterior_mm << " " << rule.cup_lateral_mm);
        CHECK(line->cup_medial_mm == Approx(rule.cup_medial_mm).margin(0.1));
        CHECK(line->cup_lateral_mm == Approx(rule.cup_lateral_mm).margin(0.1));
        CHECK(line->cup_posterior_mm == Approx(rule.cup_posterior_mm).margin(0.1));
        CHECK(line->datum_z == Approx(plain_foot().truth().landmarks.at("heel_lowest").z()).margin(0.01));
    }
    TrimRule above = rule_of(plain_foot());
    above.cup_datum_z = -2.0;  // a skive took 2 mm away: cups count from before
    const auto line = find_trim(plain_carpet().surface, above);
    REQUIRE(line);
    CHECK(line->cup_medial_mm == Approx(above.cup_medial_mm).margin(0.1));
    CHECK(line->datum_z == -2.0);
}

TEST_CASE("The distal edge is where the rule says, with corners of the radius asked") {
    TrimRule rule = rule_of(plain_foot());
    rule.distal_first_mm = 6;
    rule.distal_fifth_mm = 9;
    for (double radius : {6.0, 10.0, 14.0}) {
        rule.corner_radius_mm = radius;
        const auto line = find_trim(plain_carpet().surface, rule);
        REQUIRE(line);
        check_sound(*line, rule);
        int on_edge = 0;
        double furthest = -1e300;
        for (double s = 0; s < line->curve.period(); s += 0.1) {
            const Vec3 p = plain_carpet().surface.point(line->curve.point(s));
            const double beyond = p.x() - distal_edge_x(rule, p.y());
            furthest = std::max(furthest, beyond);
            on_edge += std::abs(beyond) < 0.1;
        }
        CHECK(furthest < 0.3);
        CHECK(on_edge > 60);
        const double corners = least_radius(line->curve, [&](const Vec2& uv) {
                                   const Vec3 p = plain_carpet().surface.point(uv);
                                   return p.x() > distal_edge_x(rule, p.y()) - 25.0;
                               }).radius;
        CHECK(corners >= 0.95 * radius);
        CHECK(line->notes.empty());
    }
}

TEST_CASE("Control points and the width allowance move the line by what they say") {
    const TrimRule rule = rule_of(plain_foot());
    const auto plain = find_trim(plain_carpet().surface, rule);
    REQUIRE(plain);
    for (bool medial : {true, false})
        for (double offset : {-2.5, 2.5}) {
            TrimRule pulled = rule;
            pulled.controls = {{0.5, medial, offset}};
            const auto line = find_trim(plain_carpet().surface, pulled);
            REQUIRE(line);
            CHECK(shift_at(*plain, *line, 0.5, medial) == Approx(offset).margin(0.6));
            // a sharp pull may ask for a smoother line, which shifts it elsewhere by a fifth of a millimetre
            CHECK(shift_at(*plain, *line, 0.5, !medial) == Approx(0.0).margin(0.3));
            CHECK(shift_at(*plain, *line, 0.1, medial) == Approx(0.0).margin(0.3));
        }
    TrimRule wide = rule;
    wide.width_allowance_mm = 2.0;
    const auto line = find_trim(plain_carpet().surface, wide);
    REQUIRE(line);
    CHECK(shift_at(*plain, *line, 0.88, true) == Approx(2.0).margin(0.6));
    CHECK(shift_at(*plain, *line, 0.88, false) == Approx(2.0).margin(0.6));
    CHECK(shift_at(*plain, *line, 0.4, true) == Approx(0.0).margin(0.15));
}

TEST_CASE("A rule that cannot be followed is refused with a place") {
    const SplineSurface& s = plain_carpet().surface;
    TrimRule rule = rule_of(plain_foot());
    rule.distal_first_mm = rule.distal_fifth_mm = -60.0;  // past the toes
    auto refused = find_trim(s, rule);
    REQUIRE_FALSE(refused);
    CHECK(refused.fault().stage == "trim");
    CHECK(refused.fault().where);
    rule = rule_of(plain_foot());
    std::swap(rule.first_head, rule.fifth_head);
    CHECK_FALSE(find_trim(s, rule));
    rule = rule_of(plain_foot());
    rule.heel_centre += Vec3(-90, 0, 0);
    CHECK_FALSE(find_trim(s, rule));
    // a landmark at the very end of the surface, where no step can be walked (once a crash)
    for (int k = 0; k <= 40; ++k) {
        rule = rule_of(plain_foot());
        rule.heel_centre = s.point(Vec2(0.5 * k / 40.0, 0.5 * s.v.length));
        const auto at_the_end = find_trim(s, rule);
        CHECK((at_the_end || !at_the_end.fault().message.empty()));
        rule = rule_of(plain_foot());
        const double ahead = s.point(Vec2(s.u.length - 0.05 * k, 0.5 * s.v.length)).x();
        rule.distal_first_mm = rule.first_head.x() - ahead;
        rule.distal_fifth_mm = rule.fifth_head.x() - ahead;
        const auto past = find_trim(s, rule);
        CHECK((past || !past.fault().message.empty()));
    }
    rule = rule_of(plain_foot());
    rule.cup_medial_mm = rule.cup_lateral_mm = rule.cup_posterior_mm = 60.0;  // higher than the carpet
    const auto high = find_trim(s, rule);
    CHECK((!high || !high->notes.empty()));
}
