// Inside engine/solid only: a border cut into pieces, and the surfaces between its rows.
#pragma once

#include <Geom2d_BSplineCurve.hxx>
#include <Geom_BSplineCurve.hxx>
#include <Geom_BSplineSurface.hxx>
#include <vector>

#include "engine/solid/fewer_knots.hpp"
#include "engine/solid/rim_curves.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::solid {

inline constexpr int piece_count = 4;  ///< no face closes on itself, so no seam edges

/// One piece of a border, between two corners: the pcurve and the rows over the same parameters.
struct Piece {
    double begin = 0.0, end = 0.0;
    Handle(Geom2d_BSplineCurve) curve;
    std::vector<Handle(Geom_BSplineCurve)> rows;
};

/// Parameters at which a curve is cut: at control points, evenly.
std::vector<double> corners_of(const surface::PeriodicCurve& curve);
std::vector<Piece> cut(const RimCurves& curves, const surface::PeriodicCurve& curve,
                       const std::vector<double>& corners);

/// A Bezier curve on [0,1] from the lower row of a band to the upper, at the beginning of a piece.
Handle(Geom_BSplineCurve) across(const Piece& piece, int lower_row, int degree);
/// Along the border in the first parameter, from the lower row (0) to the upper (1) in the second.
Handle(Geom_BSplineSurface) band_surface(const Piece& piece, int lower_row, int degree);

/// Control points on a grid of tolerance::solid_point_mm: files hold no digits that mean nothing.
Handle(Geom_BSplineSurface) to_geom(const KnottedSurface& surface);

}  // namespace archwright::solid
