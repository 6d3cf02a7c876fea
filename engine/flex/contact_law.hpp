// What the ground does to one place that touches it.
#pragma once

#include "engine/flex/contact.hpp"

namespace archwright::flex {

using Mat3x6 = Eigen::Matrix<double, 3, 6>;

/// Displacement of the place by the six freedoms of its point.
Mat3x6 carried_by(const Contact& contact);

/// Force of the ground on the shell, and how it changes with the place's displacement (symmetric, with the
/// bound of friction as it is; `stiffness` = - d force / d displacement).
struct GroundForce {
    Vec3 force = Vec3::Zero();
    Mat3 stiffness = Mat3::Zero();
};

/// Whether a place is pushed along the ground's normal: where it is in the ground, or as a set says (then the
/// ground pulls as well).
enum class Touch { by_gap, yes, no };

/// `push` N/mm: the ground's stiffness along its normal. `bound` N: full friction, of which the energy is
/// convex whatever the gap: it holds on until the bound is moved to 0. Along the ground force rises straight
/// until the slip from `anchor` is limit::slip_mm and stays at the bound after that.
GroundForce ground_force(const Contact& contact, const Vec3& displacement, const Vec3& anchor, double push,
                         double bound, Touch touch);

/// Part of a displacement along the ground.
Vec3 along_ground(const Contact& contact, const Vec3& displacement);

}  // namespace archwright::flex
