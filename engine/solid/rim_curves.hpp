// Inside engine/solid only: the rows of a rim, or of a post's wall, as curves along its border.
#pragma once

#include <Geom_BSplineCurve.hxx>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/surface/border.hpp"

namespace archwright::solid {

/// Periodic cubic B-splines through a border's rows (surface::Border), all over one set of knots in the
/// curve's own parameter: the first lies on the foot side, the last on the underside (post: underside and
/// floor).
struct RimCurves {
    int degree = 1;  ///< across the rim: rows.size() == degree * bands + 1
    std::vector<Handle(Geom_BSplineCurve)> rows;
    std::size_t knots = 0;      ///< interpolated parameters round the whole curve
    double deviation_mm = 0.0;  ///< greatest found between the parameters, over all rows
};

/// Interpolates the rows at the curve's own parameters, halving the intervals that miss `tolerance_mm` until
/// none does. `corners` (sorted, in [0, period)) are parameters that must be among them.
Outcome<RimCurves> rim_curves(const surface::Border& border, const std::vector<double>& corners,
                              double tolerance_mm);

}  // namespace archwright::solid
