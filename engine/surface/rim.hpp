// The rim between the two images of the trim line.
#pragma once

#include <functional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::surface {

/// How far the rim stands out beyond the trim line for a wall of this thickness, mm.
double rim_reach(const Rim& rim, double wall_mm);

/// Least radius of a trim corner that bends inward (towards the shell) so that the rim does not overlap
/// itself there, mm; outward corners may be sharp.
double least_corner_radius(const Rim& rim, double wall_mm);

/// A corner of the trim sharper than the rim is round.
struct SharpCorner {
    double s = 0.0;        ///< trim parameter
    Vec3 where;            ///< on the foot side
    double radius_mm = 0;  ///< of the trim there, in space
    double asked_mm = 0;   ///< least radius the rim needs
};
/// Every run of the trim along which the rim would overlap itself, its worst place each.
std::vector<SharpCorner> sharp_corners(const Shell& shell);
/// The same as a fault (stage "rim") naming the sharpest.
Outcome<Done> check_rim(const Shell& shell);

/// A point of the rim: `across` 0 at the foot side's edge, 1 at the underside's.
Vec3 rim_point(const RimRows& rows, double across);

}  // namespace archwright::surface
