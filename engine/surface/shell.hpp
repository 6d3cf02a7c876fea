// The shell: two sides over one trim line, the rim between them, apertures through both, posts under it.
#pragma once

#include <optional>
#include <string>
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

/// A hole through both sides, with a rim of its own between the two images of its curve.
struct Aperture {
    std::string name;     ///< as a fault names it
    PeriodicCurve curve;  ///< in (u,v), run either way
    Rim rim;
};

/// A block under the shell, one solid with it: walls from the underside's image of a curve down to a flat
/// floor, or to two faces of a floor that meet in a rounded hinge.
struct Post {
    /// Where the floor turns up to its second face: beyond a line in plan it rises from its plane, by a
    /// parabola over the hinge's breadth and straight after it (the floor stays convex: it can roll).
    struct Hinge {
        Vec2 point = Vec2::Zero();    ///< any point of the line
        Vec2 beyond = Vec2::UnitY();  ///< towards the second face, across the line, unit
        double rise = 0.0;            ///< mm a mm, 0 or more
        static constexpr double half_breadth_mm = 2.0;
    };

    std::string name;     ///< as a fault names it
    PeriodicCurve curve;  ///< in (u,v), run either way
    /// Of the walls against the vertical, degrees, up to most_draft_deg in size: above 0 the post narrows
    /// towards the ground, below 0 it is flared and widens.
    double draft_deg = 0.0;
    Vec3 floor_point = Vec3::Zero();     ///< any point of the floor's plane
    Vec3 floor_normal = -Vec3::UnitZ();  ///< away from the shell; up to most_tilt_deg off straight down
    std::optional<Hinge> hinge{};

    static constexpr double most_draft_deg = 45.0, most_tilt_deg = 30.0, most_rise = 0.3;
};

/// Exact surfaces of a shell, design frame, mm. The carpet's normal points towards the foot; both sides share
/// (u,v) and the trim line (counter-clockwise in (u,v)), which bounds both.
struct Shell {
    SplineSurface carpet;     ///< the dressed carpet; normals carry features and wall
    SplineSurface foot_side;  ///< carpet + features
    SplineSurface underside;  ///< by rolling balls (engine/surface/underside.hpp)
    PeriodicCurve trim;
    Rim rim;
    std::vector<Aperture> apertures{};
    std::vector<Post> posts{};
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
    /// Per point; points of rims between the edges, and of floors, carry the (u,v) of their place on the
    /// curve.
    std::vector<Vec2> uv;
    /// Triangles [0, foot_side_end) are the foot side, [.., underside_end) the underside outside the posts,
    /// [.., rims_end) the rims of trim and apertures, [.., walls_end) the posts' walls, the rest their
    /// floors.
    std::size_t foot_side_end = 0, underside_end = 0, rims_end = 0, walls_end = 0;
    std::size_t foot_side_points = 0;  ///< points [0, foot_side_points) lie on the foot side
    std::size_t underside_points = 0;  ///< the next so many on the underside; the rest on rims and floors
    /// A closed edge and what stands on it, between two rows of s.size() points each.
    struct Edge {
        std::vector<double> s;       ///< parameters of Border::curve
        std::size_t upper = 0;       ///< first point on the foot side (post: the underside)
        std::size_t lower = 0;       ///< first point on the underside (post: its floor)
        std::size_t inner = 0;       ///< first point of the rows between, from upper to lower
        std::vector<double> across;  ///< where those stand, 0..1
        std::size_t floor = 0;       ///< first point within the floor of a post with a hinge
        std::vector<Vec2> within;    ///< where those stand, in plan
    };
    std::vector<Edge> edges;  ///< in the order of `borders` (engine/surface/border.hpp): the trim first
};

}  // namespace archwright::surface
