// A mesh of fewer triangles, for what only has to be looked at.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright {

/// Some of the points of a mesh, and fewer triangles between them. What belongs to a point or a triangle of
/// the mesh given belongs to those that stayed.
struct ThinnedMesh {
    TriangleMesh mesh;
    std::vector<std::int32_t> point_from;     ///< of each point: its index in the mesh given, ascending
    std::vector<std::int32_t> triangle_from;  ///< of each triangle: the one it was, ascending
    double off = 0.0;  ///< greatest distance of a point given (that a triangle used) from this mesh
};

/// Draws points into neighbours along edges, the cheapest first by the quadrics of Garland and Heckbert
/// (Surface simplification using quadric error metrics, 1997; of area, and upright planes along open edges),
/// until at most `most` triangles are left or no edge may go. An edge may not go where the surface would
/// fold, pinch or open: what is closed stays so, and open edges keep their ends. `group`: of each triangle,
/// or empty; a point between two groups moves along their border alone, so that each group keeps its outline.
/// Unit: that of the mesh. The same for any number of threads. Fault (cancelled) alone.
Outcome<ThinnedMesh> thinned(const TriangleMesh& mesh, std::size_t most,
                             const std::vector<std::uint8_t>& group, Progress& progress);

}  // namespace archwright
