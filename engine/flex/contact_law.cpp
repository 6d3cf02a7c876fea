#include "engine/flex/contact_law.hpp"

#include <cmath>

#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

/// Share of the straight way back that Newton's matrix keeps along the slip, where full friction has none:
/// without it nothing holds a shell all of whose places slide. It changes steps, not results.
constexpr double kept_along_slip = 0.02;

}  // namespace

Mat3x6 carried_by(const Contact& contact) {
    Mat3x6 carried;
    const Vec3& a = contact.arm;
    carried.leftCols<3>().setIdentity();
    carried.rightCols<3>() << 0.0, a.z(), -a.y(), -a.z(), 0.0, a.x(), a.y(), -a.x(), 0.0;
    return carried;
}

Vec3 along_ground(const Contact& contact, const Vec3& displacement) {
    return displacement - contact.normal.dot(displacement) * contact.normal;
}

GroundForce ground_force(const Contact& contact, const Vec3& displacement, const Vec3& anchor, double push,
                         double bound, Touch touch) {
    GroundForce ground;
    const double gap = contact.gap_mm + contact.normal.dot(displacement);
    const Mat3 across = contact.normal * contact.normal.transpose();
    if (touch == Touch::yes || (touch == Touch::by_gap && gap < 0.0)) {
        ground.force = -push * gap * contact.normal;
        ground.stiffness = push * across;
    }
    if (!(bound > 0.0)) return ground;
    const Mat3 along = Mat3::Identity() - across;
    const Vec3 slip = along_ground(contact, displacement) - anchor;
    const double size = slip.norm();
    if (size <= limit::slip_mm) {
        ground.force -= bound / limit::slip_mm * slip;
        ground.stiffness += bound / limit::slip_mm * along;
    } else {
        const Vec3 way = slip / size;
        ground.force -= bound * way;
        ground.stiffness += bound / size * (along - (1.0 - kept_along_slip) * way * way.transpose());
    }
    return ground;
}

}  // namespace archwright::flex
