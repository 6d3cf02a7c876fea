// Known curves drawn in SVG, in every unit and under every transform.
#include <Eigen/Geometry>

#include "assets/generator/random.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/shoe/clearance.hpp"
#include "tests/shoe/drawings.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::tests;
using Catch::Contains;

namespace {

// Greatest distance of a drawing's corners and side middles from a truth given as a distance.
template <class Distance>
double off(const shoe::Outline& outline, const Distance& distance) {
    double worst = 0.0;
    const auto& p = outline.points();
    for (std::size_t i = 0; i < p.size(); ++i) {
        worst = std::max(worst, std::abs(distance(p[i])));
        worst = std::max(worst, std::abs(distance(Vec2(0.5 * (p[i] + p[(i + 1) % p.size()])))));
    }
    return worst;
}

double off_circle(const shoe::Outline& outline, const Vec2& centre, double radius) {
    return off(outline, [&](const Vec2& p) { return (p - centre).norm() - radius; });
}

}  // namespace

TEST_CASE("svg: shapes are their closed forms, y up") {
    const shoe::Outline rect = outline_of(svg("<rect x='10' y='20' width='200' height='80'/>"));
    CHECK(rect.points().size() == 4);
    CHECK(rect.area() == Approx(16000.0));
    CHECK((rect.centre() - Vec2(110, -60)).norm() < 1e-9);
    const shoe::Outline rounded_rect =
        outline_of(svg("<rect x='10' y='20' width='200' height='80' rx='30'/>"));
    CHECK(rounded_rect.area() == Approx(16000.0 - (4.0 - pi) * 900.0).epsilon(1e-4));
    CHECK(off_circle(outline_of(svg("<circle cx='150' cy='200' r='100'/>")), Vec2(150, -200), 100) <
          tolerance::outline_chord_mm);
    const shoe::Outline ellipse = outline_of(svg("<ellipse cx='150' cy='200' rx='125' ry='45'/>"));
    CHECK(ellipse.area() == Approx(pi * 125.0 * 45.0).epsilon(2e-4));
    const shoe::Outline triangle = outline_of(svg("<polygon points='0,0 200,0 100,90'/>"));
    CHECK(triangle.area() == Approx(9000.0));
    CHECK(outline_of(svg("<polyline points='0 0 200 0 100 90 0 0.05'/>")).area() ==
          Approx(9000.0).epsilon(1e-3));
    const std::string lines =
        "<line x1='0' y1='0' x2='200' y2='0'/><line x1='100' y1='90' x2='200' y2='0'/>"
        "<line x1='100.04' y1='90' x2='0' y2='0.03'/>";
    CHECK(outline_of(svg(lines)).area() == Approx(9000.0).epsilon(1e-3));
}

