// Inside engine/solid only: the rows of the rim as curves along the trim.
#pragma once

#include <Geom_BSplineCurve.hxx>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::solid {

/// Periodic cubic B-splines through the rows of the rim, all over one set of knots in the trim's own
/// parameter: the first lies on the foot side, the last on the underside.
struct RimCurves {
    int degree = 1;  ///< across the rim: rows.size() == degree * bands + 1
    std::vector<Handle(Geom_BSplineCurve)> rows;
    std::size_t knots = 0;      ///< interpolated parameters round the whole trim
    double deviation_mm = 0.0;  ///< greatest found between the parameters, over all rows
};

/// Interpolates the rows at the trim's own parameters, halving the intervals that miss `tolerance_mm` until
/// none does. `corners` (sorted, in [0, period)) are parameters that must be among them.
Outcome<RimCurves> rim_curves(const surface::Shell& shell, const std::vector<double>& corners,
                              double tolerance_mm);

}  // namespace archwright::solid
