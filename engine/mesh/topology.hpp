// Which triangle lies beyond which edge: neighbours, borders, parts, agreement of winding.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright {

/// Half-edge h = 3 * triangle + k runs from the triangle's point k to point (k + 1) % 3.
inline std::int32_t next_half_edge(std::int32_t h) {
    return h % 3 == 2 ? h - 2 : h + 1;
}

/// The edges of a mesh as one number a half-edge. 12 bytes a triangle.
/// A triangle that names a point twice has no place among the edges: its half-edges are marked `degenerate`
/// and it is nobody's neighbour.
struct Topology {
    static constexpr std::int32_t open = -1;          ///< no triangle beyond
    static constexpr std::int32_t non_manifold = -2;  ///< more than two triangles at this edge
    static constexpr std::int32_t degenerate = -3;    ///< of a triangle that names a point twice

    /// For each half-edge the one across it (whichever way that one runs), or one of the marks above.
    std::vector<std::int32_t> opposite;
    /// Half-edges of the non-manifold edges, those of one edge adjacent; `non_manifold_begin` holds the start
    /// of each edge's run and the total at its end.
    std::vector<std::int32_t> non_manifold_half_edges;
    std::vector<std::size_t> non_manifold_begin{0};
    std::size_t open_edges = 0;
    std::size_t misoriented_edges = 0;  ///< shared by two triangles that run along it the same way

    std::size_t non_manifold_edges() const { return non_manifold_begin.size() - 1; }
};

/// Finds the edges. Indices must lie within the points. At most 715 million triangles (indices are 32 bits).
Topology find_topology(const TriangleMesh& mesh);

/// A closed walk along open edges, the mesh on its left when its winding agrees. A walk may pass along a
/// non-manifold edge where that borders the same sheet.
struct BoundaryLoop {
    std::vector<std::int32_t> points;  ///< each once a passing; the last joins the first
    double length = 0.0;               ///< in the mesh's unit
};

/// All boundary loops that contain an open edge, in the order of their lowest half-edge.
std::vector<BoundaryLoop> boundary_loops(const TriangleMesh& mesh, const Topology& topology);

/// Parts of a mesh joined through edges (non-manifold ones too; not through single points).
struct Parts {
    std::vector<std::int32_t> of_triangle;  ///< part of each triangle, numbered by lowest triangle
    std::vector<std::size_t> triangles;     ///< triangles of each part
    std::vector<double> area;               ///< of each part, square of the mesh's unit
    std::size_t count() const { return triangles.size(); }
};
Parts find_parts(const TriangleMesh& mesh, const Topology& topology);

/// What orient_consistently did.
struct Orientation {
    std::size_t flipped = 0;   ///< triangles turned over
    std::size_t disputed = 0;  ///< edges whose two triangles cannot agree (a Moebius strip)
};

/// Makes winding agree across every edge of two triangles, part by part; in each part the side that holds the
/// greater area stays as it is. Does not judge inside or outside. `topology` is that of the mesh and is kept
/// true.
Orientation orient_consistently(TriangleMesh& mesh, Topology& topology);

/// Points used by no triangle go; the others keep their order. Returns how many went.
std::size_t drop_unused_points(TriangleMesh& mesh);

}  // namespace archwright
