// The rim between the two images of the trim line, or of an aperture's curve.
#pragma once

#include <functional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::surface {

/// How far the rim stands out beyond its curve for a wall of this thickness, mm.
double rim_reach(const Rim& rim, double wall_mm);

/// Least radius of a corner of the curve that bends inward (towards the shell) so that the rim does not
/// overlap itself there, mm; outward corners may be sharp.
double least_corner_radius(const Rim& rim, double wall_mm);

/// Control rows across the rim between the two images of a closed curve, at its parameter s; the curve runs
/// so that the shell lies on its left in (u,v) (trim counter-clockwise, apertures clockwise).
RimRows rim_rows(const SplineSurface& foot_side, const SplineSurface& underside, const PeriodicCurve& curve,
                 const Rim& rim, double s);

/// The same from the sides' points there and the curve's direction in (u,v).
RimRows rim_rows(const SurfacePoint& foot_side, const SurfacePoint& underside, const Vec2& tangent,
                 const Rim& rim);

/// A corner of a rim's curve sharper than the rim is round.
struct SharpCorner {
    double s = 0.0;        ///< parameter of the curve
    Vec3 where;            ///< on the foot side
    double radius_mm = 0;  ///< of the curve there, in space
    double asked_mm = 0;   ///< least radius the rim needs
};
/// Every run of a rim's curve (of the trim, where a shell is given) along which the rim would overlap itself,
/// its worst place each.
std::vector<SharpCorner> sharp_corners(const Border& rim);
std::vector<SharpCorner> sharp_corners(const Shell& shell);
/// The same as a fault (stage "rim") naming the sharpest, of the trim's rim, then of each aperture's.
Outcome<Done> check_rim(const Shell& shell);

/// A point of the rim: `across` 0 at the foot side's edge, 1 at the underside's.
Vec3 rim_point(const RimRows& rows, double across);

}  // namespace archwright::surface
