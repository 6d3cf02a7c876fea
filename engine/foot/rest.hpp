// What a cast rests on: the points that carry it when it is put down.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::foot {

/// A plane under a body, touching it at three points that hold the load point between them: how it lies on a
/// flat bench when its weight acts there.
struct Rest {
    std::array<Vec3, 3> contacts;
    Vec3 normal = Vec3::UnitZ();  ///< of the plane, towards the body
    double height_at(double x, double y) const;
    double inclination_deg() const;  ///< of the plane across the axis; positive: its medial side is up
    double pitch_deg() const;        ///< along the axis; positive: its front is down
};

/// The plane z = a x + b y + c below all points that is highest at the load point (a linear programme in
/// three unknowns, solved by adding violated points one at a time; R. Seidel, Discrete Comput Geom 6:423,
/// 1991). Its three touching points are the corners of the facet of the lower hull under the load. Nothing
/// when the load point lies outside the points' plan, or fewer than three points stand apart.
std::optional<Rest> rest_under(std::span<const Vec3> points, const Vec2& load);

/// Where a standing foot bears its weight, from the heel: of the foot's length for a cast, of the way to the
/// heads for a device (our choice).
inline constexpr double load_share = 0.42;
/// How far that load wanders about its middle, mm (our choice).
inline constexpr double wander_along_mm = 15.0, wander_across_mm = 8.0;

/// Angle between two planes of rest, degrees.
double turn_between_deg(const Rest& a, const Rest& b);

}  // namespace archwright::foot
