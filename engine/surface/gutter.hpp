// A parametrisation that needs no topology: rays from a smooth gutter under the foot.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::surface {

/// A gutter fitted to the cast, and a nearly isometric (u,v) for the cast's points.
struct Gutter {
    SplineSurface surface;  ///< over its own domain; normal towards the foot; u with +x, v with +y
    std::vector<Vec2> uv;  ///< per point of the patch: on the gutter laid flat, turned so that u runs with +x
    std::vector<char> known;  ///< whether the point lies on the gutter
    double room_mm = 0.0;     ///< points may stand this far beyond the flat gutter's border
    int flips = 0;            ///< triangles of the gutter turned over in flattening
    std::size_t rays = 0, met = 0;
};

/// A gutter (round in section, with a quarter of a bowl behind the heel) is laid under the sole from the
/// rule's landmarks and the patch's own widths; rays along its normals find the patch, front side only; the
/// smooth height over the gutter makes the next gutter. Two rounds; then the gutter is flattened in the
/// cast's stead. `patch` has its normals towards the foot; it may be in pieces. Fooled by double walls that
/// face the same way. Fault (stage "carpet") when fewer than a quarter of the rays under the shell meet
/// anything.
Outcome<Gutter> lay_gutter(const TriangleMesh& patch, const TrimRule& rule);

}  // namespace archwright::surface
