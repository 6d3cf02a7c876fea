// Boxes as the tree keeps them: float, rounded outward, so that no triangle is lost. For bvh*.cpp alone.
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::bvh {

using Index = std::int32_t;

/// Triangles of a leaf at most; measured: 2 costs memory, 8 costs triangle tests.
inline constexpr Index leaf_size = 4;
/// Nodes waiting while the tree is walked: one a level. Levels are bounded by depth_limit, and by 32 below
/// it.
inline constexpr std::size_t stack_size = 128;
/// Below this depth nodes are divided by halves.
inline constexpr int depth_limit = 60;

inline float round_down(double value) {
    float f = static_cast<float>(value);
    if (static_cast<double>(f) > value) f = std::nextafter(f, -std::numeric_limits<float>::infinity());
    return f;
}
inline float round_up(double value) {
    float f = static_cast<float>(value);
    if (static_cast<double>(f) < value) f = std::nextafter(f, std::numeric_limits<float>::infinity());
    return f;
}

template <class Node>
inline bool boxes_touch(const Node& a, const Node& b) {
    return a.low[0] <= b.high[0] && b.low[0] <= a.high[0] && a.low[1] <= b.high[1] && b.low[1] <= a.high[1] &&
           a.low[2] <= b.high[2] && b.low[2] <= a.high[2];
}

inline Box3 triangle_box(const TriangleMesh& mesh, Index triangle) {
    Box3 box;
    for (const Index p : mesh.triangles[static_cast<std::size_t>(triangle)])
        box.add(mesh.points[static_cast<std::size_t>(p)]);
    return box;
}

inline bool boxes_touch(const Box3& a, const Box3& b) {
    return (a.low.array() <= b.high.array()).all() && (b.low.array() <= a.high.array()).all();
}

}  // namespace archwright::bvh
