// The cross product in the plane.
#pragma once

#include "engine/base/vec.hpp"

namespace archwright::surface {

/// Twice the signed area of the triangle 0, a, b: positive where b lies to the left of a.
inline double cross(const Vec2& a, const Vec2& b) {
    return a.x() * b.y() - a.y() * b.x();
}

}  // namespace archwright::surface
