// Curves on a mesh where a value given at its points takes one level: sections, isolines.
#pragma once

#include <limits>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::picture {

struct Chain {
    std::vector<Vec3> points;
    bool closed = false;

    double length() const;
};

/// Triangles [first, last) of a mesh.
struct FaceRange {
    std::size_t first = 0;
    std::size_t last = std::numeric_limits<std::size_t>::max();
};

/// Where the value, linear in each triangle, is `level`; the higher side lies to the left, seen from outside.
/// A value equal to the level counts as above it, so that chains on a closed mesh are closed. Triangles whose
/// value rises by less than `least_slope` a mm are left out. Chains of one point are never returned.
std::vector<Chain> level_curves(const TriangleMesh& mesh, const std::vector<double>& values, double level,
                                const FaceRange& range = {}, double least_slope = 0.0);

/// Section by the plane where coordinate `axis` (0: x, 1: y, 2: z) equals `at`.
std::vector<Chain> plane_section(const TriangleMesh& mesh, int axis, double at, const FaceRange& range = {});

}  // namespace archwright::picture
