// What one straight move of a cutter takes away: everything above a convex lower face.
#pragma once

#include <limits>

#include "engine/base/vec.hpp"
#include "engine/mill/envelope.hpp"

namespace archwright::mill {

/// One straight move of a cutter's tip from `a` to `b`, made ready to be asked at many places. Keeps the
/// cutter by its address.
struct Sweep {
    static constexpr double never = std::numeric_limits<double>::infinity();
    const Cutter* cutter = nullptr;
    Vec3 a = Vec3::Zero(), b = Vec3::Zero();
    double r = 0.0, length = 0.0;  ///< of the cutter; of the move in plan
    double ex = 1.0, ey = 0.0;     ///< its direction in plan
    double slope = 0.0, lean = 0.0, lowest = 0.0;
    bool ball = false;

    Sweep(const Cutter& by, const Vec3& from, const Vec3& to)
        : cutter(&by), a(from), b(to), r(by.radius()), lowest(std::min(from.z(), to.z())), ball(by.ball()) {
        const double dx = b.x() - a.x(), dy = b.y() - a.y();
        length = std::sqrt(dx * dx + dy * dy);
        if (!(length > 0.0)) return;
        ex = dx / length;
        ey = dy / length;
        slope = (b.z() - a.z()) / length;
        lean = -slope / std::sqrt(1.0 + slope * slope);
    }

    /// The lowest height that is cut at (x, y); infinity where the cutter does not come. Exact. Above it
    /// everything is gone: nothing of the cutter is below its end.
    double cut(double x, double y) const {
        const double ax = a.x() - x, ay = a.y() - y;
        if (!(length > 0.0)) {
            const double from_axis = std::sqrt(ax * ax + ay * ay);
            return from_axis > r ? never : lowest + cutter->rise(from_axis);
        }
        const double aside = std::abs(ax * ey - ay * ex);
        if (aside > r) return never;
        const double start = ax * ex + ay * ey;
        if (start > r || start + length < -r) return never;
        const double square = (r - aside) * (r + aside), chord = std::sqrt(std::max(0.0, square));
        const double low = std::max(start, -chord), high = std::min(start + length, chord);
        if (low > high) return never;
        if (ball) {
            const double u = std::clamp(chord * lean, low, high);
            return a.z() + slope * (u - start) + r - std::sqrt(std::max(0.0, square - u * u));
        }
        const double u = highest_along(*cutter, aside, -slope, low, high);
        return a.z() + slope * (u - start) + cutter->rise(std::min(r, std::sqrt(aside * aside + u * u)));
    }
};

/// The lowest height that a cutter whose tip goes straight from `a` to `b` cuts at (x, y), as Sweep::cut.
inline double lowest_cut(const Cutter& cutter, const Vec3& a, const Vec3& b, double x, double y) {
    return Sweep(cutter, a, b).cut(x, y);
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
    void meet(const Sweep& sweep);
    void meet(const Cutter& cutter, const Vec3& a, const Vec3& b) { meet(Sweep(cutter, a, b)); }
};

}  // namespace archwright::mill
