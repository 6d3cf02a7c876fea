// Tensor-product cubic B-splines over a flat rectangle [0, length_u] x [0, length_v], mm.
#pragma once

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::surface {

/// Clamped uniform cubic basis: `count` (>= 4) functions over [0, length].
/// De Boor's recurrence (C. de Boor, A Practical Guide to Splines, 1978).
struct Basis {
    int count = 4;
    double length = 1.0;

    int spans() const { return count - 3; }
    double span() const { return length / spans(); }
    /// Knot i of the full knot vector (count + 4 knots, ends four-fold).
    double knot(int i) const;
    /// Greville abscissa of function i: where a linear function's coefficient stands.
    double greville(int i) const;
    /// The four functions that do not vanish at u (clamped into the domain) and, where asked, their first and
    /// second derivatives. Returns the index of the first.
    int evaluate(double u, std::array<double, 4>& n, std::array<double, 4>* d1 = nullptr,
                 std::array<double, 4>* d2 = nullptr) const;
};

/// Value and derivatives of a surface at one (u,v).
struct SurfacePoint {
    Vec3 s, su, sv;      ///< point and first derivatives
    Vec3 suu, suv, svv;  ///< second derivatives (only from `second`)
    Vec3 normal() const { return su.cross(sv).normalized(); }
};

struct Curvatures {
    double k1,
        k2;  ///< principal curvatures, 1/mm, k1 >= k2, positive where the surface bends towards its normal
};

/// Principal curvatures from first and second derivatives (do Carmo 1976, section 3-3).
Curvatures curvatures_of(const SurfacePoint& at);

/// A surface in space: control points row by row, control[i * v.count + j].
struct SplineSurface {
    Basis u, v;
    std::vector<Vec3> control;

    Vec3 point(const Vec2& uv) const;
    SurfacePoint first(const Vec2& uv) const;   ///< value and first derivatives
    SurfacePoint second(const Vec2& uv) const;  ///< and second derivatives
    Vec3 normal(const Vec2& uv) const { return first(uv).normal(); }
    Curvatures curvatures(const Vec2& uv) const;
    /// Nearest point by Gauss-Newton from a start; uv stays in the domain. Returns the distance, mm.
    double project(const Vec3& p, Vec2& uv, int iterations = 8) const;
    Vec2 clamp(const Vec2& uv) const {
        return {std::min(std::max(uv.x(), 0.0), u.length), std::min(std::max(uv.y(), 0.0), v.length)};
    }
};

/// A scalar field over the same rectangle.
struct SplineField {
    Basis u, v;
    std::vector<double> control;

    double value(const Vec2& uv) const;
    Vec2 gradient(const Vec2& uv) const;
};

}  // namespace archwright::surface
