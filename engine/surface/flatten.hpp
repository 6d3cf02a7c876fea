// Flattening a patch into the plane, nearly without stretch.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::surface {

/// A coarser mesh of the same surface: geodesic Voronoi cells of the patch's points, and their dual
/// triangles.
struct Coarse {
    TriangleMesh mesh;
    std::vector<int> cell;  ///< per point of the fine mesh: its point of the coarse one, or -1
};

/// Coarsens an orientable manifold mesh to cells about `spacing_mm` wide. Cells are connected by growth along
/// the surface; where the dual would not be manifold, the cells there are halved until it is (single points
/// in the end, which is the fine mesh itself), so sheets that lie close together are never glued.
Coarse coarsen(const TriangleMesh& fine, double spacing_mm);

struct FlattenSettings {
    std::size_t direct_points = 6000;  ///< up to so many points are flattened as they are
    double coarse_mm = 2.6;            ///< cell width above that
    int smoothing = 5;                 ///< umbrella steps on the mesh that is flattened (never on the fit)
    int rigid_iterations = 30;         ///< local-global steps
};

struct Flattened {
    std::vector<Vec2> uv;                          ///< per point of the patch: its own, or its cell's
    std::vector<char> known;                       ///< whether the point has a uv
    int flips = 0;                                 ///< triangles turned over
    double stretch_low = 1.0, stretch_high = 1.0;  ///< principal stretches, 0.1 and 99.9 per cent points
    std::size_t flattened_points = 0;
};

/// Least-squares conformal map (B. Levy et al. 2002) then as-rigid-as-possible (L. Liu et al. 2008), both on
/// a coarsened and slightly smoothed copy with its holes closed. Turned so that u runs with +x. Fault (stage
/// "carpet") when the mesh has no area or the systems cannot be solved.
Outcome<Flattened> flatten(const TriangleMesh& patch, const FlattenSettings& settings = {});

}  // namespace archwright::surface
