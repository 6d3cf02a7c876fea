// Values that maps show, against closed forms; and the round figures of their scales.
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>

#include "editor/view/fields.hpp"
#include "editor/view/map.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::editor;

namespace {

constexpr double gouge = 0.04;

/// z(x, y) over a square, upwards.
TriangleMesh field(double half, int cells, const std::function<double(double, double)>& z) {
    TriangleMesh mesh;
    const auto at = [&](int i) { return half * (2.0 * i / cells - 1.0); };
    for (int i = 0; i <= cells; ++i)
        for (int j = 0; j <= cells; ++j) mesh.points.push_back({at(i), at(j), z(at(i), at(j))});
    const auto id = [&](int i, int j) { return i * (cells + 1) + j; };
    for (int i = 0; i < cells; ++i)
        for (int j = 0; j < cells; ++j) {
            mesh.triangles.push_back({id(i, j), id(i + 1, j), id(i + 1, j + 1)});
            mesh.triangles.push_back({id(i, j), id(i + 1, j + 1), id(i, j + 1)});
        }
    return mesh;
}

}  // namespace

TEST_CASE("a ball of any size reaches a plane and a hill") {
    for (const bool hill : {false, true}) {
        const TriangleMesh mesh = field(
            30, 60, [&](double x, double y) { return hill ? std::sqrt(60.0 * 60.0 - x * x - y * y) : 4.0; });
        const Bvh tree(mesh);
        const auto normals = mesh.point_normals();
        for (std::size_t i = 0; i < mesh.points.size(); i += 37)
            CHECK(view::reach_radius(tree, mesh.points[i], normals[i], gouge) == view::largest_ball_mm);
    }
}

TEST_CASE("the ball that reaches the floor of a gutter has its radius") {
    for (const double radius : {2.0, 5.0, 12.0}) {
        // half round, its walls going on upwards
        const TriangleMesh mesh = field(1.2 * radius, 240, [&](double x, double) {
            return std::abs(x) < 0.999 * radius ? radius - std::sqrt(radius * radius - x * x) : 3.0 * radius;
        });
        const Bvh tree(mesh);
        const double reached = view::reach_radius(tree, {0, 0, 0}, Vec3::UnitZ(), gouge);
        // a larger ball cuts in where the gutter stands upright by as much as it is larger: the gouge
        // allowed, and the cells' chords
        CHECK(reached >= radius - 0.02 * radius);
        CHECK(reached <= radius + gouge + 0.03 * radius);
    }
}

TEST_CASE("an inner edge lets a ball through by its opening: r = gap / (sec(half) - 1) of a wedge's floor") {
    // a flat strip of half breadth w between walls at 45 degrees: the ball on its middle touches the walls
    // when r (1 / cos 45 - 1) = w tan ... : the distance of the centre (0, r) from the line z = x - w is (w +
    // r) / sqrt 2 = r
    for (const double w : {1.0, 2.0, 4.0}) {
        const TriangleMesh mesh =
            field(40, 400, [&](double x, double) { return std::max(0.0, std::abs(x) - w); });
        const Bvh tree(mesh);
        const double exact = w / (std::numbers::sqrt2 - 1.0);
        const double with_gouge = (w + gouge * std::numbers::sqrt2) / (std::numbers::sqrt2 - 1.0);
        const double reached = view::reach_radius(tree, {0, 0, 0}, Vec3::UnitZ(), gouge);
        CHECK(reached >= exact - 1e-6);
        CHECK(reached == Approx(with_gouge).epsilon(0.01));
    }
}

TEST_CASE("slope and free height are those of planes") {
    CHECK(view::slope_of(Vec3::UnitZ()) == 0.0);
    CHECK(view::slope_of(Vec3(0, 3, -3)) == Approx(45.0));
    CHECK(view::slope_of(Vec3::UnitX()) == Approx(90.0));
    CHECK(view::slope_of(Vec3::Zero()) == 0.0);
    const TriangleMesh low = field(10, 4, [](double x, double) { return 3.0 + 0.1 * x; });
    const TriangleMesh high = field(20, 4, [](double, double) { return 8.0; });
    const Bvh a(low), b(high);
    CHECK(view::free_height({&a, &b}, {5.3, 1.1}, 1.0) == Approx(2.53));
    CHECK(view::free_height({&a, &b}, {15.3, 1.1}, 1.0) == Approx(7.0));
    CHECK(std::isinf(view::free_height({&a, &b}, {25.3, 1.1}, 1.0)));
}

TEST_CASE("a map's scale has six round figures that cover it") {
    const int count = tests::cases(20000, 2000, "ranges of maps");
    std::mt19937_64 random(tests::seed());
    std::uniform_real_distribution<double> size(-2, 3), where(-50, 50);
    for (int i = 0; i < count; ++i) {
        const double span = std::pow(10.0, size(random)), low = where(random), high = low + span;
        const auto scale = view::six_figures(picture::ColourMap::wall(), low, high, 0.01, "Wall, mm");
        INFO(low << " to " << high);
        const auto figures = view::figures_of(scale);
        REQUIRE(figures.size() == 6);
        CHECK(figures.front() == Approx(scale.low).margin(1e-9));
        CHECK(figures.back() == Approx(scale.high).margin(1e-9));
        CHECK(scale.low <= low + 1e-9 * span);
        CHECK(scale.high >= high - 1e-5 * span);
        // not wider than needed: a step below would not cover it
        CHECK(scale.high - scale.low <= 3.0 * span + 1e-9);
        // a round step, a multiple of which every figure is, and decimals that show it
        const double mantissa = scale.tick / std::pow(10.0, std::floor(std::log10(scale.tick) + 1e-9));
        bool round = false;
        for (const double step : {1.0, 2.0, 2.5, 4.0, 5.0, 8.0})
            round = round || std::abs(mantissa - step) < 1e-6;
        CHECK(round);
        const double shown = scale.tick * std::pow(10.0, scale.decimals);
        if (scale.tick > 1e-3) CHECK(shown == Approx(std::round(shown)).margin(1e-6));
        const auto even = view::five_figures(picture::ColourMap::deviation(), span, 0.01, "To cast, mm");
        const auto five = view::figures_of(even);
        REQUIRE(five.size() == 5);
        CHECK(five[2] == Approx(0.0).margin(1e-12));
        CHECK(even.high >= span * (1 - 1e-5));
        CHECK(even.low == -even.high);
    }
}

TEST_CASE("a range stays while it holds, and follows when it does not") {
    const auto& map = picture::ColourMap::wall();
    const auto first = view::six_figures(map, 2.0, 4.0, 1.0, "Wall, mm");
    CHECK(view::steady(first, view::six_figures(map, 2.1, 3.8, 1.0, "Wall, mm")).low == first.low);
    CHECK(view::steady(first, view::six_figures(map, 2.0, 6.0, 1.0, "Wall, mm")).high >= 6.0);
    const auto far = view::six_figures(map, 0.0, 40.0, 1.0, "Wall, mm");
    CHECK(view::steady(far, first).high == first.high);
}

TEST_CASE("every word of a map has its map and its name") {
    for (const char* word : {"none", "wall", "height", "deviation", "slope", "tool", "ground", "shoe"}) {
        CHECK((view::map_of(word) == view::Map::none) == (std::string(word) == "none"));
        CHECK(std::string(view::name_of(view::map_of(word))) != "");
    }
    CHECK(view::map_of("nonsense") == view::Map::none);
}
