// Loops drawn in plan, laid on a surface.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::surface {

/// The closed curve in (u,v) whose image on the surface lies straight above or below the points of a closed
/// polygon in plan (x, y; mm), by Newton's method; between the points it is smooth, so they should stand some
/// millimetres apart. For posts, the surface to give is the underside; for apertures, the foot side. Where
/// the surface overhangs, the part that faces up is meant. Faults (stage "loops", with the place): fewer than
/// four points, or a point over no part of the surface, or over one steeper than tolerance::post_cosine.
Outcome<PeriodicCurve> plan_loop(const SplineSurface& surface, const std::vector<Vec2>& plan);

}  // namespace archwright::surface
