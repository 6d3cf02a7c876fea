// From stations to one smooth closed curve, in the plane of (u,v).
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "engine/base/vec.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::surface {

/// A smooth curve near an open row of points, sampled every `sample_mm`: least squares of a cubic B-spline
/// over the chord length with a penalty on the third derivative, which leaves circles and straight lines
/// alone. Waves shorter than `wave_mm` are halved or more. `firm` (0..1 a point, or empty) gives points back
/// that share of what the first smoothing took (J. W. Tukey's twicing, 1977): there the curve keeps to them
/// more closely.
std::vector<Vec2> smooth_row(const std::vector<Vec2>& points, double wave_mm, double sample_mm,
                             const std::vector<double>& firm = {});

/// Joins an open row and a distal row (running from the open row's end to its start, its own ends beyond
/// them) into one closed counter-clockwise polygon with the corners at the open row's start and end rounded
/// by arcs. Nothing when the rows are too short for such arcs.
std::optional<std::vector<Vec2>> round_corners(const std::vector<Vec2>& row, const std::vector<Vec2>& distal,
                                               double radius_at_start, double radius_at_end);

/// The closed curve near a fine closed polygon: `count` spans of equal length, least squares.
PeriodicCurve closed_curve(const std::vector<Vec2>& polygon, int count);

/// Least radius of curvature among the places of interest, and the parameter it is at.
struct LeastRadius {
    double radius = 0.0, s = 0.0;
};
LeastRadius least_radius(const PeriodicCurve& curve, const std::function<bool(const Vec2&)>& of_interest);

}  // namespace archwright::surface
