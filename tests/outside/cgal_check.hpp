// CGAL as a second opinion on self-intersection (one translation unit compiles its headers).
#pragma once

#include <cstddef>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::tests {

/// For manifold meshes: pairs of triangles that intersect other than in what they share, by CGAL's Polygon
/// Mesh Processing on exact predicates.
std::size_t cgal_self_intersections(const TriangleMesh& mesh);

}  // namespace archwright::tests
