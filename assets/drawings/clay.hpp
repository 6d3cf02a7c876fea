// Bodies in light and shade: the heel from behind, the sole in plan with what moved on it.
#pragma once

#include <functional>

#include "assets/drawings/page.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::drawings {

/// The part of a mesh behind x and below z, in clay, seen from behind over what stands in the box. Few tones,
/// so that the file stays small.
void clay_from_behind(Page& page, const picture::Box& box, const picture::Axes& axes, Side side,
                      const TriangleMesh& mesh, double x, double z);

/// A mesh in plan, seen from above, coloured by one value a point.
void flat_from_above(Page& page, const picture::Box& box, const picture::Axes& axes, Side side,
                     const TriangleMesh& mesh, const std::vector<double>& values,
                     const std::function<picture::Colour(double)>& colour);

}  // namespace archwright::drawings
