// Flattening a patch into the plane, nearly without stretch.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::surface {

struct FlattenSettings {
    std::size_t direct_points = 6000;  ///< up to so many points are flattened as they are
    double coarse_mm = 2.6;            ///< cell width above that
    int smoothing = 5;                 ///< umbrella steps on the mesh that is flattened (never on the fit)
    int rigid_iterations = 30;         ///< local-global steps
};

struct Flattened {
    std::vector<Vec2> uv;                          ///< per point of the patch
    std::vector<char> known;                       ///< whether the point has a uv
    int flips = 0;                                 ///< triangles turned over
    double stretch_low = 1.0, stretch_high = 1.0;  ///< principal stretches, 0.1 and 99.9 per cent points
    std::size_t flattened_points = 0;
};

/// Least-squares conformal map (B. Levy et al. 2002) then as-rigid-as-possible (L. Liu et al. 2008), both on
/// a coarsened and slightly smoothed copy. Holes stay open: both maps have free borders. Turned so that u
/// runs with +x. Fault (stage "carpet") when the mesh has no area or the systems cannot be solved.
Outcome<Flattened> flatten(const TriangleMesh& patch, const FlattenSettings& settings = {});

/// Points without (u,v) take a neighbour's, from triangle to triangle: a start for Newton. False when no
/// point has one.
bool spread_known(const TriangleMesh& mesh, std::vector<Vec2>& uv, std::vector<char>& known);

}  // namespace archwright::surface
