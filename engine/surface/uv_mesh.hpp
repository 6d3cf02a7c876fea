// Triangles of the trim's inside in (u,v), fine enough for every surface laid over them.
#pragma once

#include <functional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/base/vec.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::surface {

struct UvMeshSettings {
    double chord_mm = tolerance::chord_mm;  ///< greatest distance between a chord and each surface
    /// Further curves over the parameter of a closed curve (rows of its rim) whose chords must keep the
    /// tolerance too: for the trim, the holes and the lines in this order; may be shorter.
    std::vector<std::vector<std::function<Vec3(double s)>>> along;
    /// Closed curves inside, not one within another nor round a hole, that edges of triangles follow and
    /// triangles fill.
    std::vector<PeriodicCurve> lines{};
};

/// A constrained Delaunay triangulation; triangles counter-clockwise in (u,v).
struct UvMesh {
    /// Points [first, first + s.size()) follow one closed curve at parameters s, in the curve's direction.
    struct Loop {
        std::size_t first = 0;
        std::vector<double> s;
    };
    std::vector<Vec2> points;  ///< the loops' points first
    std::vector<Triangle> triangles;
    std::size_t outside_lines = 0;  ///< triangles [0, outside_lines) lie in no line
    std::vector<Loop> loops;        ///< the trim, then the holes, then the lines, in their order
};

/// Meshes the inside of `trim` less the inside of `holes` so that over every triangle and boundary edge each
/// of `surfaces` (over one domain) is within the chord tolerance. Points come from a quadtree whose cells
/// follow the surfaces' second derivatives; what the quadtree leaves is refined. Deterministic. Faults (stage
/// "mesh"): a curve that crosses itself or another, leaves the domain, or has less than three points.
Outcome<UvMesh> mesh_region(const std::vector<const SplineSurface*>& surfaces, const PeriodicCurve& trim,
                            const std::vector<PeriodicCurve>& holes = {},
                            const UvMeshSettings& settings = {});

/// Constrained Delaunay triangles of a simple closed polygon's inside, counter-clockwise, of its own points
/// and those of `inner`, which lie strictly inside it and come after them. Fault (stage "mesh"): fewer than
/// three points, or edges that touch.
Outcome<std::vector<Triangle>> triangulate(const std::vector<Vec2>& polygon,
                                           const std::vector<Vec2>& inner = {});

}  // namespace archwright::surface
