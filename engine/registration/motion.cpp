#include "engine/registration/motion.hpp"

#include <Eigen/Geometry>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>

#include "engine/base/units.hpp"

namespace archwright::registration {

namespace {

/// Second singular value over the first below which points lie on one line.
constexpr double one_line = 1e-4;

}  // namespace

double Motion::angle_deg() const {
    // by the quaternion: exact for small angles, where the trace is not
    const Eigen::Quaterniond q(turn);
    return degrees(2.0 * std::atan2(q.vec().norm(), std::abs(q.w())));
}

Motion small_motion(const Vec3& turn, const Vec3& centre, const Vec3& shift) {
    const double angle = turn.norm();
    Motion motion;
    if (angle > 0.0) motion.turn = Eigen::AngleAxisd(angle, turn / angle).toRotationMatrix();
    motion.shift = centre + shift - motion.turn * centre;
    return motion;
}

std::optional<Motion> motion_of(std::span<const Pair> pairs) {
    if (pairs.size() < 3) return std::nullopt;
    Vec3 from = Vec3::Zero(), to = Vec3::Zero();
    for (const Pair& pair : pairs) {
        from += pair.moving;
        to += pair.fixed;
    }
    from /= static_cast<double>(pairs.size());
    to /= static_cast<double>(pairs.size());
    Mat3 cross = Mat3::Zero();
    for (const Pair& pair : pairs) cross += (pair.moving - from) * (pair.fixed - to).transpose();
    const Eigen::JacobiSVD<Mat3> svd(cross, Eigen::ComputeFullU | Eigen::ComputeFullV);
    if (!(svd.singularValues()[1] > one_line * svd.singularValues()[0])) return std::nullopt;
    Mat3 sign = Mat3::Identity();
    if ((svd.matrixV() * svd.matrixU().transpose()).determinant() < 0.0) sign(2, 2) = -1.0;
    Motion motion;
    motion.turn = svd.matrixV() * sign * svd.matrixU().transpose();
    motion.shift = to - motion.turn * from;
    return motion;
}

}  // namespace archwright::registration
