// Bodies whose walls, gaps and openness are known.
#pragma once

#include <cmath>
#include <numbers>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::tests {

/// A closed body of revolution about z: the ring of (radius, z) corners, counter-clockwise seen with the
/// radius to the right, is turned round in `count` steps. Corners on the axis have radius 0.
inline TriangleMesh turned(const std::vector<Vec2>& ring, int count) {
    TriangleMesh mesh;
    std::vector<int> first(ring.size());
    for (std::size_t k = 0; k < ring.size(); ++k) {
        first[k] = static_cast<int>(mesh.points.size());
        const int places = ring[k].x() > 0.0 ? count : 1;
        for (int i = 0; i < places; ++i) {
            const double angle = 2.0 * std::numbers::pi * i / count;
            mesh.points.emplace_back(ring[k].x() * std::cos(angle), ring[k].x() * std::sin(angle),
                                     ring[k].y());
        }
    }
    const auto at = [&](std::size_t k, int i) { return first[k] + (ring[k].x() > 0.0 ? i % count : 0); };
    for (std::size_t k = 0; k < ring.size(); ++k) {
        const std::size_t next = (k + 1) % ring.size();
        for (int i = 0; i < count; ++i) {
            if (ring[k].x() > 0.0) mesh.triangles.push_back({at(k, i), at(k, i + 1), at(next, i)});
            if (ring[next].x() > 0.0) mesh.triangles.push_back({at(k, i + 1), at(next, i + 1), at(next, i)});
        }
    }
    return mesh;
}

inline TriangleMesh box_of(const Vec3& size) {
    TriangleMesh mesh;
    for (int corner = 0; corner < 8; ++corner)
        mesh.points.emplace_back(corner & 1 ? size.x() : 0.0, corner & 2 ? size.y() : 0.0,
                                 corner & 4 ? size.z() : 0.0);
    mesh.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                      {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
    return mesh;
}

/// An outward ball by circles of latitude.
inline TriangleMesh ball_of(double radius, int circles) {
    std::vector<Vec2> ring;
    for (int k = 0; k <= circles; ++k) {
        const double angle = std::numbers::pi * (static_cast<double>(k) / circles - 0.5);
        ring.emplace_back(k == 0 || k == circles ? 0.0 : radius * std::cos(angle), radius * std::sin(angle));
    }
    // the ring's last side runs along the axis and has no surface
    return turned(ring, 2 * circles);
}

/// A round block with a blind hole from above.
inline TriangleMesh blind_hole(double outer, double hole, double height, double depth, int count) {
    return turned({{0.0, 0.0},
                   {outer, 0.0},
                   {outer, height},
                   {hole, height},
                   {hole, height - depth},
                   {0.0, height - depth}},
                  count);
}

inline TriangleMesh tube(double inner, double outer, double height, int count) {
    return turned({{inner, 0.0}, {outer, 0.0}, {outer, height}, {inner, height}}, count);
}

inline void join(TriangleMesh& body, const TriangleMesh& more) {
    const int first = static_cast<int>(body.points.size());
    body.points.insert(body.points.end(), more.points.begin(), more.points.end());
    for (const Triangle& t : more.triangles)
        body.triangles.push_back({t[0] + first, t[1] + first, t[2] + first});
}

inline TriangleMesh moved(TriangleMesh mesh, const Mat3& turn, const Vec3& shift) {
    for (Vec3& p : mesh.points) p = turn * p + shift;
    return mesh;
}

}  // namespace archwright::tests
