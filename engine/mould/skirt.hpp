// What goes round the foot side: the margin, the wall, and the hollows of the trim line that are filled.
#pragma once

#include <optional>
#include <vector>

#include "engine/mould/mould.hpp"

namespace archwright::mould {

/// A place of the line the margin begins at. Design frame: the mould's body lies above it, its base is up.
struct RowPoint {
    Vec3 at = Vec3::Zero();
    Vec2 out = Vec2::UnitX();  ///< unit, in plan, away from the foot side
    double rise = 0.0;         ///< of the surface along `out`, radians above the horizontal
};

/// A ruling of the skirt. Rulings never cross in plan.
struct Ruling {
    Vec3 at = Vec3::Zero();
    Vec2 out = Vec2::UnitX();
    double rise = 0.0;
    double lean = 0.0;               ///< of the wall, mm outward a mm of height
    double rib = 0.0;                ///< mm outward from the margin's edge down, of a mark
    std::optional<std::size_t> row;  ///< the row's point it begins at; none: on a bridge or put between
};

struct Skirt {
    std::vector<Ruling> rulings;  ///< counter-clockwise, seen from +z
    std::vector<Vec3> edge;       ///< of the margin, one a ruling
    std::vector<Vec3> base;       ///< one a ruling
    double base_z = 0.0;
    std::size_t bridged = 0;
    std::vector<std::string> marked;
};

/// Lays rulings from the row (closed, counter-clockwise in plan) outward so that none meets another: a ball
/// in plan larger than the way they go is rolled along the row outside it; where it cannot touch, the hollow
/// is bridged by the ball's own arc. Directions are held to turn towards one another no faster than that.
/// Fault: a row whose plan crosses itself, a draft that cannot be had.
Outcome<Skirt> lay_skirt(const std::vector<RowPoint>& row, const MouldSetting& setting);

}  // namespace archwright::mould
