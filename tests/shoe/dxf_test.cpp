// Known curves drawn in DXF.
#include "assets/generator/random.hpp"
#include "engine/base/tolerances.hpp"
#include "tests/shoe/drawings.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::tests;
using Catch::Contains;

namespace {

using Groups = std::vector<std::pair<int, double>>;

std::string line(const Vec2& a, const Vec2& b) {
    return entity("LINE", {{10, a.x()}, {20, a.y()}, {11, b.x()}, {21, b.y()}});
}

std::string arc(const Vec2& centre, double radius, double from_deg, double to_deg, double up = 1.0) {
    return entity("ARC", {{10, centre.x()},
                          {20, centre.y()},
                          {40, radius},
                          {50, from_deg},
                          {51, to_deg},
                          {210, 0},
                          {220, 0},
                          {230, up}});
}

std::string light(const std::vector<Vec2>& points, const std::vector<double>& bulges, int flags,
                  double up = 1.0) {
    Groups groups = {{90, static_cast<double>(points.size())}, {70, flags}, {230, up}};
    for (std::size_t i = 0; i < points.size(); ++i) {
        groups.emplace_back(10, points[i].x());
        groups.emplace_back(20, points[i].y());
        if (bulges[i] != 0.0) groups.emplace_back(42, bulges[i]);
    }
    return entity("LWPOLYLINE", groups);
}

}  // namespace

TEST_CASE("dxf: a polyline with bulges is its arcs") {
    // a slot: two half circles of radius 40 (bulge 1) between straight sides of 150
    const std::vector<Vec2> slot = {{0, 0}, {150, 0}, {150, 80}, {0, 80}};
    const double truth = 150.0 * 80.0 + pi * 1600.0;
    CHECK(outline_of(dxf(light(slot, {0, 1, 0, 1}, 1))).area() == Approx(truth).epsilon(2e-4));
    // bulge -1/2 over a chord of 80: radius 50, a segment of angle 4 atan(1/2) cut out at each end
    const double angle = 4.0 * std::atan(0.5);
    CHECK(outline_of(dxf(light(slot, {0, -0.5, 0, -0.5}, 1))).area() ==
          Approx(150.0 * 80.0 - 2500.0 * (angle - std::sin(angle))).epsilon(2e-4));
    // a circle of two, three and five arcs; bulge = tan(angle / 4)
    for (const int n : {2, 3, 5}) {
        std::vector<Vec2> corners;
        for (int k = 0; k < n; ++k)
            corners.push_back(Vec2(30, 20) +
                              100.0 * Vec2(std::cos(2 * pi * k / n), std::sin(2 * pi * k / n)));
        const std::vector<double> bulges(corners.size(), std::tan(pi / (2.0 * n)));
        const shoe::Outline circle = outline_of(dxf(light(corners, bulges, 1)));
        for (const Vec2& p : circle.points()) CHECK((p - Vec2(30, 20)).norm() == Approx(100.0));
        CHECK(circle.area() == Approx(pi * 1e4).epsilon(2e-4));
    }
    // the old polyline says the same, and its points of a spline's frame are left out
    std::string old = entity("POLYLINE", {{66, 1}, {70, 1}});
    const std::vector<double> bulges = {0, 1, 0, 1};
    for (std::size_t i = 0; i < slot.size(); ++i) {
        old += entity("VERTEX", {{10, slot[i].x()}, {20, slot[i].y()}, {42, bulges[i]}});
        old += entity("VERTEX", {{10, 500}, {20, 900}, {70, 16}});
    }
    CHECK(outline_of(dxf(old + "0\nSEQEND\n")).area() == Approx(truth).epsilon(2e-4));
}

TEST_CASE("dxf: lines and arcs in any order and direction are one outline") {
    // the slot again, of two lines and two arcs, its ends up to 0.09 mm apart
    generator::Random random(tests::seed() + 61);
    for (int i = tests::cases(300, 60, "outlines of pieces"); i > 0; --i) {
        const auto shaken = [&](const Vec2& p) {
            const double angle = random.between(0, 2 * pi);
            return Vec2(p + 0.045 * random.uniform() * Vec2(std::cos(angle), std::sin(angle)));
        };
        const auto side = [&](const Vec2& a, const Vec2& b) {
            return random.uniform() < 0.5 ? line(shaken(a), shaken(b)) : line(shaken(b), shaken(a));
        };
        std::vector<std::string> pieces = {side({0, 0}, {70, 0}), side({70, 0}, {150, 0}),
                                           side({150, 80}, {0, 80})};
        // the same arcs, or seen from below: x counted the other way
        if (random.uniform() < 0.5) {
            pieces.push_back(arc({150, 40}, 40, -90, 90));
            pieces.push_back(arc({0, 40}, 40, 90, 270));
        } else {
            pieces.push_back(arc({-150, 40}, 40, 90, 270, -1.0));
            pieces.push_back(arc({0, 40}, 40, 270, 450, -1.0));
        }
        for (std::size_t k = pieces.size(); k > 1; --k) std::swap(pieces[k - 1], pieces[random.next() % k]);
        std::string all;
        for (const std::string& piece : pieces) all += piece;
        const auto drawing = read(dxf(all), "pieces.dxf");
        INFO(all);
        if (!drawing) FAIL(drawing.fault().message);
        REQUIRE(drawing->outline.area() == Approx(150.0 * 80.0 + pi * 1600.0).epsilon(3e-3));
    }
}

