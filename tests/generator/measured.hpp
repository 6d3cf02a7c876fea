// Measures of a foot taken from its triangles alone, by other means than the generator's.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::tests {

/// The point of a mesh farthest along a direction, among those that a filter lets through.
inline Vec3 farthest(
    const TriangleMesh& mesh, const Vec3& direction,
    const std::function<bool(const Vec3&)>& among = [](const Vec3&) { return true; }) {
    Vec3 best = Vec3::Zero();
    double most = -1e300;
    for (const Vec3& p : mesh.points)
        if (among(p) && p.dot(direction) > most) {
            most = p.dot(direction);
            best = p;
        }
    return best;
}

/// Where the plane coordinate[axis] = at crosses the edges of the mesh.
inline std::vector<Vec3> section(const TriangleMesh& mesh, int axis, double at) {
    std::vector<Vec3> out;
    for (const Triangle& t : mesh.triangles)
        for (std::size_t i = 0; i < 3; ++i) {
            const Vec3 &a = mesh.points[t[i]], &b = mesh.points[t[(i + 1) % 3]];
            if ((a[axis] < at) == (b[axis] < at)) continue;
            out.push_back(a + (b - a) * ((at - a[axis]) / (b[axis] - a[axis])));
        }
    return out;
}

}  // namespace archwright::tests
