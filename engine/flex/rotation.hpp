// Finite rotations: matrices, rotation vectors, and how one changes with the other.
#pragma once

#include "engine/base/vec.hpp"

namespace archwright::flex {

/// v x w as a matrix that is given w.
Mat3 cross_matrix(const Vec3& v);

/// Rotation by a vector: its length is the angle (radians), its direction the axis (Rodrigues' formula).
Mat3 rotation_of(const Vec3& vector);

/// The rotation vector of a rotation, of at most half a turn.
Vec3 vector_of(const Mat3& rotation);

/// How the rotation vector of R changes when R becomes exp(spin) R, as a matrix that is given the spin:
/// 1 - [v] / 2 + eta [v]^2 with eta = (1 - |v| / 2 cot(|v| / 2)) / |v|^2 (B. Nour-Omid and C. C. Rankin,
/// Computer Methods in Applied Mechanics and Engineering 93 (1991) 353-384, equation 22).
Mat3 vector_by_spin(const Vec3& vector);

/// How vector_by_spin(v)' q changes with v for a fixed q, as a matrix that is given the change of v.
Mat3 vector_by_spin_change(const Vec3& vector, const Vec3& q);

}  // namespace archwright::flex
