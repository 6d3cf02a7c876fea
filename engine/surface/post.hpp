// The walls and the floor of a post.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::surface {

/// How far the floor has risen from its plane at a place in plan, mm: 0 without a hinge.
double rise_of_floor(const Post& post, const Vec2& plan);

/// The floor's point at a place in plan.
Vec3 floor_point(const Post& post, const Vec2& plan);

/// Height of a place above a post's floor, straight down, mm; negative below it.
double height_above_floor(const Post& post, const Vec3& place);

/// The wall at parameter s of a curve that runs counter-clockwise in (u,v): its point on the underside and,
/// straight along the wall, its image on the floor. The wall goes down along -z, turned by the draft about
/// the curve's own direction in plan.
RimRows post_rows(const SplineSurface& underside, const PeriodicCurve& curve, const Post& post, double s);

/// The same from the underside's point there and the curve's direction in (u,v).
RimRows post_rows(const SurfacePoint& underside, const Vec2& tangent, const Post& post);

/// Points in plan within a floor's outline (closed, simple) that its triangles need besides that outline:
/// rows along the hinge, close enough for a chord over it to stay within tolerance::chord_mm / 4. None
/// without a hinge.
std::vector<Vec2> floor_points(const Post& post, const std::vector<Vec2>& outline);

/// Whether a post can stand. Faults (stage "posts") name it, the place and the amount: numbers out of range,
/// a floor above the underside or less than tolerance::post_least_mm below it, an underside too steep for
/// walls (tolerance::post_cosine), a draft that folds the walls.
Outcome<Done> check_post(const Border& post);

}  // namespace archwright::surface
