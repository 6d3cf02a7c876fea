// The same surface over fewer knots: what was refined evenly is kept fine only where it has to be.
#pragma once

#include <vector>

#include "engine/surface/bspline.hpp"

namespace archwright::solid {

/// A tensor-product cubic B-spline over clamped knots that need not be even; control[i * (v.size() + 2) + j].
struct KnottedSurface {
    std::vector<double> u, v;  ///< distinct knots, mm; the ends count four-fold, the others once
    std::vector<Vec3> control;
    double moved_mm = 0.0;  ///< greatest distance found between the two surfaces at equal parameters
};

/// Drops whole knot lines, in u and then in v, as long as no point moves by more than `tolerance_mm`: spans
/// are joined by twos, fours, ... and divided again where least squares over what is left (T. Lyche, K.
/// Morken 1987, CAGD 4:217, data reduction) misses half of it. The new knots are some of the old ones. Only
/// the part of the domain that holds low..high is kept (up to two spans more).
KnottedSurface fewer_knots(const surface::SplineSurface& surface, const Vec2& low, const Vec2& high,
                           double tolerance_mm);

}  // namespace archwright::solid
