// Signs of determinants, never wrong: which side of a line or a plane a point lies on.
#pragma once

#include "engine/base/vec.hpp"

namespace archwright {

/// Sign (-1, 0, 1) of the area of the triangle a, b, c: 1 when counter-clockwise, 0 exactly when collinear.
/// A floating filter with a proven error bound answers nearly always; else the determinant is summed exactly
/// as a floating-point expansion (method: J. R. Shewchuk, Discrete & Computational Geometry 18, 1997).
/// Exact while coordinates are zero or between 1e-70 and 1e70 in magnitude: beyond, products leave the range
/// of double.
int orient2d(const Vec2& a, const Vec2& b, const Vec2& c);

/// Sign of the volume of the tetrahedron a, b, c, d: 1 when d lies on the side of the plane a, b, c from
/// which a, b, c run counter-clockwise (the side of the outward normal), 0 exactly when coplanar. Same method
/// and range as orient2d.
int orient3d(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d);

}  // namespace archwright