TEST_CASE("svg: every command of a path, absolute and relative") {
    const double square = 10000.0;
    for (const char* d :
         {"M0 0H100V100H0Z", "m0,0h100v100h-100z", "M0 0L100 0 100 100 0 100z",
          "M 0 0 l 1e2 0 l0,100 l-100,0 z", "M0,0 100,0 100,100 0,100 0,0", "m10 10 100 0 0 100-100 0z",
          "M0 0C30 0 60 0 100 0L100 100L0 100Z", "M0 0Q50 0 100 0T100 100H0Z"}) {
        INFO(d);
        const auto drawing = read(svg("<path d='" + std::string(d) + "'/>"));
        REQUIRE(drawing.ok());
        if (std::string(d).find('T') == std::string::npos) CHECK(drawing->outline.area() == Approx(square));
    }
    // arcs: both ways round, short and long, turned, too small to reach
    for (const char* d :
         {"M50 150a100 100 0 0 1 200 0a100 100 0 0 1-200 0z",
          "M50 150A100 100 0 1 0 250 150A100 100 0 1 0 50 150",
          "M50,150a100,100 30 01200,0 100,100 30 01-200,0", "M50 150A5 5 0 0 1 250 150A5 5 0 0 1 50 150"}) {
        INFO(d);
        CHECK(off_circle(outline_of(svg("<path d='" + std::string(d) + "'/>")), Vec2(150, -150), 100) <
              1.01 * tolerance::outline_chord_mm);
    }
    // three quarters of a circle and a corner, the long arc
    const shoe::Outline pie = outline_of(svg("<path d='M100 0A100 100 0 1 1 0 -100L0 0Z'/>"));
    CHECK(pie.area() == Approx(0.75 * pi * 1e4).epsilon(2e-4));
    // a turned ellipse: centre 0, half axes 120 and 40 at 30 degrees; its ends along the long axis
    const double c = std::cos(pi / 6.0), s = std::sin(pi / 6.0);
    const std::string from = exact(120 * c) + " " + exact(120 * s),
                      to = exact(-120 * c) + " " + exact(-120 * s);
    const shoe::Outline turned =
        outline_of(svg("<path d='M" + from + "A120 40 30 0 1 " + to + "A120 40 30 0 1 " + from + "Z'/>"));
    CHECK(turned.area() == Approx(pi * 120.0 * 40.0).epsilon(2e-4));
    CHECK(off(turned, [&](const Vec2& p) {
              const double along = c * p.x() - s * p.y(), across = s * p.x() + c * p.y();  // y up
              return 40.0 * (std::hypot(along / 120.0, across / 40.0) - 1.0);
          }) < tolerance::outline_chord_mm);
    // parabolas: y = x^2 / 100 between -100 and 100, in Q, and the same in C, and mirrored by T and S
    const double cap = 4.0 / 3.0 * 100.0 * 100.0;
    CHECK(outline_of(svg("<path d='M-100 100Q0 -100 100 100Z'/>")).area() == Approx(cap).epsilon(2e-4));
    CHECK(outline_of(svg("<path d='M-100 100C-33.33333333 -33.33333333 33.33333333 -33.33333333 100 100Z'/>"))
              .area() == Approx(cap).epsilon(2e-4));
    // a wave and its mirror image: what T adds below, the first half adds above
    CHECK(outline_of(svg("<path d='M0 0Q50 -60 100 0T200 0V90H0Z'/>")).area() ==
          Approx(18000.0).epsilon(2e-4));
    CHECK(outline_of(svg("<path d='M0 0C30 -60 70 -60 100 0S170 60 200 0V90H0Z'/>")).area() ==
          Approx(18000.0).epsilon(2e-4));
}

TEST_CASE("svg: units of the page, and its viewBox") {
    // the same 200 mm by 80 mm, whatever the page is counted in
    const std::vector<std::pair<std::string, double>> pages = {
        {"width='300mm' height='400mm' viewBox='0 0 300 400'", 1.0},
        {"width='30cm' height='40cm' viewBox='0 0 300 400'", 1.0},
        {"width='300mm' height='400mm' viewBox='-20 -30 600 800'", 0.5},
        {"width='12in' viewBox='0 0 864 1152'", 25.4 / 72.0},
        {"height='1152pt' viewBox='0 0 864 1152'", 25.4 / 72.0},
        {"width='72pc' height='96pc' viewBox='0,0,864,1152'", 25.4 / 72.0},
        {"width='300mm' height='900mm' viewBox='0 0 300 400'", 1.0},  // meet
        {"width='300mm' height='900mm' viewBox='0 0 300 400' preserveAspectRatio='xMinYMin slice'", 2.25},
    };
    for (const auto& [page, unit] : pages) {
        INFO(page);
        const shoe::Outline outline = outline_of(
            svg("<rect x='3' y='4' width='" + exact(200.0 / unit) + "' height='" + exact(80.0 / unit) + "'/>",
                page));
        CHECK(outline.area() == Approx(16000.0));
    }
    CHECK(outline_of(svg("<rect width='200' height='80'/>",
                         "width='300mm' height='800mm' viewBox='0 0 300 400' preserveAspectRatio='none'"))
              .area() == Approx(32000.0));
    for (const char* page :
         {"viewBox='0 0 300 400'", "width='300' height='400' viewBox='0 0 300 400'",
          "width='300px' height='400px' viewBox='0 0 300 400'", "width='100%' viewBox='0 0 300 400'",
          "width='300mm' height='400mm'", "width='300mm' viewBox='0 0 0 400'",
          "width='-300mm' viewBox='0 0 300 400'", "width='300mm' viewBox='0 0 300'"}) {
        INFO(page);
        const auto drawing = read(svg("<rect width='200' height='80'/>", page), "traced.svg");
        REQUIRE_FALSE(drawing.ok());
        CHECK_THAT(drawing.fault().message,
                   Contains("traced.svg") && Contains("line 2") && Contains("page size in mm"));
    }
}

