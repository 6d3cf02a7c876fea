// K. Y. Sze, X. H. Liu and S. H. Lo, Popular benchmark problems for geometric nonlinear analysis of shells,
// Finite Elements in Analysis and Design 40 (2004) 1551-1569. Units are those of the paper.
#include "tests/flex/large_shells.hpp"

#include <cmath>
#include <numbers>

namespace archwright::tests {

namespace {

constexpr double half_turn = std::numbers::pi;

LargeBenchmark begin(const std::string& name, const Grid& grid, const flex::Lamina& lamina) {
    LargeBenchmark made;
    made.name = name;
    made.problem.model = grid.model;
    made.problem.model.lamina = lamina;
    made.problem.load_case.load =
        Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(grid.model.points.size()));
    return made;
}

}  // namespace

LargeBenchmark end_shear_strip(int n) {
    const Grid g = grid(
        n, 2, [](double u, double v) { return Vec3(10.0 * u, v - 0.5, 0.0); },
        [](double, double) { return 0.1; });
    LargeBenchmark made = begin("cantilever under end shear", g, flex::Lamina::isotropic(1.2e6, 0.0));
    for (int j = 0; j <= 2; ++j) {
        hold(made.problem.load_case, g.at(0, j), {0, 1, 2, 3, 4, 5});
        made.problem.load_case.load[flex::freedom(g.at(n, j), 2)] = 4.0 * (j == 1 ? 0.5 : 0.25);
    }
    made.told = {{g.at(n, 1), 2, 1.0}, {g.at(n, 1), 0, -1.0}};
    return made;
}

LargeBenchmark slit_annulus(int around, int across) {
    const Grid g = grid(
        around, across,
        [](double u, double v) {
            const double r = 6.0 + 4.0 * v, a = 2.0 * half_turn * u;
            return Vec3(r * std::cos(a), r * std::sin(a), 0.0);
        },
        [](double, double) { return 0.03; });
    LargeBenchmark made = begin("slit annular plate", g, flex::Lamina::isotropic(21e6, 0.0));
    // the grid runs against the sense of its triangles: u turns, v goes outwards
    for (Triangle& t : made.problem.model.triangles) std::swap(t[1], t[2]);
    for (int j = 0; j <= across; ++j) {
        hold(made.problem.load_case, g.at(around, j), {0, 1, 2, 3, 4, 5});
        made.problem.load_case.load[flex::freedom(g.at(0, j), 2)] =
            0.8 * 4.0 / across * (j == 0 || j == across ? 0.5 : 1.0);
    }
    made.told = {{g.at(0, 0), 2, 1.0}, {g.at(0, across), 2, 1.0}};
    return made;
}

LargeBenchmark pinched_hemisphere(int n) {
    const Grid g = grid(
        n, n,
        [](double u, double v) {
            const double a = 0.5 * half_turn * u, b = v * 72.0 * half_turn / 180.0;
            return Vec3(10.0 * std::cos(b) * std::cos(a), 10.0 * std::cos(b) * std::sin(a),
                        10.0 * std::sin(b));
        },
        [](double, double) { return 0.04; });
    LargeBenchmark made =
        begin("hemisphere with an 18 degree hole", g, flex::Lamina::isotropic(6.825e7, 0.3));
    for (int i = 0; i <= n; ++i) {
        hold(made.problem.load_case, g.at(0, i), {1, 3, 5});
        hold(made.problem.load_case, g.at(n, i), {0, 4, 5});
    }
    hold(made.problem.load_case, g.at(0, 0), {2});
    // 400 on the whole sphere's four places; a quarter has half of two of them
    made.problem.load_case.load[flex::freedom(g.at(0, 0), 0)] = 200.0;
    made.problem.load_case.load[flex::freedom(g.at(n, 0), 1)] = -200.0;
    made.told = {{g.at(0, 0), 0, 1.0}, {g.at(n, 0), 1, -1.0}};
    return made;
}

LargeBenchmark pulled_cylinder(int along, int around) {
    const Grid g = grid(
        along, around,
        [](double u, double v) {
            const double a = 0.5 * half_turn * v;
            return Vec3(4.953 * std::sin(a), 5.175 * u, 4.953 * std::cos(a));
        },
        [](double, double) { return 0.094; });
    LargeBenchmark made = begin("open cylinder pulled apart", g, flex::Lamina::isotropic(10.5e6, 0.3125));
    for (Triangle& t : made.problem.model.triangles) std::swap(t[1], t[2]);
    // u = 0 the middle of its length, v = 0 the top
    for (int j = 0; j <= around; ++j) hold(made.problem.load_case, g.at(0, j), {1, 3, 5});
    for (int i = 0; i <= along; ++i) {
        hold(made.problem.load_case, g.at(i, 0), {0, 4, 5});
        hold(made.problem.load_case, g.at(i, around), {2, 3, 4});
    }
    made.problem.load_case.load[flex::freedom(g.at(0, 0), 2)] = 40000.0 / 4.0;
    made.told = {{g.at(0, 0), 2, 1.0}, {g.at(0, around), 0, -1.0}, {g.at(along, around), 0, -1.0}};
    return made;
}

LargeBenchmark hinged_roof(int n, double wall) {
    const Grid g = grid(
        n, n,
        [](double u, double v) {
            const double a = 0.1 * (1.0 - u);  // from the hinged edge to the middle
            return Vec3(-2540.0 * std::sin(a), 254.0 * v, 2540.0 * std::cos(a));
        },
        [&](double, double) { return wall; });
    LargeBenchmark made = begin("hinged roof", g, flex::Lamina::isotropic(3102.75, 0.3));
    for (int i = 0; i <= n; ++i) {
        hold(made.problem.load_case, g.at(0, i), {0, 1, 2});
        hold(made.problem.load_case, g.at(n, i), {0, 4, 5});
        hold(made.problem.load_case, g.at(i, 0), {1, 3, 5});
    }
    made.problem.load_case.load[flex::freedom(g.at(n, 0), 2)] = -3000.0 / 4.0;
    made.told = {{g.at(n, 0), 2, -1.0}, {g.at(0, n), 0, 1.0}};
    return made;
}

}  // namespace archwright::tests