TEST_CASE("dxf: splines are their curves") {
    // a circle as a rational quadratic of nine points (Piegl and Tiller, The NURBS Book, 7.5)
    const double w = std::sqrt(0.5), r = 90.0;
    const std::vector<Vec2> control = {{1, 0},   {1, 1},  {0, 1},  {-1, 1}, {-1, 0},
                                       {-1, -1}, {0, -1}, {1, -1}, {1, 0}};
    Groups groups = {{70, 1}, {71, 2}, {72, 12}, {73, 9}};
    for (const double k : {0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4}) groups.emplace_back(40, k);
    for (std::size_t i = 0; i < control.size(); ++i) groups.emplace_back(41, i % 2 == 0 ? 1.0 : w);
    for (const Vec2& p : control) {
        groups.emplace_back(10, 5.0 + r * p.x());
        groups.emplace_back(20, r * p.y());
        groups.emplace_back(30, 0.0);
    }
    const shoe::Outline circle = outline_of(dxf(entity("SPLINE", groups)));
    for (const Vec2& p : circle.points()) CHECK((p - Vec2(5, 0)).norm() == Approx(r));
    CHECK(circle.area() == Approx(pi * r * r).epsilon(3e-4));

    // one cubic span is a Bezier arc: the cap of the parabola, closed by a line
    Groups cubic = {{70, 0}, {71, 3}};
    for (const double k : {0, 0, 0, 0, 1, 1, 1, 1}) cubic.emplace_back(40, k);
    const Vec2 a(-100, 100), b(-100.0 / 3, -100.0 / 3), c(100.0 / 3, -100.0 / 3), d(100, 100);
    for (const Vec2& p : {a, b, c, d}) {
        cubic.emplace_back(10, p.x());
        cubic.emplace_back(20, p.y());
    }
    CHECK(outline_of(dxf(entity("SPLINE", cubic) + line(a, d))).area() == Approx(4e4 / 3.0).epsilon(2e-4));

    // uniform cubic through equal steps of a line reproduces it, and degree 1 is its polygon
    Groups straight = {{70, 0}, {71, 3}};
    for (int k = 0; k < 11; ++k) straight.emplace_back(40, k);
    for (int k = 0; k < 7; ++k) {
        straight.emplace_back(10, 40.0 * k);
        straight.emplace_back(20, 10.0 * k);
    }
    // over the knots 3 to 7 the curve runs from control point 1 to 5
    CHECK(outline_of(dxf(entity("SPLINE", straight) + line({40, 10}, {40, 90}) + line({200, 50}, {40, 90})))
              .area() == Approx(0.5 * 80.0 * 160.0));
    Groups polygonal = {{70, 0}, {71, 1}};
    for (const double k : {0, 0, 1, 2, 3, 3}) polygonal.emplace_back(40, k);
    for (const Vec2& p : {Vec2(0, 0), Vec2(200, 0), Vec2(100, 90), Vec2(0, 0)}) {
        polygonal.emplace_back(10, p.x());
        polygonal.emplace_back(20, p.y());
    }
    CHECK(outline_of(dxf(entity("SPLINE", polygonal))).area() == Approx(9000.0));
}

TEST_CASE("dxf: the unit is that of the header, line ends are anybody's") {
    const std::vector<Vec2> box = {{0, 0}, {10, 0}, {10, 4}, {0, 4}};
    const std::vector<double> none(4, 0.0);
    for (const auto& [number, mm] :
         {std::pair<std::string, double>{"1", 25.4}, {"2", 304.8}, {"4", 1.0}, {"5", 10.0}, {"6", 1000.0}}) {
        const std::string text = dxf(light(box, none, 1), number);
        CHECK(outline_of(text).area() == Approx(40.0 * mm * mm));
        std::string carriage;
        for (const char c : text) carriage += c == '\n' ? "\r\n" : std::string(1, c);
        CHECK(outline_of("\xEF\xBB\xBF" + carriage).area() == Approx(40.0 * mm * mm));
    }
    for (const char* number : {"0", "14", "x"}) {
        const auto drawing = read(dxf(light(box, none, 1), number), "plain.dxf");
        REQUIRE_FALSE(drawing.ok());
        CHECK_THAT(drawing.fault().message,
                   Contains("plain.dxf") && Contains("INSUNITS") && Contains("millimetres"));
    }
    // a unit that is said after what it counts is no unit
    const std::string late = dxf(light(box, none, 1), "0");
    const std::string header = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nEOF\n";
    CHECK_FALSE(read(late.substr(0, late.size() - 6) + header).ok());
}
