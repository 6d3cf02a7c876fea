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

void Camera::aim(const Vec3& middle, const Vec2& at, double pixels_per_mm, double radius) {
    target_ = turned(middle);
    centre_ = at;
    pixels_per_mm_ = pixels_per_mm;
    closeness_ = half_field_ > 0.0 ? std::sin(half_field_) / std::max(radius, 1.0) : 0.0;
}

void Camera::ray(const Vec2& pixel, double reach, Vec3& from, Vec3& way) const {
    const Vec2 s = (pixel - centre_) / pixels_per_mm_;
    const Vec3 on_plane = target_ + s.x() * right_ - s.y() * up_;
    if (closeness_ == 0.0) {
        way = forward_;
        from = on_plane - reach * forward_;
    } else {
        const Vec3 eye = target_ - forward_ / closeness_;
        way = (on_plane - eye).normalized();
        from = eye;
    }
    way.y() *= handed_;
    from.y() *= handed_;
}

Eigen::Matrix4d Camera::clip(double width, double height, double reach) const {
    // rows of d = turned(p) - target along right, up and forward
    Eigen::Matrix4d rows = Eigen::Matrix4d::Zero();
    const Vec3 ways[3] = {right_, up_, forward_};
    for (int i = 0; i < 3; ++i) {
        rows.row(i).head<3>() = Vec3(ways[i].x(), handed_ * ways[i].y(), ways[i].z()).transpose();
        rows(i, 3) = -target_.dot(ways[i]);
    }
    Eigen::Matrix4d m = Eigen::Matrix4d::Zero();
    m.row(3) = closeness_ * rows.row(2);
    m(3, 3) += 1.0;
    m.row(0) = (2.0 * pixels_per_mm_ / width) * rows.row(0) + (2.0 * centre_.x() / width - 1.0) * m.row(3);
    m.row(1) = (2.0 * pixels_per_mm_ / height) * rows.row(1) + (1.0 - 2.0 * centre_.y() / height) * m.row(3);
    // z / w is affine over the picture; the nearest, at -reach, has the greatest size of z / w
    const double deepest = reach / std::max(1.0 - closeness_ * reach, 0.05);
    m.row(2) = rows.row(2) / deepest;
    return m;
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
