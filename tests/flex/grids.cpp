#include "tests/flex/grids.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace archwright::tests {

Grid grid(int n, int m, const GridMap& map, const GridWall& wall, bool alternate) {
    Grid made;
    made.n = n;
    made.m = m;
    for (int i = 0; i <= n; ++i)
        for (int j = 0; j <= m; ++j) {
            const double u = static_cast<double>(i) / n, v = static_cast<double>(j) / m;
            made.model.points.push_back(map(u, v));
            made.model.wall_mm.push_back(wall(u, v));
        }
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < m; ++j) {
            const int a = made.at(i, j), b = made.at(i + 1, j), c = made.at(i + 1, j + 1),
                      d = made.at(i, j + 1);
            if (alternate && (i + j) % 2 == 1) {
                made.model.triangles.push_back({a, b, d});
                made.model.triangles.push_back({b, c, d});
            } else {
                made.model.triangles.push_back({a, b, c});
                made.model.triangles.push_back({a, c, d});
            }
        }
    return made;
}

void hold(flex::LinearCase& load_case, int point, std::initializer_list<int> components) {
    for (const int component : components) load_case.supports.push_back({point, component, 0.0});
}

void load_area(const flex::Model& model, const Vec3& pressure, Eigen::VectorXd& load) {
    const std::vector<double> area = flex::areas(model);
    for (std::size_t p = 0; p < area.size(); ++p)
        load.segment<3>(6 * static_cast<Eigen::Index>(p)) += area[p] * pressure;
}

Grid foot_shell(int n, int m, const GridWall& wall) {
    const auto step = [](double t) {
        const double s = std::clamp(t, 0.0, 1.0);
        return s * s * (3.0 - 2.0 * s);
    };
    return grid(
        n, m,
        [&](double u, double v) {
            const double x = 180.0 * u, breadth = 60.0 + 25.0 * step(u), y = (v - 0.5) * breadth;
            const double along = std::clamp((x - 40.0) / 125.0, 0.0, 1.0);
            const double arch = std::pow(std::sin(std::numbers::pi * along), 2);
            const double side = std::pow(2.0 * v - 1.0, 4) * (1.0 - step(x / 70.0));
            const double back = std::pow(std::max(0.0, 1.0 - x / 16.0), 2);
            return Vec3(x, y, arch * (3.0 + 17.0 * step((y + 25.0) / 55.0)) + 12.0 * side + 10.0 * back);
        },
        wall);
}

}  // namespace archwright::tests
