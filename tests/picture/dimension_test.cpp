// Dimensions of workshop drawings: words beside their lines, arcs of the angle they tell of.
#include <catch2/catch.hpp>
#include <cmath>

#include "engine/base/units.hpp"
#include "engine/picture/dimension.hpp"

using namespace archwright;
using namespace archwright::picture;

namespace {

DimensionStyle style() {
    DimensionStyle s{
        theme(false).ink, theme(false).board, {type::body, Weight::regular, theme(false).text, Align::left}};
    return s;
}

}  // namespace

TEST_CASE("a long dimension holds its words, a short one sets them beyond its end") {
    Canvas canvas(400, 300, 1.0, theme(false).board);
    const Vec2 p(50.0, 100.0), q(250.0, 100.0);
    const Box inside = draw_dimension(canvas, p, q, p, q, "12.5 mm", style());
    CHECK(inside.centre().x() == Approx(150.0));
    CHECK(inside.x > p.x());
    CHECK(inside.right() < q.x());
    const Vec2 near(70.0, 100.0);
    const Box beyond = draw_dimension(canvas, p, near, p, near, "12.5 mm", style());
    CHECK(beyond.x > near.x());
    // the other way round they stand at the other end
    CHECK(draw_dimension(canvas, near, p, near, p, "12.5 mm", style()).right() < p.x());
    const Vec2 low(50.0, 110.0);
    CHECK(draw_dimension(canvas, p, low, p, low, "12.5 mm", style()).y > low.y());
    CHECK(canvas.shortened().empty());
}

TEST_CASE("an angle's arc has its middle half way round, the shorter way") {
    Canvas canvas(400, 400, 1.0, theme(false).board);
    const Vec2 centre(200.0, 200.0);
    for (int from = 0; from < 360; from += 25)
        for (const int turn : {-170, -90, -8, -1, 1, 8, 90, 170}) {
            const double a = radians(from), b = radians(from + turn), m = radians(from + 0.5 * turn);
            const Vec2 middle =
                draw_angle(canvas, centre, 100.0, {std::cos(a), std::sin(a)},
                           Vec2(3.0 * std::cos(b), 3.0 * std::sin(b)), style());  // lengths do not count
            CHECK((middle - centre - 100.0 * Vec2(std::cos(m), std::sin(m))).norm() < 1e-9);
        }
}

TEST_CASE("a dimension without words leaves no text; a leader's words stand at its end") {
    Canvas canvas(400, 300, 1.0, theme(false).board);
    const Vec2 p(50.0, 100.0), q(250.0, 100.0);
    CHECK(draw_dimension(canvas, p, q, p, q, "", style()).w == 0.0);
    CHECK(canvas.written().empty());
    CHECK(draw_leader(canvas, p, q, "edge", Align::left, style()).x == Approx(q.x()));
    CHECK(draw_leader(canvas, p, q, "edge", Align::right, style()).right() == Approx(q.x()));
    CHECK(draw_leader(canvas, p, q, "edge", Align::centre, style()).centre().x() == Approx(q.x()));
    CHECK(canvas.written().size() == 3);
}
