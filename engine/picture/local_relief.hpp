// The relief of a sole over what lies round each place, so that small faults show beside the foot's shape.
#pragma once

#include <vector>

#include "engine/examine/height_map.hpp"

namespace archwright::picture {

/// Standard deviation of the weights round a place, mm: a dent 22 mm wide keeps four fifths of its depth, and
/// the swell of a head or of a border mostly goes.
inline constexpr double local_reach_mm = 10.0;

/// Height of every node over the plane that fits its surroundings best (least squares with Gaussian weights
/// of this standard deviation: local linear regression, W. S. Cleveland 1979), mm; 0 where not valid. A plane
/// gives 0 everywhere, at its borders and round its holes too.
std::vector<double> local_relief(const examine::HeightMap& map, double reach_mm = local_reach_mm);

}  // namespace archwright::picture
