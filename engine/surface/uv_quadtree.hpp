// Points for a mesh in (u,v), dense where the surfaces bend.
#pragma once

#include <vector>

#include "engine/base/vec.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::surface {

/// Corners of the leaves of a quadtree over the domain of `surfaces` (one domain), kept inside the region and
/// clear of its edge, and of the edges of `lines` where there are some. Cells are split until a chord over
/// one stands off no surface by more than `tolerance` (mm), by the surfaces' second derivatives. The same for
/// any number of threads.
std::vector<Vec2> quadtree_points(const std::vector<const SplineSurface*>& surfaces, const TrimRegion& region,
                                  double tolerance, const TrimRegion* lines = nullptr);

}  // namespace archwright::surface
