// Some of a mesh's triangles as a mesh of their own.
#pragma once

#include <cstddef>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright {

/// Triangles [first, last), over all points of the mesh.
inline TriangleMesh range(const TriangleMesh& mesh, std::size_t first, std::size_t last) {
    TriangleMesh out;
    out.points = mesh.points;
    out.triangles.assign(mesh.triangles.begin() + static_cast<std::ptrdiff_t>(first),
                         mesh.triangles.begin() + static_cast<std::ptrdiff_t>(last));
    return out;
}

}  // namespace archwright
