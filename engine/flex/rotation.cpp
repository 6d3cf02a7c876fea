#include "engine/flex/rotation.hpp"

#include <Eigen/Geometry>
#include <cmath>

namespace archwright::flex {

namespace {

/// Below this angle (radians) series are taken: what they leave out is below rounding.
constexpr double small_turn = 0.3;

/// eta of vector_by_spin, and its derivative by the angle over the angle.
struct Eta {
    double value = 0.0, slope = 0.0;
};

Eta eta_of(double angle) {
    const double s = angle * angle;
    if (angle < small_turn)  // of 1 - x / 2 cot(x / 2) = x^2 / 12 + x^4 / 720 + ... (Bernoulli's numbers)
        return {1.0 / 12.0 + s * (1.0 / 720.0 + s * (1.0 / 30240.0 + s * (1.0 / 1209600.0 + s / 47900160.0))),
                2.0 / 720.0 + s * (4.0 / 30240.0 + s * (6.0 / 1209600.0 + 8.0 * s / 47900160.0))};
    const double half = 0.5 * angle, cot = std::cos(half) / std::sin(half), sine = std::sin(half);
    return {1.0 / s - cot / (2.0 * angle),
            (-2.0 / (s * angle) + cot / (2.0 * s) + 1.0 / (4.0 * angle * sine * sine)) / angle};
}

}  // namespace

Mat3 cross_matrix(const Vec3& v) {
    Mat3 matrix;
    matrix << 0.0, -v.z(), v.y(), v.z(), 0.0, -v.x(), -v.y(), v.x(), 0.0;
    return matrix;
}

Mat3 rotation_of(const Vec3& vector) {
    const double angle = vector.norm();
    if (angle == 0.0) return Mat3::Identity();
    return Eigen::AngleAxisd(angle, vector / angle).toRotationMatrix();
}

Vec3 vector_of(const Mat3& rotation) {
    const Eigen::Quaterniond q(rotation);
    const double sine = q.vec().norm();
    if (sine == 0.0) return Vec3::Zero();
    const double angle = 2.0 * std::atan2(sine, std::abs(q.w()));
    return (q.w() < 0.0 ? -angle : angle) / sine * q.vec();
}

Mat3 vector_by_spin(const Vec3& vector) {
    const Mat3 cross = cross_matrix(vector);
    return Mat3::Identity() - 0.5 * cross + eta_of(vector.norm()).value * cross * cross;
}

Mat3 vector_by_spin_change(const Vec3& v, const Vec3& q) {
    const Eta eta = eta_of(v.norm());
    return -0.5 * cross_matrix(q) +
           eta.value * (v.dot(q) * Mat3::Identity() + v * q.transpose() - 2.0 * q * v.transpose()) +
           eta.slope * v.cross(v.cross(q)) * v.transpose();
}

}  // namespace archwright::flex
