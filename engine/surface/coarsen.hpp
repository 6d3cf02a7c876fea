// A coarser mesh of the same surface, sound by construction.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::surface {

/// A coarser mesh of the same surface: geodesic Voronoi cells of the patch's points, and their dual
/// triangles.
struct Coarse {
    TriangleMesh mesh;
    std::vector<std::int32_t> cell;  ///< per point of the fine mesh: its point of the coarse one, or -1
};

/// Coarsens an orientable manifold mesh to cells about `spacing_mm` wide. Cells are connected by growth along
/// the surface; where the dual would not be manifold, the cells there are halved until it is (single points
/// in the end, which is the fine mesh itself), so sheets that lie close together are never glued.
Coarse coarsen(const TriangleMesh& fine, double spacing_mm);

}  // namespace archwright::surface
