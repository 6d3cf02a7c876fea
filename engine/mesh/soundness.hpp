// Is this mesh the skin of a solid? Counts of what is wrong, with places.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright {

/// What find_soundness() found. All counts zero but `components`, and closed: a sound skin, provided nothing crosses
/// itself (self_intersections).
struct Soundness {
    bool closed = false;                   ///< every edge has exactly two triangles that agree in winding
    std::size_t open_edges = 0;            ///< edges of one triangle
    std::size_t non_manifold_edges = 0;    ///< edges of more than two triangles
    std::size_t misoriented_edges = 0;     ///< edges of two triangles whose windings disagree
    std::size_t non_manifold_points = 0;   ///< points whose triangles form more than one fan
    std::size_t degenerate_triangles = 0;  ///< exactly collinear, or naming a point twice
    std::size_t components = 0;            ///< parts joined through edges
    double volume = 0.0;                   ///< signed, positive when outward; cube of the mesh's unit
    double area = 0.0;                     ///< square of the mesh's unit
    std::vector<Vec3> places;              ///< the first of the faults, at most `places_kept`

    static constexpr std::size_t places_kept = 32;
    bool sound() const {
        return closed && non_manifold_points == 0 && degenerate_triangles == 0 && volume > 0.0;
    }
};

/// Examines a mesh. An empty one is not closed. Indices must lie within the points.
Soundness find_soundness(const TriangleMesh& mesh);

/// Two triangles that meet where they should not.
struct Crossing {
    std::int32_t a = -1;
    std::int32_t b = -1;  ///< a < b
    Vec3 where = Vec3::Zero();
};

/// Pairs of triangles that meet elsewhere than in the points and edges they share, ordered by (a, b), at most
/// `most` of them (the lowest). The decision is exact (predicates.hpp); `where` is rounded. Touching counts:
/// a point on another triangle's face, edges that cross, coplanar overlap, a fold onto a neighbour. Points of
/// equal coordinates count as shared whatever their index. Exactly collinear triangles have no inside and are
/// passed over: find_soundness() counts them.
std::vector<Crossing> self_intersections(const TriangleMesh& mesh, std::size_t most);

/// True when the two triangles meet elsewhere than in what they share; the test self_intersections uses.
bool triangles_meet(const std::array<Vec3, 3>& a, const std::array<Vec3, 3>& b);

}  // namespace archwright
