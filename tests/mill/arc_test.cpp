// Arcs: their figures against the circle's own, fitted ones against the curves they stand for.
#include "engine/mill/arc.hpp"

#include <catch2/catch.hpp>
#include <numbers>

#include "engine/mill/simulate.hpp"
#include "tests/mill/random.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::mill;
using tests::Draw;

namespace {

constexpr double full_turn = 2.0 * std::numbers::pi;

/// A helix about a centre from one angle over another.
std::vector<Vec3> helix(const Vec2& centre, double radius, double from, double over, double rise, int lines) {
    std::vector<Vec3> points;
    for (int i = 0; i <= lines; ++i) {
        const double share = static_cast<double>(i) / lines, angle = from + share * over;
        points.emplace_back(centre.x() + radius * std::cos(angle), centre.y() + radius * std::sin(angle),
                            share * rise);
    }
    return points;
}

double off_line(const Vec3& p, const Vec3& a, const Vec3& b) {
    const Vec3 d = b - a;
    const double share = d.squaredNorm() > 0.0 ? std::clamp((p - a).dot(d) / d.squaredNorm(), 0.0, 1.0) : 0.0;
    return (p - a - share * d).norm();
}

double off_lines(const Vec3& p, const std::vector<Vec3>& points) {
    double least = 1e300;
    for (std::size_t i = 1; i < points.size(); ++i)
        least = std::min(least, off_line(p, points[i - 1], points[i]));
    return least;
}

}  // namespace

TEST_CASE("an arc's angle, length, directions and places are its circle's") {
    Draw draw(tests::seed());
    const int count = tests::cases(2000, 400, "arcs");
    for (int i = 0; i < count; ++i) {
        const Vec2 centre(draw.between(-50.0, 50.0), draw.between(-50.0, 50.0));
        const double radius = draw.between(0.5, 80.0), from = draw.between(0.0, full_turn);
        const double angle = draw.between(0.01, 0.99) * full_turn, rise = draw.between(-3.0, 3.0);
        const int turn = draw.of(2) == 0 ? 1 : -1;
        const auto ends = helix(centre, radius, from, turn * angle, rise, 1);
        const Move move{ends[1], false, 100.0, turn, centre};
        CHECK(turned_by(ends[0], move) == Approx(angle).margin(1e-9));
        CHECK(way_length(ends[0], move) == Approx(std::hypot(radius * angle, rise)).margin(1e-9));
        const auto directions_there = directions(ends[0], move);
        for (int end = 0; end < 2; ++end) {
            const Vec3& d = directions_there[static_cast<std::size_t>(end)];
            CHECK(d.norm() == Approx(1.0).margin(1e-12));
            // across the radius, and up as the helix goes
            CHECK(d.head<2>().dot(ends[static_cast<std::size_t>(end)].head<2>() - centre) ==
                  Approx(0.0).margin(1e-9));
            CHECK(d.z() == Approx(rise / std::hypot(radius * angle, rise)).margin(1e-9));
        }
        std::vector<Vec3> places;
        walk(ends[0], move, 1e-3, places);
        CHECK(places.back() == move.to);
        Vec3 before = ends[0];
        double way = 0.0;
        for (const Vec3& p : places) {
            CHECK((p.head<2>() - centre).norm() == Approx(radius).margin(1e-9));
            CHECK((0.5 * (p + before).head<2>() - centre).norm() >= radius - 1.001e-3);
            way += (p - before).norm();
            before = p;
        }
        CHECK(way == Approx(way_length(ends[0], move)).epsilon(1e-2));
    }
}

TEST_CASE("points of a circle or helix become one arc, a straight line none") {
    for (const double rise : {0.0, 1.5, -2.0})
        for (const double over : {2.0, -2.0, 0.5 * std::numbers::pi}) {
            const auto points = helix({3.0, -4.0}, 6.0, 0.4, over, rise, 60);
            const auto moves = with_arcs(points, 900.0, 0.004);
            REQUIRE(moves.size() == 1);
            CHECK(moves[0].turn == (over > 0.0 ? 1 : -1));
            CHECK((moves[0].centre - Vec2(3.0, -4.0)).norm() < 1e-9);
            CHECK(moves[0].to == points.back());
            CHECK(moves[0].feed == 900.0);
        }
    // more than half a turn is several
    const auto round = with_arcs(helix({0, 0}, 5.0, 0.0, full_turn, 0.0, 100), 900.0, 0.004);
    CHECK(round.size() <= 4);
    CHECK(round.size() >= 3);
    std::vector<Vec3> line;
    for (int i = 0; i < 20; ++i) line.emplace_back(0.7 * i, 0.3 * i, 0.0);
    for (const Move& move : with_arcs(line, 900.0, 0.004)) CHECK(move.turn == 0);
    // a step in height is not smoothed over
    auto step = helix({0, 0}, 5.0, 0.0, 2.0, 0.0, 40);
    step.insert(step.begin() + 20, Vec3(step[20].x(), step[20].y(), 1.0));
    bool kept = false;
    for (const Move& move : with_arcs(step, 900.0, 0.004)) kept = kept || move.to.z() == 1.0;
    CHECK(kept);
}

