// Closed meshes with and without triangles too thin for a file of floats.
#pragma once

#include <cmath>
#include <numbers>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::tests {

/// A closed surface of revolution about z, from pole to pole through rings at the given polar angles.
inline TriangleMesh ball_through(double radius, int around, const std::vector<double>& angles,
                                 const Vec3& at) {
    TriangleMesh mesh;
    const auto rings = static_cast<std::int32_t>(angles.size());
    mesh.points.push_back(at + Vec3(0, 0, radius));
    for (const double polar : angles)
        for (int i = 0; i < around; ++i) {
            const double a = 2.0 * std::numbers::pi * i / around;
            mesh.points.push_back(at + radius * Vec3(std::sin(polar) * std::cos(a),
                                                     std::sin(polar) * std::sin(a), std::cos(polar)));
        }
    mesh.points.push_back(at - Vec3(0, 0, radius));
    const auto last = static_cast<std::int32_t>(mesh.points.size()) - 1;
    const auto point = [&](std::int32_t ring, std::int32_t i) { return 1 + ring * around + i % around; };
    for (std::int32_t i = 0; i < around; ++i) {
        mesh.triangles.push_back({0, point(0, i), point(0, i + 1)});
        for (std::int32_t r = 0; r + 1 < rings; ++r) {
            mesh.triangles.push_back({point(r, i), point(r + 1, i), point(r + 1, i + 1)});
            mesh.triangles.push_back({point(r, i), point(r + 1, i + 1), point(r, i + 1)});
        }
        mesh.triangles.push_back({point(rings - 1, i), last, point(rings - 1, i + 1)});
    }
    return mesh;
}

inline TriangleMesh ball(double radius, int around, const Vec3& at = Vec3::Zero()) {
    std::vector<double> angles;
    for (int r = 1; r < around / 2; ++r) angles.push_back(2.0 * std::numbers::pi * r / around);
    return ball_through(radius, around, angles, at);
}

/// The same with every ring doubled `width` mm further on.
inline TriangleMesh ball_with_slivers(double radius, int around, double width, const Vec3& at) {
    std::vector<double> angles;
    for (int r = 1; r < around / 2; ++r) {
        angles.push_back(2.0 * std::numbers::pi * r / around);
        angles.push_back(angles.back() + width / radius);
    }
    return ball_through(radius, around, angles, at);
}

inline TriangleMesh box(const Vec3& low, const Vec3& high) {
    TriangleMesh mesh;
    for (int k = 0; k < 8; ++k)
        mesh.points.emplace_back(k & 1 ? high.x() : low.x(), k & 2 ? high.y() : low.y(),
                                 k & 4 ? high.z() : low.z());
    mesh.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                      {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
    return mesh;
}

/// Puts a point in the middle of the first triangle's first edge into that triangle alone, and closes the gap
/// to the neighbour with a triangle on three points in line.
inline void add_flat_triangle(TriangleMesh& mesh) {
    const Triangle t = mesh.triangles[0];
    const auto middle = static_cast<std::int32_t>(mesh.points.size());
    mesh.points.push_back(0.5 * (mesh.points[t[0]] + mesh.points[t[1]]));
    mesh.triangles[0] = {t[0], middle, t[2]};
    mesh.triangles.push_back({middle, t[1], t[2]});
    mesh.triangles.push_back({t[0], t[1], middle});
}

}  // namespace archwright::tests
