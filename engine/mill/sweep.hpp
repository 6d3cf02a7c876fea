// What one straight move of a cutter takes away: everything above a convex lower face.
#pragma once

#include <limits>

#include "engine/base/vec.hpp"
#include "engine/mill/envelope.hpp"

namespace archwright::mill {

/// The lowest height that a cutter whose tip goes straight from `a` to `b` cuts at (x, y); infinity where it
/// does not come. Exact. Above it everything is gone: nothing of the cutter is below its end.
inline double lowest_cut(const Cutter& cutter, const Vec3& a, const Vec3& b, double x, double y) {
    constexpr double never = std::numeric_limits<double>::infinity();
    const double dx = b.x() - a.x(), dy = b.y() - a.y(), ax = a.x() - x, ay = a.y() - y;
    const double length = std::sqrt(dx * dx + dy * dy);
    const double r = cutter.radius();
    if (!(length > 0.0)) {
        const double from_axis = std::sqrt(ax * ax + ay * ay);
        return from_axis > r ? never : std::min(a.z(), b.z()) + cutter.rise(from_axis);
    }
    const double ex = dx / length, ey = dy / length;
    const double aside = std::abs(ax * ey - ay * ex);
    if (aside > r) return never;
    const double chord = half_chord(cutter, aside), start = ax * ex + ay * ey;
    const double low = std::max(start, -chord), high = std::min(start + length, chord);
    if (low > high) return never;
    const double slope = (b.z() - a.z()) / length;
    const double u = highest_along(cutter, aside, -slope, low, high);
    return a.z() + slope * (u - start) + cutter.rise(std::min(r, std::sqrt(aside * aside + u * u)));
}

/// A needle through a place of a surface along its outward normal. What cuts it is seen along the normal:
/// exactly where the surface's fault lies, and as deep.
struct Needle {
    static constexpr double length_mm = 1.0;  ///< to either side
    Vec3 place = Vec3::Zero();
    Vec3 normal = Vec3::UnitZ();
    double left = length_mm;  ///< mm of material still standing outward of the place
    double cut = 0.0;         ///< mm of material taken away inward of it

    /// One move of a cutter: what it leaves and what it cuts of this needle.
    void meet(const Cutter& cutter, const Vec3& a, const Vec3& b);
};

}  // namespace archwright::mill
