// Vectors used everywhere. All coordinates are double; the unit is stated where a value crosses a boundary.
#pragma once

#include <Eigen/Core>
#include <array>
#include <cstdint>

namespace archwright {

using Vec2 = Eigen::Vector2d;
using Vec3 = Eigen::Vector3d;
using Mat3 = Eigen::Matrix3d;

/// Three indices of a triangle, counter-clockwise seen from outside.
using Triangle = std::array<std::int32_t, 3>;

/// Axis-aligned box; empty until something is added.
struct Box3 {
    Vec3 low = Vec3::Constant(1e300);
    Vec3 high = Vec3::Constant(-1e300);

    void add(const Vec3& point) {
        low = low.cwiseMin(point);
        high = high.cwiseMax(point);
    }
    void add(const Box3& other) {
        low = low.cwiseMin(other.low);
        high = high.cwiseMax(other.high);
    }
    bool empty() const { return !(low.x() <= high.x()); }
    Vec3 size() const { return empty() ? Vec3(Vec3::Zero()) : Vec3(high - low); }
    Vec3 centre() const { return 0.5 * (low + high); }
};

}  // namespace archwright
