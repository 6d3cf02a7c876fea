// Shells for the tests of this folder: grids laid over a map, and the published benchmark shells.
#pragma once

#include <functional>
#include <initializer_list>
#include <string>
#include <vector>

#include "engine/flex/linear.hpp"

namespace archwright::tests {

/// An n x m grid of squares over [0,1]^2, each cut into two triangles; `alternate` turns every other
/// diagonal.
struct Grid {
    flex::Model model;
    int n = 0, m = 0;
    int at(int i, int j) const { return i * (m + 1) + j; }
};
using GridMap = std::function<Vec3(double u, double v)>;
using GridWall = std::function<double(double u, double v)>;
Grid grid(int n, int m, const GridMap& map, const GridWall& wall, bool alternate = false);

/// Supports of some components of a point at 0.
void hold(flex::LinearCase& load_case, int point, std::initializer_list<int> components);

/// Dead load on the middle surface, N/mm2: each triangle's to its corners, a third each.
void load_area(const flex::Model& model, const Vec3& pressure, Eigen::VectorXd& load);

/// Shaped somewhat like a foot orthosis, 180 mm long, 60 to 85 wide: heel cup, arch of 20 mm, wall as given.
Grid foot_shell(int n, int m, const GridWall& wall);

/// A published benchmark: what it is, its published figure and where that stands.
struct Benchmark {
    std::string name, source;
    double published = 0.0;
    int fine = 1;  ///< elements along its length for each of n
    /// n elements a side: the model, supports and load, and the freedom that is compared (with its sign).
    struct Case {
        flex::Model model;
        flex::LinearCase load_case;
        int freedom = 0;
        double sign = 1.0;
    };
    std::function<Case(int n, bool alternate)> make;
};
std::vector<Benchmark> benchmarks();

/// Computed figure over the published one.
double ratio(const Benchmark& benchmark, int n, bool alternate = false);

}  // namespace archwright::tests
