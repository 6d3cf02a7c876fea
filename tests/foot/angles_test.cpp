// Angles by closed forms; their uncertainty against Monte Carlo.
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "engine/base/units.hpp"
#include "engine/foot/angles.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using foot::Figure;
using foot::Marked;

namespace {

Vec3 about_x(const Vec3& p, double degrees_) {
    const double c = std::cos(radians(degrees_)), s = std::sin(radians(degrees_));
    return {p.x(), c * p.y() - s * p.z(), s * p.y() + c * p.z()};
}
Vec3 about_y(const Vec3& p, double degrees_) {  // positive = toes down
    const double c = std::cos(radians(degrees_)), s = std::sin(radians(degrees_));
    return {c * p.x() + s * p.z(), p.y(), -s * p.x() + c * p.z()};
}

struct Points {
    Vec3 lower{-38.0, 1.0, 12.0}, upper{-36.0, -1.5, 38.0};
    Vec3 first{140.0, 24.0, 0.5}, fifth{120.0, -38.0, 4.0};
    Vec3 heel{0.0, 0.0, 0.0};

    template <class Turn>
    Points turned(Turn&& turn) const {
        return {turn(lower), turn(upper), turn(first), turn(fifth), turn(heel)};
    }
    Figure ffrf(double sd) const {
        return foot::forefoot_to_rearfoot({lower, sd}, {upper, sd}, {first, sd}, {fifth, sd}, heel);
    }
};

}  // namespace

TEST_CASE("Signs: inverted is positive, medial side up", "[angles]") {
    // lower point more medial than the upper: inverted
    CHECK(foot::heel_bisection({{0, 3, 10}, 0}, {{0, 0, 40}, 0}).value ==
          Approx(degrees(std::atan2(3.0, 30.0))));
    CHECK(foot::heel_bisection({{0, -3, 10}, 0}, {{0, 0, 40}, 0}).value < 0.0);
    CHECK(foot::heel_bisection({{0, 0, 10}, 0}, {{5, 0, 40}, 0}).value == Approx(0.0).margin(1e-12));
    // first head higher than the fifth: inverted
    CHECK(foot::metatarsal_plane({{140, 30, 5}, 0}, {{120, -30, 0}, 0}).value ==
          Approx(degrees(std::atan2(5.0, 60.0))));
    CHECK(foot::metatarsal_plane({{140, 30, 0}, 0}, {{120, -30, 5}, 0}).value < 0.0);
    // the medial malleolus stands higher than the lateral one
    CHECK(foot::malleolar_line({{20, -35, 70}, 0}, {{25, 33, 82}, 0}).value ==
          Approx(degrees(std::atan2(12.0, 68.0))));
}

TEST_CASE("A turn about +x adds to every angle of the frontal plane and leaves their difference",
          "[angles]") {
    const Points p;
    const double before = p.ffrf(1.0).value;
    for (double turn = -20.0; turn <= 20.0; turn += 2.5) {
        const Points q = p.turned([&](const Vec3& v) { return about_x(v, turn); });
        CHECK(foot::heel_bisection({q.lower, 1}, {q.upper, 1}).value ==
              Approx(foot::heel_bisection({p.lower, 1}, {p.upper, 1}).value + turn));
        CHECK(foot::metatarsal_plane({q.first, 1}, {q.fifth, 1}).value ==
              Approx(foot::metatarsal_plane({p.first, 1}, {p.fifth, 1}).value + turn));
    }
    // the difference is independent of that turn where the pitch is level already
    const double heads_z = 0.5 * (p.first.z() + p.fifth.z());
    Points level = p;
    level.heel.z() = heads_z;
    level.heel.y() = 0.5 * (p.first.y() + p.fifth.y());
    const double flat = level.ffrf(1.0).value;
    CHECK(flat == Approx(foot::metatarsal_plane({p.first, 1}, {p.fifth, 1}).value -
                         foot::heel_bisection({p.lower, 1}, {p.upper, 1}).value));
    for (double turn = -20.0; turn <= 20.0; turn += 4.0)
        CHECK(level.turned([&](const Vec3& v) { return about_x(v, turn); }).ffrf(1.0).value ==
              Approx(flat).margin(1e-9));
    CHECK(std::abs(before - flat) < 3.0);
}

TEST_CASE("Pitch is taken out of the forefoot to rearfoot angle", "[angles]") {
    const Points p;
    const double before = p.ffrf(1.0).value;
    for (double pitch = -12.0; pitch <= 12.0; pitch += 1.5)
        CHECK(p.turned([&](const Vec3& v) { return about_y(v, pitch); }).ffrf(1.0).value ==
              Approx(before).margin(1e-9));
    // and it matters: 5 degrees of pitch alone would move phi by atan(20 sin 5 / 62), since the 5th head lies
    // 20 mm behind the 1st
    Points flat = p;
    flat.first.z() = flat.fifth.z() = 0.0;
    const Points pitched = flat.turned([](const Vec3& v) { return about_y(v, 5.0); });
    CHECK(std::abs(foot::metatarsal_plane({pitched.first, 1}, {pitched.fifth, 1}).value) ==
          Approx(degrees(std::atan2(20.0 * std::sin(radians(5.0)), 62.0))));
}

TEST_CASE("Written uncertainties are 1.96 standard deviations of what repeated marking gives", "[angles]") {
    const Points p;
    constexpr double sd = 1.0;
    const int draws = tests::cases(200'000, 40'000, "draws of four landmarks");
    std::mt19937_64 random(tests::seed());
    const auto normal = [&] {  // Box and Muller 1958
        const auto u = [&] { return (static_cast<double>(random() >> 11) + 0.5) * 0x1.0p-53; };
        return std::sqrt(-2.0 * std::log(u())) * std::cos(2.0 * std::numbers::pi * u());
    };
    const auto moved = [&](const Vec3& v) {
        return Vec3{v.x() + sd * normal(), v.y() + sd * normal(), v.z() + sd * normal()};
    };
    double sums[3] = {}, squares[3] = {};
    for (int k = 0; k < draws; ++k) {
        const Points q{moved(p.lower), moved(p.upper), moved(p.first), moved(p.fifth), p.heel};
        const double values[3] = {foot::heel_bisection({q.lower, sd}, {q.upper, sd}).value,
                                  foot::metatarsal_plane({q.first, sd}, {q.fifth, sd}).value,
                                  q.ffrf(sd).value};
        for (int i = 0; i < 3; ++i) {
            sums[i] += values[i];
            squares[i] += values[i] * values[i];
        }
    }
    const double written[3] = {foot::heel_bisection({p.lower, sd}, {p.upper, sd}).uncertainty,
                               foot::metatarsal_plane({p.first, sd}, {p.fifth, sd}).uncertainty,
                               p.ffrf(sd).uncertainty};
    for (int i = 0; i < 3; ++i) {
        const double mean = sums[i] / draws;
        const double drawn = std::sqrt(squares[i] / draws - mean * mean);
        INFO("angle " << i);
        // first order is good to a few per cent here, and the sd of the sd is below one
        CHECK(written[i] == Approx(1.96 * drawn).epsilon(0.03));
    }
    // closed form: sd over the distance of the points in the frontal plane
    CHECK(written[1] == Approx(1.96 * degrees(std::sqrt(2.0) * sd / std::hypot(62.0, 3.5))));
}
