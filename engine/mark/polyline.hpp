// A traced line as points in space: even steps, smoothness, few points.
#pragma once

#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::mark {

/// Length along the points; of a closed one with the way back to the first.
double length(const std::vector<Vec3>& points, bool closed);

/// Points at even steps of about `step` along it; a closed one does not repeat its first.
std::vector<Vec3> resampled(const std::vector<Vec3>& points, double step, bool closed);

/// Each point moved to the local parabola through its neighbours, weighted by a Gaussian of `sigma` along the
/// line: noise goes, a bow stays (Savitzky and Golay 1964, weighted). For even steps.
std::vector<Vec3> smoothed(const std::vector<Vec3>& points, double sigma, bool closed);

/// Fewer points: none left out lies further than `off` from the chord (Douglas and Peucker 1973), no chord
/// is longer than `chord`.
std::vector<Vec3> thinned(const std::vector<Vec3>& points, double off, double chord, bool closed);

/// Distance from p to the line.
double distance(const std::vector<Vec3>& points, bool closed, const Vec3& p);

/// Area enclosed by a closed one, of its projection along its mean normal.
double enclosed(const std::vector<Vec3>& points);

}  // namespace archwright::mark
