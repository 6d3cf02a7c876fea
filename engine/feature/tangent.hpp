// The tangent plane of a surface at a place, with axes of the foot.
#pragma once

#include <cmath>

#include "engine/base/units.hpp"
#include "engine/feature/place.hpp"

namespace archwright::feature {

/// Axes of the tangent plane: forward, turned to medial by `turn_deg`, and to medial.
struct Tangent {
    Vec3 origin, forward, medial;

    Tangent(const surface::SplineSurface& carpet, const Spot& spot, double turn_deg) : origin(spot.p) {
        const Vec3 n = carpet.normal(spot.uv);
        const Vec3 along = (Vec3::UnitX() - n * n.x()).normalized(), across = n.cross(along);
        const double a = radians(turn_deg);
        forward = std::cos(a) * along + std::sin(a) * across;
        medial = n.cross(forward);
    }
    Vec2 of(const Vec3& p) const { return {(p - origin).dot(forward), (p - origin).dot(medial)}; }
    Vec3 at(const Vec2& q) const { return origin + q.x() * forward + q.y() * medial; }
};

}  // namespace archwright::feature
