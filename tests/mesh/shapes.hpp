// Small meshes with known topology.
#pragma once

#include <cmath>
#include <numbers>
#include <random>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::tests {

/// n x m squares of the unit square in z = 0, two triangles each, normals +z.
inline TriangleMesh grid(int n, int m) {
    TriangleMesh mesh;
    for (int j = 0; j <= m; ++j)
        for (int i = 0; i <= n; ++i) mesh.points.emplace_back(double(i) / n, double(j) / m, 0.0);
    for (int j = 0; j < m; ++j)
        for (int i = 0; i < n; ++i) {
            const int a = j * (n + 1) + i, b = a + 1, c = a + n + 1, d = c + 1;
            mesh.triangles.push_back({a, b, d});
            mesh.triangles.push_back({a, d, c});
        }
    return mesh;
}

/// Torus of n x m quads; genus 1, so points - edges + triangles = 0.
inline TriangleMesh torus(int n, int m, double big, double small) {
    TriangleMesh mesh;
    const double turn = 2.0 * std::numbers::pi;
    for (int j = 0; j < m; ++j)
        for (int i = 0; i < n; ++i) {
            const double u = turn * i / n, v = turn * j / m;
            const double r = big + small * std::cos(v);
            mesh.points.emplace_back(r * std::cos(u), r * std::sin(u), small * std::sin(v));
        }
    for (int j = 0; j < m; ++j)
        for (int i = 0; i < n; ++i) {
            const int i1 = (i + 1) % n, j1 = (j + 1) % m;
            const int a = j * n + i, b = j * n + i1, c = j1 * n + i, d = j1 * n + i1;
            mesh.triangles.push_back({a, b, d});
            mesh.triangles.push_back({a, d, c});
        }
    return mesh;
}

inline TriangleMesh tetrahedron(const Vec3& at = Vec3::Zero(), double size = 1.0) {
    TriangleMesh mesh;
    mesh.points = {at, at + size * Vec3::UnitX(), at + size * Vec3::UnitY(), at + size * Vec3::UnitZ()};
    mesh.triangles = {{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}};
    return mesh;
}

inline void append(TriangleMesh& mesh, const TriangleMesh& more) {
    const auto base = static_cast<std::int32_t>(mesh.points.size());
    mesh.points.insert(mesh.points.end(), more.points.begin(), more.points.end());
    for (const Triangle& t : more.triangles)
        mesh.triangles.push_back({t[0] + base, t[1] + base, t[2] + base});
}

/// Triangles thrown at random into the unit cube, each with its own points.
inline TriangleMesh soup(std::mt19937_64& random, int count, double size) {
    std::uniform_real_distribution<double> place(0.0, 1.0), offset(-size, size);
    TriangleMesh mesh;
    for (int i = 0; i < count; ++i) {
        const Vec3 centre(place(random), place(random), place(random));
        for (int k = 0; k < 3; ++k)
            mesh.points.push_back(centre + Vec3(offset(random), offset(random), offset(random)));
        mesh.triangles.push_back({3 * i, 3 * i + 1, 3 * i + 2});
    }
    return mesh;
}

}  // namespace archwright::tests
