// The two sides of the shell: carpet + features, and the underside by rolling balls.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/surface/shell.hpp"
#include "engine/surface/wall_field.hpp"

namespace archwright::surface {

struct UndersideSettings {
    /// Residual of a fitted side inside the trim above which its knot spans are halved, mm.
    double fit_mm = 0.015;
    /// The same at a crease, where balls of two flanks meet: there the residual falls only with the spacing
    /// of the knots, so it is held just inside the wall gates.
    double crease_mm = 0.045;
    /// How often the carpet's knot spans may be halved. 0: as coarse as the carpet, for
    /// previews; 3 brings the crease of a 50 degree flank within the wall gates.
    int halvings = 3;
    /// Folds and residuals count inside this curve only, and the sides are exact there and just beside it;
    /// empty: everywhere.
    PeriodicCurve within;
};

/// The lattice on which balls are laid under a shell with features.
Lattice feature_ball_lattice(const SplineSurface& carpet);

/// The two sides over the carpet's (u,v).
struct Sides {
    SplineSurface foot_side;  ///< carpet + features
    SplineSurface underside;  ///< carpet - t' n
    SplineField wall;         ///< t', mm along the carpet's normal
    double fit_error_mm = 0;  ///< greatest residual of either side inside the trim
};

/// Rolls balls under the foot side. Each foot-side point q carries a ball of radius T(q); the underside is
/// x = S - t' n with the smallest t' that leaves x outside all balls, distances Euclidean in space. The first
/// layer is the foot side itself; further layers only keep the underside away. Faults (stage "underside"):
/// a wall that is not a positive number, or wall x curvature at the fold limit, naming the place.
Outcome<Sides> roll_underside(const SplineSurface& carpet, const std::vector<BallLayer>& layers,
                              const UndersideSettings& settings = {});
/// One layer: every feature keeps the map's wall.
Outcome<Sides> roll_underside(const SplineSurface& carpet, const WallFunction& wall,
                              const FeatureFunction& features = {}, const UndersideSettings& settings = {});

}  // namespace archwright::surface
