// Bodies with a known shape, for the tests of making.
#pragma once

#include <functional>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::tests {

/// A closed body over the rectangle [-half_x, half_x] x [-half_y, half_y]: top and bottom by functions of the
/// place, straight walls between; nx by ny cells of two triangles.
inline TriangleMesh slab(double half_x, double half_y, int nx, int ny,
                         const std::function<double(double, double)>& top,
                         const std::function<double(double, double)>& bottom) {
    TriangleMesh mesh;
    const int columns = nx + 1, rows = ny + 1;
    for (int face = 0; face < 2; ++face)
        for (int k = 0; k < rows; ++k)
            for (int i = 0; i < columns; ++i) {
                const double x = half_x * (2.0 * i / nx - 1.0), y = half_y * (2.0 * k / ny - 1.0);
                mesh.points.emplace_back(x, y, face == 0 ? top(x, y) : bottom(x, y));
            }
    const auto at = [&](int face, int i, int k) { return face * columns * rows + k * columns + i; };
    for (int k = 0; k < ny; ++k)
        for (int i = 0; i < nx; ++i) {
            mesh.triangles.push_back({at(0, i, k), at(0, i + 1, k), at(0, i + 1, k + 1)});
            mesh.triangles.push_back({at(0, i, k), at(0, i + 1, k + 1), at(0, i, k + 1)});
            mesh.triangles.push_back({at(1, i, k), at(1, i + 1, k + 1), at(1, i + 1, k)});
            mesh.triangles.push_back({at(1, i, k), at(1, i, k + 1), at(1, i + 1, k + 1)});
        }
    const auto wall = [&](int i, int k, int i2, int k2) {
        mesh.triangles.push_back({at(0, i, k), at(1, i, k), at(1, i2, k2)});
        mesh.triangles.push_back({at(0, i, k), at(1, i2, k2), at(0, i2, k2)});
    };
    for (int i = 0; i < nx; ++i) {
        wall(i, 0, i + 1, 0);
        wall(i + 1, ny, i, ny);
    }
    for (int k = 0; k < ny; ++k) {
        wall(0, k + 1, 0, k);
        wall(nx, k, nx, k + 1);
    }
    return mesh;
}

inline TriangleMesh block(double half_x, double half_y, double low, double high) {
    return slab(
        half_x, half_y, 1, 1, [=](double, double) { return high; }, [=](double, double) { return low; });
}

}  // namespace archwright::tests
