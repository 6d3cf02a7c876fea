// The insole's own pose, and the outline made of three sizes.
#include "engine/shoe/insole.hpp"

#include <Eigen/Geometry>

#include "assets/generator/random.hpp"
#include "tests/shoe/drawings.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::tests;
using Catch::Contains;

namespace {

shoe::Insole posed(const shoe::Outline& drawing, Side side) {
    auto insole = shoe::Insole::posed(drawing, side, "drawing");
    if (!insole) FAIL(insole.fault().message);
    return std::move(*insole);
}

// Greatest distance between the points of two outlines that begin anywhere.
double apart(const shoe::Outline& a, const shoe::Outline& b) {
    if (a.points().size() != b.points().size()) return 1e9;
    double worst = 0.0;
    for (const Vec2& p : a.points()) {
        double best = 1e9;
        for (const Vec2& q : b.points()) best = std::min(best, (p - q).norm());
        worst = std::max(worst, best);
    }
    return worst;
}

}  // namespace

TEST_CASE("insole: any turn and shift of a drawing gives the same insole") {
    const shoe::Outline drawing = right_insole();
    const shoe::Insole first = posed(drawing, Side::right);
    CHECK(first.ball_mm > first.heel_mm);
    CHECK(first.outline.section(shoe::heel_share * first.length_mm).middle() == Approx(0.0).margin(1e-9));
    CHECK(first.outline.section(shoe::ball_share * first.length_mm).middle() == Approx(0.0).margin(1e-9));
    generator::Random random(tests::seed() + 41);
    for (int i = tests::cases(500, 60, "turned drawings"); i > 0; --i) {
        const double angle = random.between(-pi, pi);
        const Vec2 shift{random.between(-1000, 1000), random.between(-1000, 1000)};
        const shoe::Outline turned = drawing.moved(Eigen::Rotation2Dd(angle).toRotationMatrix(), shift);
        const shoe::Insole insole = posed(turned, Side::right);
        INFO("turned by " << angle);
        REQUIRE(apart(insole.outline, first.outline) < 1e-9);
        REQUIRE(insole.length_mm == Approx(first.length_mm).margin(1e-9));
        const double back =
            std::remainder((insole.turned_deg - first.turned_deg) * pi / 180.0 + angle, 2.0 * pi);
        REQUIRE(std::abs(back) < 1e-9);
    }
}

TEST_CASE("insole: the mirror image, said to be of the other foot, is the same insole") {
    const shoe::Outline drawing = right_insole();
    const shoe::Insole right = posed(drawing, Side::right);
    generator::Random random(tests::seed() + 42);
    for (int i = tests::cases(200, 40, "mirrored drawings"); i > 0; --i) {
        Eigen::Matrix2d mirror = Eigen::Rotation2Dd(random.between(-pi, pi)).toRotationMatrix();
        mirror.col(1) *= -1.0;
        const shoe::Insole left = posed(drawing.moved(mirror, Vec2(30, 90)), Side::left);
        REQUIRE(apart(left.outline, right.outline) < 1e-9);
    }
    // and taken for the wrong foot it is not
    CHECK(apart(posed(drawing, Side::left).outline, right.outline) > 1.0);
}

TEST_CASE("insole: medial of a right foot seen from above lies on the left when its toes point away") {
    // a drawing with y up and its toes up: the inward curve, to the left, is medial
    const shoe::Outline toes_up =
        right_insole().moved(Eigen::Rotation2Dd(0.5 * pi).toRotationMatrix(), Vec2::Zero());
    const auto bulge = [](const shoe::Outline& outline, double x) { return outline.section(x).middle(); };
    const shoe::Insole insole = posed(toes_up, Side::right);
    const double here = bulge(insole.outline, 0.4 * insole.length_mm);
    // in the drawing's own axes: to the left (-x) of the line from heel to ball?
    const shoe::Outline flat = right_insole();
    const double h = flat.section(40.0).middle(), b = flat.section(175.0).middle();
    const double off = flat.section(100.0).middle() - (h + (b - h) * 60.0 / 135.0);
    CHECK(std::abs(off) > 1.0);
    CHECK(here * off > 0.0);
}

TEST_CASE("insole: three sizes come out exactly, for every size that makes an insole") {
    generator::Random random(tests::seed() + 43);
    for (int i = tests::cases(5000, 500, "insoles of three sizes"); i > 0; --i) {
        const double length = random.between(80, 380);
        const double ball = random.between(0.15, 0.6) * length;
        const double heel = random.between(0.4, 1.0) * ball;
        INFO(length << " x " << ball << " x " << heel);
        const auto made = shoe::Insole::of_sizes(length, ball, heel);
        REQUIRE(made.ok());
        REQUIRE(made->length_mm == Approx(length).epsilon(1e-12));
        REQUIRE(made->ball_mm == Approx(ball).epsilon(1e-12));
        double low_y = 0.0, high_y = 0.0;
        for (const Vec2& p : made->outline.points()) {
            low_y = std::min(low_y, p.y());
            high_y = std::max(high_y, p.y());
        }
        REQUIRE(high_y - low_y == Approx(ball).epsilon(1e-12));  // broadest at the ball
        REQUIRE(low_y == Approx(-high_y).epsilon(1e-12));
        REQUIRE(made->heel_mm == Approx(heel).epsilon(1e-12));
        // a half ellipse at the heel, a cubic of mean (heel + ball) / 2, a half ellipse at the toes
        const double end = std::min(0.5 * heel, 0.16 * length);
        const double truth = pi / 4.0 * heel * end + heel * (0.2 * length - end) +
                             0.5 * (heel + ball) * 0.5 * length + pi / 4.0 * ball * 0.3 * length;
        REQUIRE(made->outline.area() == Approx(truth).epsilon(2e-4));
    }
    CHECK_THAT(shoe::Insole::of_sizes(250, 60, 70).fault().message, Contains("insole_heel_mm"));
    CHECK_THAT(shoe::Insole::of_sizes(100, 70, 50).fault().message, Contains("insole_ball_mm"));
    CHECK_THAT(shoe::Insole::of_sizes(60, 30, 20).fault().message, Contains("insole_length_mm"));
    CHECK_FALSE(shoe::Insole::of_sizes(std::nan(""), 30, 20).ok());
}

TEST_CASE("insole: what cannot be laid is refused with its figures") {
    const auto small =
        shoe::Insole::posed(right_insole().moved(0.1 * Eigen::Matrix2d::Identity(), Vec2::Zero()),
                            Side::right, "cm.dxf (1 unit is 1 mm)");
    REQUIRE_FALSE(small.ok());
    CHECK_THAT(small.fault().message,
               Contains("cm.dxf (1 unit is 1 mm)") && Contains("25.") && Contains("unit"));
    const auto alike =
        shoe::Insole::posed(polygon({{0, 0}, {250, 0}, {250, 80}, {0, 80}}), Side::right, "box.svg");
    REQUIRE_FALSE(alike.ok());
    CHECK_THAT(alike.fault().message, Contains("box.svg") && Contains("heel and toes") && Contains("80.0"));
}
