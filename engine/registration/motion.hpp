// A rigid motion, and the one that brings points onto points.
#pragma once

#include <optional>
#include <span>

#include "engine/base/vec.hpp"

namespace archwright::registration {

/// p -> turn * p + shift, mm.
struct Motion {
    Mat3 turn = Mat3::Identity();
    Vec3 shift = Vec3::Zero();

    Vec3 operator()(const Vec3& p) const { return turn * p + shift; }
    Motion inverse() const { return {turn.transpose(), -(turn.transpose() * shift)}; }
    /// First this one, then `next`.
    Motion then(const Motion& next) const { return {next.turn * turn, next.turn * shift + next.shift}; }
    /// Angle it turns by, 0 to 180 degrees.
    double angle_deg() const;
};

/// A turn by the vector `turn` (radians) about `centre`, then a shift.
Motion small_motion(const Vec3& turn, const Vec3& centre, const Vec3& shift);

/// A place of one surface and the same place of another.
struct Pair {
    Vec3 moving = Vec3::Zero(), fixed = Vec3::Zero();
};

/// The motion of least squares from `moving` to `fixed` (K. S. Arun, T. S. Huang and S. D. Blostein, IEEE
/// Trans Pattern Anal Mach Intell 9:698, 1987; never a mirror image). Nothing for fewer than three pairs, or
/// where they lie on one line.
std::optional<Motion> motion_of(std::span<const Pair> pairs);

}  // namespace archwright::registration