TEST_CASE("svg: transforms, nested, are their matrices") {
    generator::Random random(tests::seed() + 51);
    for (int i = tests::cases(500, 100, "transformed drawings"); i > 0; --i) {
        // words in SVG's own axes (y down), and the same as a matrix
        Eigen::Affine2d truth = Eigen::Affine2d::Identity();
        std::string open, close;
        for (int level = 0; level < 3; ++level) {
            std::string words;
            for (int k = 0; k < 2; ++k) {
                Eigen::Affine2d one = Eigen::Affine2d::Identity();
                const double a = random.between(-60, 60), b = random.between(-60, 60),
                             c = random.between(-60, 60);
                switch (random.next() % 6) {
                    case 0:
                        one.translate(Vec2(a, b));
                        words += "translate(" + exact(a) + "," + exact(b) + ") ";
                        break;
                    case 1:
                        one.rotate(a * pi / 180.0);
                        words += "rotate(" + exact(a) + ")";
                        break;
                    case 2:
                        one.translate(Vec2(b, c)).rotate(a * pi / 180.0).translate(Vec2(-b, -c));
                        words += "rotate ( " + exact(a) + " " + exact(b) + " " + exact(c) + " ), ";
                        break;
                    case 3:
                        one.linear()(0, 1) = std::tan(0.3 * a * pi / 180.0);
                        words += "skewX(" + exact(0.3 * a) + ")";
                        break;
                    case 4:
                        one.linear() = Vec2(1.0 + a / 200.0, -1.0).asDiagonal();
                        words += "scale(" + exact(1.0 + a / 200.0) + ",-1)";
                        break;
                    default:
                        one.linear() << 1.0, 0.2, -0.1, 0.9;
                        one.translation() = Vec2(a, b);
                        words += "matrix(1 -0.1 0.2 0.9 " + exact(a) + " " + exact(b) + ")";
                }
                truth = truth * one;
            }
            open += level < 2 ? "<g transform='" + words + "'>" : "<polygon transform='" + words;
        }
        const std::vector<Vec2> corners = {{0, 0}, {200, 10}, {190, 80}, {20, 70}};
        std::string text = open + "' points='";
        std::vector<Vec2> expected;
        for (const Vec2& p : corners) {
            text += exact(p.x()) + "," + exact(p.y()) + " ";
            const Vec2 q = truth * p;
            expected.emplace_back(q.x(), -q.y());
        }
        const shoe::Outline outline = outline_of(svg(text + "'/></g></g>"));
        INFO(text);
        REQUIRE(outline.points().size() == 4);
        for (const Vec2& q : expected) {
            double best = 1e9;
            for (const Vec2& p : outline.points()) best = std::min(best, (p - q).norm());
            REQUIRE(best < 1e-9 * (1.0 + q.norm()));
        }
    }
}

TEST_CASE("svg: what is not shown is no outline; open lines beside it are told") {
    const std::string rect = "<rect width='200' height='80'/>";
    CHECK(outline_of(svg("<defs>" + rect + "<g>" + rect + "</g></defs>" + rect)).area() == Approx(16000.0));
    CHECK(outline_of(svg("<g display='none'>" + rect + "</g><g style='fill:none; display : none'>" + rect +
                         "</g><clipPath>" + rect + "</clipPath><text>x<tspan>y</tspan></text>" + rect))
              .area() == Approx(16000.0));
    const auto noted = read(svg(rect + "<path d='M10 40H100'/>"));
    REQUIRE(noted.ok());
    REQUIRE(noted->notes.size() == 1);
    CHECK_THAT(noted->notes.front(), Contains("1 open line"));
    CHECK(noted->format == "SVG");
    CHECK(noted->sha256.size() == 64);
}
