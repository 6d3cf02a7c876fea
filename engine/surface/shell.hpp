// The shell: two sides over one trim line, and the rim between them.
#pragma once

#include <vector>

#include "engine/mesh/triangle_mesh.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::surface {

struct Rim {
    enum class Kind { square, bevelled, rounded };
    Kind kind = Kind::rounded;
    /// bevelled: breadth of each bevel; ignored otherwise. mm.
    double bevel_mm = 0.5;
};

/// Exact surfaces of a shell, design frame, mm. The carpet's normal points towards the foot; both sides share
/// (u,v) and the trim line (counter-clockwise in (u,v)), which bounds both.
struct Shell {
    SplineSurface carpet;     ///< the dressed carpet; normals carry features and wall
    SplineSurface foot_side;  ///< carpet + features
    SplineSurface underside;  ///< by rolling balls (engine/surface/underside.hpp)
    PeriodicCurve trim;
    Rim rim;
};

/// Control rows across the rim at trim parameter s: the first is the foot-side edge, the last the underside
/// edge. Degree 3 with 4 rows (rounded: tangent to both sides), degree 1 with 2 rows (square) or 4
/// (bevelled).
struct RimRows {
    int degree = 1;
    std::vector<Vec3> rows;
};
RimRows rim_rows(const Shell& shell, double s);

/// Triangles of the whole shell, closed and outward, with where each came from.
struct ShellMesh {
    TriangleMesh mesh;
    std::vector<Vec2> uv;  ///< per point; rim points between the edges carry their trim point's (u,v)
    std::size_t foot_side_end = 0;     ///< triangles [0, foot_side_end) are the foot side
    std::size_t underside_end = 0;     ///< [foot_side_end, underside_end) the underside; the rest is rim
    std::size_t foot_side_points = 0;  ///< points [0, foot_side_points) lie on the foot side
    std::size_t underside_points = 0;  ///< the next so many on the underside; the rest on the rim
    /// Trim parameters of the boundary: points [0, trim_s.size()) of the foot side and of the underside
    /// follow the trim line; then every inner row of the rim has so many points, at its `across` (0..1).
    std::vector<double> trim_s;
    std::vector<double> across;
};

}  // namespace archwright::surface
