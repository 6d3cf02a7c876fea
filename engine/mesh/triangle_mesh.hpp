// The one mesh of the house.
#pragma once

#include <Eigen/Geometry>
#include <array>
#include <cstdint>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright {

/// Indexed triangles. Winding is counter-clockwise seen from outside. `colours` is empty or one per point.
/// The unit is that of the context: file units straight after reading, mm everywhere else.
struct TriangleMesh {
    using Colour = std::array<std::uint8_t, 3>;  ///< sRGB

    std::vector<Vec3> points;
    std::vector<Triangle> triangles;
    std::vector<Colour> colours;

    Box3 box() const;
    /// Area of one triangle, and twice its area as a vector along the outward normal.
    double area(std::size_t triangle) const { return 0.5 * normal2(triangle).norm(); }
    Vec3 normal2(std::size_t triangle) const {
        const Triangle& t = triangles[triangle];
        return (points[t[1]] - points[t[0]]).cross(points[t[2]] - points[t[0]]);
    }
    double area() const;
    /// Signed volume by the divergence theorem; meaningful for closed meshes, positive when outward.
    double volume() const;
    /// Area-weighted unit normals of the points; zero where a point has no area.
    std::vector<Vec3> point_normals() const;
    /// Turns every triangle over.
    void flip();
};

}  // namespace archwright
