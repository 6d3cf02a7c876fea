// Where a finding lies on the sole: its line or its outline, clipped to the foot.
#pragma once

#include "engine/examine/finding.hpp"
#include "engine/picture/level_curves.hpp"
#include "engine/picture/sole_relief.hpp"

namespace archwright::picture {

/// All of the sole within `reach` mm of one point, or of the line through several: its outline in space.
std::vector<Chain> reach_outline(const SoleRelief& sole, const std::vector<Vec3>& points, double reach);

/// A crease or a seam: its line as far as the sole shows it. A flat: the edge of what lies within 0.25 mm of
/// the plane round its place. A hole: round it, 1.5 mm outside. All else: the circle about its place. Empty
/// for what the sole does not show.
std::vector<Chain> outline_of(const examine::Finding& finding, const SoleRelief& sole);

}  // namespace archwright::picture
