// Edges that stay edges when a mesh is shaded smoothly.
#pragma once

#include <cstddef>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::picture {

/// Triangles [first, last) of a mesh on points of their own, doubled where triangles round them are turned
/// against each other by more than `degrees`: normals of points are then those of one side of an edge.
TriangleMesh creased(const TriangleMesh& mesh, std::size_t first, std::size_t last, double degrees = 30.0);

}  // namespace archwright::picture
