#include "engine/picture/camera.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "engine/base/units.hpp"

namespace archwright::picture {

Camera::Camera(Side side, const Vec3& forward, const Vec3& up, double field)
    : handed_(handed(side)), forward_(forward.normalized()), half_field_(0.5 * radians(field)) {
    right_ = forward_.cross(up).normalized();
    up_ = right_.cross(forward_);
}

void Camera::fit(std::span<const Vec3> points, const Box& box, double margin) {
    if (points.empty()) return;
    Box3 extent;
    for (const Vec3& p : points) {
        const Vec3 q = turned(p);
        extent.add(Vec3(q.dot(right_), q.dot(up_), q.dot(forward_)));
    }
    const Vec3 middle = extent.centre();
    target_ = middle.x() * right_ + middle.y() * up_ + middle.z() * forward_;
    const double radius = std::max(0.5 * extent.size().norm(), 1.0);
    closeness_ = half_field_ > 0.0 ? std::sin(half_field_) / radius : 0.0;
    centre_ = Vec2::Zero();
    pixels_per_mm_ = 1.0;
    Vec2 low = Vec2::Constant(1e300), high = Vec2::Constant(-1e300);
    for (const Vec3& p : points) {
        const Vec2 at = project(p).head<2>();
        low = low.cwiseMin(at);
        high = high.cwiseMax(at);
    }
    const Vec2 size = (high - low).cwiseMax(1.0);
    pixels_per_mm_ =
        std::max(0.01, std::min((box.w - 2.0 * margin) / size.x(), (box.h - 2.0 * margin) / size.y()));
    centre_ = box.centre() - pixels_per_mm_ * 0.5 * (low + high);
}

void Camera::pin(const Vec3& origin, const Vec2& at, double pixels_per_mm) {
    target_ = turned(origin);
    centre_ = at;
    pixels_per_mm_ = pixels_per_mm;
    closeness_ = 0.0;
}

Vec3 Camera::project(const Vec3& p) const {
    const Vec3 d = turned(p) - target_;
    const double z = d.dot(forward_);
    const double shrink = 1.0 / (1.0 + closeness_ * z);
    return {centre_.x() + pixels_per_mm_ * shrink * d.dot(right_),
            centre_.y() - pixels_per_mm_ * shrink * d.dot(up_), z * shrink};
}

bool Camera::ground_point(const Vec2& pixel, double height, Vec3& point) const {
    const Vec2 s = (pixel - centre_) / pixels_per_mm_;
    const Vec3 across = s.x() * right_ - s.y() * up_;
    const double rise = height - target_.z();
    const double slope = forward_.z() + closeness_ * rise;
    if (std::abs(slope) < 1e-9) return false;
    const double zeta = (rise - across.z()) / slope;
    const double behind = 1.0 - closeness_ * zeta;  // 1 / w
    if (!(behind > 1e-3)) return false;             // at or beyond the horizon
    point = target_ + (across + zeta * forward_) / behind;
    point.y() *= handed_;
    return true;
}

Vec3 Camera::towards_eye(const Vec3& p) const {
    if (closeness_ == 0.0) return -forward_;
    return (target_ - forward_ / closeness_ - turned(p)).normalized();
}

}  // namespace archwright::picture
