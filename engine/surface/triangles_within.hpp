// Triangles of a region of the plane over given points and edges.
#pragma once

#include <utility>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::surface {

/// Constrained Delaunay triangles, counter-clockwise, of what lies inside the closed lines of the border.
/// `edges`: pairs of points that triangles must keep, the border's among them; those that begin at points for
/// which `on_border` is set are the border. Edges may not cross. Faults: two points coincide (check); what
/// the triangulation says (internal).
Outcome<std::vector<Triangle>> triangles_within(const std::vector<Vec2>& points,
                                                const std::vector<std::pair<std::size_t, std::size_t>>& edges,
                                                const std::vector<char>& on_border);

}  // namespace archwright::surface
