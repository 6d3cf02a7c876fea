// The middle surface of shells whose every figure is known.
#include "engine/flex/middle.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "engine/flex/footprint.hpp"
#include "engine/surface/post.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/analytic_shells.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

namespace {

struct Sums {
    double area = 0.0, volume = 0.0;
};

Sums sums_of(const Model& model) {
    Sums sums;
    const std::vector<double> area = areas(model);
    for (std::size_t p = 0; p < area.size(); ++p) {
        sums.area += area[p];
        sums.volume += area[p] * model.wall_mm[p];
    }
    return sums;
}

}  // namespace

TEST_CASE("the middle of a plate: its wall, its area, half way up") {
    const Plate made = plate(surface::Rim::Kind::square);
    for (const double element : {2.0, 3.0, 6.0}) {
        const auto middle = middle_of(made.shell, {}, element);
        REQUIRE(middle);
        for (std::size_t p = 0; p < middle->model.points.size(); ++p) {
            CHECK(middle->model.wall_mm[p] == Approx(Plate::thickness).epsilon(1e-9));
            CHECK(std::abs(middle->model.points[p].z() - middle->place[p].z() - 0.5 * Plate::thickness) <
                  1e-9);
        }
        // chords of the border alone are lost
        CHECK(sums_of(middle->model).area ==
              Approx(enclosed_area(made.shell.trim)).epsilon(2e-4 * element * element));
        CHECK(sums_of(middle->model).volume == Approx(made.volume).epsilon(2e-4 * element * element));
        // sides near the size asked, no slivers
        double shortest = 1e300, longest = 0.0, worst = 1e300;
        for (const Triangle& t : middle->model.triangles) {
            double sides = 0.0;
            for (int i = 0; i < 3; ++i) {
                const double side =
                    (middle->model.points[t[i]] - middle->model.points[t[(i + 1) % 3]]).norm();
                shortest = std::min(shortest, side);
                longest = std::max(longest, side);
                sides += side * side;
            }
            const Vec3 a = middle->model.points[t[1]] - middle->model.points[t[0]];
            const Vec3 b = middle->model.points[t[2]] - middle->model.points[t[0]];
            worst = std::min(worst, 2.0 * std::sqrt(3.0) * a.cross(b).norm() / sides);
        }
        CHECK(shortest > 0.4 * element);
        CHECK(longest < 2.2 * element);
        CHECK(worst > 0.25);  // 1 for an equilateral triangle
    }
    CHECK(!middle_of(made.shell, {}, 0.2));
    CHECK(!middle_of(made.shell, {}, 100.0));
}

TEST_CASE("the middle of a cap and of a trough lies half the wall out, with their volume") {
    const Cap round = cap(24, 48);
    const auto middle = middle_of(round.shell, {}, 3.0);
    REQUIRE(middle);
    CHECK(sums_of(middle->model).volume == Approx(round.volume).epsilon(4e-3));
    for (const double wall : middle->model.wall_mm) CHECK(wall == Approx(Cap::t).epsilon(1e-3));
    // between the two sides the area of a cap grows as the square of its radius
    const double inner = 2.0 * std::numbers::pi * Cap::R * Cap::R * (1.0 - std::cos(Cap::r / Cap::R));
    CHECK(sums_of(middle->model).area ==
          Approx(inner * std::pow((Cap::R + 0.5 * Cap::t) / Cap::R, 2)).epsilon(4e-3));

    const Trough bent = trough(24);
    const auto half = middle_of(bent.shell, {}, 3.0);
    REQUIRE(half);
    CHECK(sums_of(half->model).volume == Approx(bent.volume).epsilon(4e-3));
}

TEST_CASE("an aperture is a hole of the middle, a post is wall down to its floor") {
    Plate made = plate(surface::Rim::Kind::square);
    const Vec2 centre(0.5 * made.shell.carpet.u.length, 0.5 * made.shell.carpet.v.length);
    const double whole = sums_of(middle_of(made.shell, {}, 3.0)->model).area;
    made.shell.apertures.push_back({"hole", uv_circle(centre, 8.0), {}});
    const auto holed = middle_of(made.shell, {}, 3.0);
    REQUIRE(holed);
    CHECK(whole - sums_of(holed->model).area == Approx(std::numbers::pi * 64.0).epsilon(0.06));
    for (std::size_t p = 0; p < holed->uv.size(); ++p) CHECK((holed->uv[p] - centre).norm() > 7.9);

    made.shell.apertures.clear();
    surface::Post post;
    post.name = "post";
    post.curve = uv_circle(centre, 12.0);
    post.floor_point = Vec3(0, 0, -9.0);
    for (const bool stuck : {false, true}) {
        made.shell.posts.clear();
        if (!stuck) made.shell.posts.push_back(post);
        const auto posted = middle_of(
            made.shell, stuck ? std::vector<surface::Post>{post} : std::vector<surface::Post>(), 3.0);
        REQUIRE(posted);
        double under = 0.0;
        const std::vector<double> area = areas(posted->model);
        for (std::size_t p = 0; p < area.size(); ++p) {
            if (posted->on_post[p]) {
                under += area[p];
                CHECK(posted->place[p].z() == Approx(-9.0));
            }
            const double down = posted->model.points[p].z() + 0.5 * Plate::thickness - posted->place[p].z();
            CHECK(posted->model.wall_mm[p] == Approx(posted->on_post[p] && !stuck ? down : Plate::thickness));
        }
        CHECK(under == Approx(std::numbers::pi * 144.0).epsilon(0.1));
    }
}

TEST_CASE("a disc's share does not hang on the mesh") {
    // even pressure over a disc: its middle, and its second moment R^2 / 4 about any diameter
    const Plate made = plate(surface::Rim::Kind::square);
    const auto fine = middle_of(made.shell, {}, 1.5);
    REQUIRE(fine);
    const Vec2 uv(0.5 * made.shell.carpet.u.length, 0.5 * made.shell.carpet.v.length);
    const Vec2 middle = made.shell.foot_side.point(uv).head<2>();
    for (const double element : {1.5, 3.0, 5.0}) {
        const auto shell = middle_of(made.shell, {}, element);
        REQUIRE(shell);
        const std::vector<double> shares = disc(shell->model, middle, 12.0);
        double sum = 0.0;
        Vec2 mean = Vec2::Zero();
        for (std::size_t p = 0; p < shares.size(); ++p) {
            sum += shares[p];
            mean += shares[p] * shell->model.points[p].head<2>();
        }
        CHECK(sum == Approx(1.0));
        CHECK((mean - middle).norm() < 0.05);
    }
    CHECK(disc(fine->model, Vec2(1e4, 0), 10.0).empty());
}