TEST_CASE("random curves on arcs stay within what was asked of their own lines, both ways") {
    Draw draw(tests::seed() + 1);
    const int count = tests::cases(400, 80, "curves");
    std::size_t lines = 0, moves_in_all = 0;
    for (int i = 0; i < count; ++i) {
        // a smooth closed curve with some noise, as waterlines are
        const double a = draw.between(5.0, 40.0), b = draw.between(5.0, 40.0);
        const double wave = draw.between(0.0, 1.5), noise = draw.of(2) == 0 ? 0.0 : 0.002;
        const int n = 60 + draw.of(400);
        std::vector<Vec3> points;
        for (int k = 0; k <= n; ++k) {
            const double t = full_turn * k / n;
            const double nx = noise * draw.between(-1.0, 1.0), ny = noise * draw.between(-1.0, 1.0);
            points.emplace_back((a + wave * std::cos(5.0 * t)) * std::cos(t) + nx,
                                (b + wave * std::cos(5.0 * t)) * std::sin(t) + ny,
                                -5.0 + 0.2 * wave * std::sin(3.0 * t));
        }
        const double within = 0.004;
        const auto moves = with_arcs(points, 900.0, within);
        lines += points.size() - 1;
        moves_in_all += moves.size();
        std::vector<Vec3> way{points.front()};
        for (const Move& move : moves) walk(way.back(), move, 1e-5, way);
        CHECK(way.back() == points.back());
        double most = 0.0;
        for (const Vec3& p : points) most = std::max(most, off_lines(p, way));
        for (std::size_t k = 1; k < way.size(); k += 7) most = std::max(most, off_lines(way[k], points));
        // in plan and in height by as much each
        CHECK(most <= std::sqrt(2.0) * within + 1e-4);
    }
    CHECK(moves_in_all < lines);
}

TEST_CASE("a level arc clears what its circle says, and takes the time its way takes") {
    Operation operation{"arc", Cutter{}, 1000.0, {}};  // ball 6 mm
    const double radius = 12.0;
    operation.moves = {{{radius, 0, 5}, true, 0},
                       {{radius, 0, -2}, false, 600},
                       {{0, radius, -2}, false, 600, 1, Vec2::Zero()}};
    std::vector<Needle> needles;
    const auto done = simulate({operation}, Vec3(60, 60, 20), 0.25, {}, needles, nullptr);
    REQUIRE(done.ok());
    CHECK(done->troubles.empty());
    CHECK(done->moves == 3);
    const double r = 3.0;
    for (int k = 0; k < done->top.ny; ++k)
        for (int i = 0; i < done->top.nx; ++i) {
            const double x = done->top.x(i), y = done->top.y(k);
            if (x < 0.5 || y < 0.5) continue;  // beside the ends
            const double aside = std::abs(std::hypot(x, y) - radius);
            const double cut = aside > r ? 0.0 : std::min(0.0, -2.0 + r - std::sqrt(r * r - aside * aside));
            // chords lie 0.0005 mm within the arc; the ball's side is steep
            CHECK(done->top.at(i, k) == Approx(cut).margin(aside > 2.6 ? 0.05 : 0.002));
        }
    // an arc that leaves the travel between its ends is seen
    MachineLimits machine;
    machine.travel_high = Vec3(11.0, 11.0, 60.0);
    operation.moves = {{{10, -4, 5}, true, 0}, {{10, 4, 5}, false, 600, 1, Vec2::Zero()}};
    const auto out = simulate({operation}, Vec3(60, 60, 20), 0.5, machine, needles, nullptr);
    CHECK(out->troubles.empty());
    operation.moves[1].turn = -1;
    const auto far = simulate({operation}, Vec3(60, 60, 20), 0.5, machine, needles, nullptr);
    CHECK(far->troubles.empty());  // to the left there is room
    machine.travel_low = Vec3(-10.5, -60.0, -60.0);
    const auto left = simulate({operation}, Vec3(60, 60, 20), 0.5, machine, needles, nullptr);
    REQUIRE(left->troubles.size() == 1);
    CHECK(left->troubles[0].kind == Trouble::Kind::outside_travel);
    CHECK(left->troubles[0].depth_mm == Approx(std::hypot(10.0, 4.0) - 10.5).margin(1e-3));

    // 100 mm/s2: round a circle of 1 mm no faster than sqrt(a r) = 10 mm/s
    machine = MachineLimits{};
    machine.acceleration_mm_s2 = 100.0;
    operation.moves = {{{1, 0, 0}, true, 0}, {{-1, 0, 0}, false, 3000, 1, Vec2::Zero()}};
    const double way = std::numbers::pi, speed = 10.0, up = speed * speed / (2.0 * 100.0);
    CHECK(duration({operation}, machine) ==
          Approx(2.0 * speed / 100.0 + (way - 2.0 * up) / speed).epsilon(1e-9));
    // two halves of it are passed without a stop between them
    operation.moves = {{{1, 0, 0}, true, 0},
                       {{0, 1, 0}, false, 3000, 1, Vec2::Zero()},
                       {{-1, 0, 0}, false, 3000, 1, Vec2::Zero()}};
    CHECK(duration({operation}, machine) ==
          Approx(2.0 * speed / 100.0 + (way - 2.0 * up) / speed).epsilon(1e-6));
}
