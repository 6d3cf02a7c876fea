// Where a cutter that comes down meets a line, and the groove it leaves along one: the same sum twice.
#pragma once

#include "engine/mill/cutter.hpp"

namespace archwright::mill {

/// On a straight line at distance `aside` (plan) from a cutter's axis, u counting along it from the foot of
/// the perpendicular: where z0 + slope (u - u0) - rise(sqrt(aside^2 + u^2)) is greatest for u in [low, high].
/// The cutter's end is convex, so there is one such place, and none on the way to it can be mistaken for it.
/// [low, high] must not be empty and lie within the cutter. Ball and flat: closed form; bull: a root, by
/// Newton's method kept within its bracket.
double highest_along(const Cutter& cutter, double aside, double slope, double low, double high);

/// Half the length of a line at distance `aside` under the cutter.
inline double half_chord(const Cutter& cutter, double aside) {
    const double r = cutter.radius();
    return std::sqrt(std::max(0.0, (r - aside) * (r + aside)));
}

}  // namespace archwright::mill
