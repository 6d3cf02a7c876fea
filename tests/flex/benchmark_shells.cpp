// The shells on which shell elements are judged, with their published figures. Units are those of the sources
// (any consistent set will do).
#include <cmath>
#include <numbers>

#include "tests/flex/grids.hpp"

namespace archwright::tests {

namespace {

using Case = Benchmark::Case;
constexpr double pi = std::numbers::pi;

Case start(const Grid& grid, const flex::Lamina& lamina) {
    Case made;
    made.model = grid.model;
    made.model.lamina = lamina;
    made.load_case.load = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(grid.model.points.size()));
    return made;
}

/// A quarter of a square plate, side 100, wall 1, under 1 a unit of area.
Case plate_quarter(int n, bool alternate, bool clamped) {
    const Grid g = grid(
        n, n, [](double u, double v) { return Vec3(50.0 * u, 50.0 * v, 0.0); },
        [](double, double) { return 1.0; }, alternate);
    Case made = start(g, flex::Lamina::isotropic(2.1e5, 0.3));
    for (int i = 0; i <= n; ++i) {
        if (clamped) {
            hold(made.load_case, g.at(0, i), {0, 1, 2, 3, 4, 5});
            hold(made.load_case, g.at(i, 0), {0, 1, 2, 3, 4, 5});
        } else {  // hard: nothing turns along the edge
            hold(made.load_case, g.at(0, i), {1, 2, 3});
            hold(made.load_case, g.at(i, 0), {0, 2, 4});
        }
        hold(made.load_case, g.at(n, i), {0, 4, 5});
        hold(made.load_case, g.at(i, n), {1, 3, 5});
    }
    load_area(made.model, Vec3(0, 0, 1), made.load_case.load);
    made.freedom = flex::freedom(g.at(n, n), 2);
    return made;
}

double plate_figure(double factor) {
    const double rigidity = 2.1e5 / (12.0 * (1.0 - 0.09));
    return factor * 1e8 / rigidity;
}

/// A quarter of a roof of 80 degrees on two end walls, under its own weight.
Case roof(int n, bool alternate) {
    const Grid g = grid(
        n, n,
        [](double u, double v) {
            const double a = v * 40.0 * pi / 180.0;
            return Vec3(25.0 * u, 25.0 * std::sin(a), 25.0 * std::cos(a));
        },
        [](double, double) { return 0.25; }, alternate);
    Case made = start(g, flex::Lamina::isotropic(4.32e8, 0.0));
    for (int i = 0; i <= n; ++i) {
        hold(made.load_case, g.at(0, i), {1, 2});
        hold(made.load_case, g.at(n, i), {0, 4, 5});
        hold(made.load_case, g.at(i, 0), {1, 3, 5});
    }
    load_area(made.model, Vec3(0, 0, -90), made.load_case.load);
    made.freedom = flex::freedom(g.at(n, n), 2);
    made.sign = -1.0;
    return made;
}

/// An eighth of a cylinder with end walls, pinched by two forces of 1.
Case pinched_cylinder(int n, bool alternate) {
    const Grid g = grid(
        n, n,
        [](double u, double v) {
            const double a = 0.5 * pi * v;
            return Vec3(300.0 * u, 300.0 * std::sin(a), 300.0 * std::cos(a));
        },
        [](double, double) { return 3.0; }, alternate);
    Case made = start(g, flex::Lamina::isotropic(3e6, 0.3));
    for (int i = 0; i <= n; ++i) {
        hold(made.load_case, g.at(0, i), {1, 2});
        hold(made.load_case, g.at(n, i), {0, 4, 5});
        hold(made.load_case, g.at(i, 0), {1, 3, 5});
        hold(made.load_case, g.at(i, n), {2, 3, 4});
    }
    made.freedom = flex::freedom(g.at(n, 0), 2);
    made.load_case.load[made.freedom] = -0.25;
    made.sign = -1.0;
    return made;
}

/// A quarter of a hemisphere with an 18 degree hole, pulled and pushed by forces of 2.
Case hemisphere(int n, bool alternate) {
    const Grid g = grid(
        n, n,
        [](double u, double v) {
            const double a = 0.5 * pi * u, b = v * 72.0 * pi / 180.0;
            return Vec3(10.0 * std::cos(b) * std::cos(a), 10.0 * std::cos(b) * std::sin(a),
                        10.0 * std::sin(b));
        },
        [](double, double) { return 0.04; }, alternate);
    Case made = start(g, flex::Lamina::isotropic(6.825e7, 0.3));
    for (int i = 0; i <= n; ++i) {
        hold(made.load_case, g.at(0, i), {1, 3, 5});
        hold(made.load_case, g.at(n, i), {0, 4, 5});
    }
    hold(made.load_case, g.at(0, 0), {2});
    made.freedom = flex::freedom(g.at(0, 0), 0);
    made.load_case.load[made.freedom] = 1.0;
    made.load_case.load[flex::freedom(g.at(n, 0), 1)] = -1.0;
    return made;
}

/// A strip twisted by 90 degrees, clamped, a force of 1 at its end along y or z.
Case twisted_beam(int n, bool alternate, int along) {
    const int m = 2 * ((std::max(2, n / 6) + 1) / 2);
    const Grid g = grid(
        n, m,
        [](double u, double v) {
            const double a = 0.5 * pi * u, s = 1.1 * (v - 0.5);
            return Vec3(12.0 * u, s * std::cos(a), s * std::sin(a));
        },
        [](double, double) { return 0.32; }, alternate);
    Case made = start(g, flex::Lamina::isotropic(29e6, 0.22));
    for (int j = 0; j <= m; ++j) {
        hold(made.load_case, g.at(0, j), {0, 1, 2, 3, 4, 5});
        made.load_case.load[flex::freedom(g.at(n, j), along)] += (j == 0 || j == m ? 0.5 : 1.0) / m;
    }
    made.freedom = flex::freedom(g.at(n, m / 2), along);
    return made;
}

/// A cantilever whose wall falls from 4 to 2, force of 1 at its end.
Case tapered_cantilever(int n, bool alternate) {
    const int m = std::max(2, n / 5 / 2 * 2);
    const Grid g = grid(
        n, m, [](double u, double v) { return Vec3(100.0 * u, 20.0 * v, 0.0); },
        [](double u, double) { return 4.0 - 2.0 * u; }, alternate);
    Case made = start(g, flex::Lamina::isotropic(2000.0, 0.0));
    for (int j = 0; j <= m; ++j) {
        hold(made.load_case, g.at(0, j), {0, 1, 2, 3, 4, 5});
        made.load_case.load[flex::freedom(g.at(n, j), 2)] += (j == 0 || j == m ? 0.5 : 1.0) / m;
    }
    made.freedom = flex::freedom(g.at(n, m / 2), 2);
    return made;
}

/// w = 12 P L^3 / (E b t0^3) (-ln a - 2 (1 - a) + (1 - a^2) / 2) / (1 - a)^3, a = t1 / t0: the bending
/// moment over the rigidity integrated twice.
double tapered_figure() {
    const double a = 0.5;
    return 12.0 * 1e6 / (2000.0 * 20.0 * 64.0) * (-std::log(a) - 2.0 * (1.0 - a) + 0.5 * (1.0 - a * a)) /
           std::pow(1.0 - a, 3);
}

}  // namespace

