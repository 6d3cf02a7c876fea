#include "engine/surface/wall_measure.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "engine/base/parallel.hpp"
#include "engine/surface/grid_fit.hpp"
#include "engine/surface/underside.hpp"
#include "tests/support/analytic.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

WallFunction constant_wall(double t) {
    return [t](const Vec2&, const Vec3&) { return t; };
}

// A shell whose underside is carpet - t(u,v) n by plain displacement: no rolling balls to help it.
Shell displaced(const AnalyticSurface& s, const PeriodicCurve& trim, const FeatureFunction& f,
                const std::function<double(const Vec2&)>& t) {
    const SplineSurface carpet = s.carpet(70, 50);
    const GridFit grid(carpet.u, carpet.v, 2);
    std::vector<Vec3> above, below;
    for (double u : grid.us())
        for (double v : grid.vs()) {
            const SurfacePoint at = s.at({u, v});
            above.push_back(at.s + (f ? f({u, v}) : 0.0) * at.normal());
            below.push_back(at.s - t({u, v}) * at.normal());
        }
    return {carpet, grid.fit(above), grid.fit(below), trim, {}};
}

}  // namespace

TEST_CASE("A constant wall is measured as such from both sides; the error falls with the carpet's",
          "[wall]") {
    for (const AnalyticSurface& s : {plane(70, 50), cylinder(70, 50, 30), cylinder(70, 50, -30),
                                     sphere(70, 50, 40), saddle(70, 50, 90, -60), torus(70, 50, 60, 30)}) {
        INFO(s.name);
        const PeriodicCurve trim = uv_circle({35, 25}, 18);
        std::vector<double> errors;
        for (int spans : {5, 10, 20}) {
            const SplineSurface carpet = s.carpet(spans, spans);
            const auto sides = roll_underside(carpet, constant_wall(3.0));
            REQUIRE(sides.ok());
            const WallGate gate = measure_wall({carpet, sides->foot_side, sides->underside, trim, {}},
                                               constant_wall(3.0), Outline(trim));
            CHECK(gate.samples > 500);
            CHECK(gate.rays_disagree == 0);
            CHECK(gate.mean_mm == Approx(3.0).margin(0.01));
            errors.push_back(
                std::max({3.0 - gate.least_wall_mm, gate.most_mm - 3.0, std::abs(gate.underside_worst_mm)}));
        }
        INFO(errors[0] << " " << errors[1] << " " << errors[2]);
        CHECK(errors[2] < 1e-3);
        CHECK((errors[2] < errors[0] / 20 || errors[0] < 1e-4));
    }
}

TEST_CASE("A dent in the underside is found with its place and its size", "[wall]") {
    const AnalyticSurface s = cylinder(70, 50, 30);
    const PeriodicCurve trim = uv_circle({35, 25}, 18);
    const Vec2 dent(40, 22);
    const Shell shell = displaced(
        s, trim, {}, [&](const Vec2& uv) { return 3.0 - 1.2 * std::exp(-(uv - dent).squaredNorm() / 18); });
    const WallGate gate = measure_wall(shell, constant_wall(3.0), Outline(trim));
    CHECK_FALSE(gate.ok());
    CHECK(gate.least_wall_mm == Approx(1.8).margin(0.02));
    CHECK(gate.foot_worst_mm == Approx(-1.2).margin(0.02));
    CHECK((gate.least_where - s.point(dent)).norm() < 1.0);
    CHECK(gate.underside_worst_mm == Approx(-1.2).margin(0.02));
    CHECK((gate.underside_where - s.point(dent)).norm() < 3.0);
    // and a swelling is more wall than the balls ask
    const Shell swollen = displaced(
        s, trim, {}, [&](const Vec2& uv) { return 3.0 + 0.8 * std::exp(-(uv - dent).squaredNorm() / 18); });
    const WallGate more = measure_wall(swollen, constant_wall(3.0), Outline(trim));
    CHECK(more.underside_worst_mm == Approx(0.8).margin(0.05));
    CHECK(more.foot_worst_mm > -0.02);
    CHECK_FALSE(more.ok());
}

TEST_CASE("A groove that cuts through is found", "[wall]") {
    const PeriodicCurve trim = uv_circle({35, 25}, 18);
    const auto groove = [](const Vec2& uv) {
        const double d = std::abs(uv.y() - 25);
        return d < 4 ? -3 * 0.5 * (1 + std::cos(std::numbers::pi * d / 4)) : 0.0;
    };
    const Shell shell = displaced(plane(70, 50), trim, groove, [](const Vec2&) { return 2.0; });
    const WallGate gate = measure_wall(shell, constant_wall(2.0), Outline(trim));
    CHECK_FALSE(gate.ok());
    CHECK(gate.least_wall_mm < 0.35);  // 0 on a curve, which samples 0.7 apart pass by
    CHECK(gate.foot_worst_mm < -1.8);
    CHECK(gate.underside_worst_mm < -1.8);
}

TEST_CASE("The nearest wall counts, wherever it lies", "[wall]") {
    // A tight fold: the flank's nearest underside is far off in (u,v). Two half-planes of a hairpin of inner
    // radius 2.4: each wall is 2, and across the hairpin the sheets would meet for a wall above 2.4.
    const AnalyticSurface hairpin{"hairpin", 40, 60, [](const Vec2& uv) {
                                      const double R = 2.4, a = std::numbers::pi * R, l = uv.y() - 30;
                                      SurfacePoint p;
                                      p.suu = p.suv = p.svv = Vec3::Zero();
                                      p.su = {1, 0, 0};
                                      if (std::abs(l) < a / 2) {
                                          const double w = l / R;
                                          p.s = {uv.x(), R * std::sin(w), -R * (1 - std::cos(w))};
                                          p.sv = {0, std::cos(w), -std::sin(w)};
                                      } else {
                                          const double side = l < 0 ? -1 : 1;
                                          p.s = {uv.x(), side * R, -R - (std::abs(l) - a / 2)};
                                          p.sv = {0, 0, -side};
                                      }
                                      return p;
                                  }};
    // underside by displacement of 3.4 > 2.4: each sheet's underside passes through the middle of the hairpin
    // and comes within 1.4 of the other sheet's foot side, tens of mm away in (u,v)
    const PeriodicCurve trim = uv_circle({20, 30}, 19);
    const Shell shell = displaced(hairpin, trim, {}, [](const Vec2&) { return 3.4; });
    const WallGate gate = measure_wall(shell, constant_wall(3.4), Outline(trim));
    CHECK_FALSE(gate.ok());
    CHECK(gate.least_wall_mm == Approx(2 * 2.4 - 3.4).margin(0.1));
}

TEST_CASE("The measure is the same for any number of threads", "[wall]") {
    const SplineSurface carpet = torus(70, 50, 60, 30).carpet(12, 12);
    const PeriodicCurve trim = uv_circle({35, 25}, 18);
    const auto sides = roll_underside(carpet, constant_wall(3.0));
    REQUIRE(sides.ok());
    std::vector<WallGate> gates;
    for (int threads : {1, 2, 8}) {
        set_thread_count(threads);
        gates.push_back(measure_wall({carpet, sides->foot_side, sides->underside, trim, {}},
                                     constant_wall(3.0), Outline(trim)));
    }
    set_thread_count(0);
    for (std::size_t k : {1U, 2U}) {
        CHECK(gates[0].mean_mm == gates[k].mean_mm);
        CHECK(gates[0].underside_worst_mm == gates[k].underside_worst_mm);
        CHECK(gates[0].least_where == gates[k].least_where);
    }
}
