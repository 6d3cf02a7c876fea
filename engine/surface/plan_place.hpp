// The place of a surface straight above or below a point of the plan.
#pragma once

#include <optional>

#include "engine/base/vec.hpp"
#include "engine/surface/bspline.hpp"

namespace archwright::surface {

/// (u,v) of the place whose plan (x, y) is `plan`, by Newton's method from a start near it. Nothing where it
/// does not converge, or where the surface's normal . z is below `least_cosine`: a wall has no one place over
/// a point.
std::optional<Vec2> place_over(const SplineSurface& surface, const Vec2& plan, const Vec2& start,
                               double least_cosine);

}  // namespace archwright::surface