std::vector<Benchmark> benchmarks() {
    return {
        {"square plate, simply supported",
         "Timoshenko and Woinowsky-Krieger 1959, table 8 (0.00406 q a^4 / D)", plate_figure(0.00406235), 1,
         [](int n, bool a) { return plate_quarter(n, a, false); }},
        {"square plate, clamped", "Timoshenko and Woinowsky-Krieger 1959, table 35 (0.00126 q a^4 / D)",
         plate_figure(0.00126532), 1, [](int n, bool a) { return plate_quarter(n, a, true); }},
        {"Scordelis-Lo roof", "MacNeal and Harder 1985 (0.3024)", 0.3024, 1, roof},
        {"pinched cylinder", "Lindberg, Olson and Cowper 1969 (164.24 P / (E t))", 164.24 / (3e6 * 3.0), 1,
         pinched_cylinder},
        {"hemisphere with an 18 degree hole", "MacNeal and Harder 1985 (0.0940)", 0.0940, 1, hemisphere},
        {"twisted beam, along its end's width", "MacNeal and Harder 1985 (0.005424)", 5.424e-3, 3,
         [](int n, bool a) { return twisted_beam(n, a, 2); }},
        {"twisted beam, across it", "MacNeal and Harder 1985 (0.001754)", 1.754e-3, 3,
         [](int n, bool a) { return twisted_beam(n, a, 1); }},
        {"tapered cantilever", "closed form: moment over rigidity, integrated twice", tapered_figure(), 3,
         tapered_cantilever},
    };
}

double ratio(const Benchmark& benchmark, int n, bool alternate) {
    const Case made = benchmark.make(n * benchmark.fine, alternate);
    const auto solved = flex::solve_linear(made.model, made.load_case);
    if (!solved) return 0.0;
    return made.sign * solved->displacement[made.freedom] / benchmark.published;
}

}  // namespace archwright::tests
