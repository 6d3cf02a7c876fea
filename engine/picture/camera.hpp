// From the design frame to pixels: orthographic or with a long lens.
#pragma once

#include <span>

#include "engine/base/side.hpp"
#include "engine/picture/canvas.hpp"

namespace archwright::picture {

/// Sign of y in every drawing. The design frame sees all feet as right ones; a left foot must look left, so
/// its y is turned over here and nowhere else in the pictures.
inline double handed(Side side) {
    return side == Side::left ? -1.0 : 1.0;
}

/// With k = closeness and z the depth behind the target's plane, w = 1 + k z; a point lands at
/// centre + pixels_per_mm (x, -y) / w, and z / w is affine over the picture, which a depth buffer needs.
/// k = 0 is the orthographic camera, 1 / k the distance of the eye from the target.
class Camera {
  public:
    /// Looks along `forward` with `up` towards the top of the picture (both in the drawing's frame, where a
    /// left foot is already turned over). `field` is the lens's whole angle in degrees; 0: orthographic.
    Camera(Side side, const Vec3& forward, const Vec3& up, double field);

    /// Places and scales so that the points (design frame) fill the box (pixels) but for a margin (pixels).
    void fit(std::span<const Vec3> points, const Box& box, double margin);
    /// An exact placement: `origin` (design frame) lands at `at`, at this scale. Orthographic cameras only.
    void pin(const Vec3& origin, const Vec2& at, double pixels_per_mm);

    /// Turned about and brought nearer by hand: `middle` (design frame) lands at `at`, at this scale; the eye
    /// stands as far away as the lens needs for a sphere of this radius, mm.
    void aim(const Vec3& middle, const Vec2& at, double pixels_per_mm, double radius);

    /// Design frame, mm, to (pixel x, pixel y, z / w).
    Vec3 project(const Vec3& p) const;
    double w(const Vec3& p) const { return 1.0 + closeness_ * (turned(p) - target_).dot(forward_); }
    /// The point of the plane z = height seen at a pixel (design frame); false when it is behind or beside.
    bool ground_point(const Vec2& pixel, double height, Vec3& point) const;
    /// What is seen at a pixel lies on this line (design frame): `way` is a unit vector away from the eye,
    /// and `from` lies in front of all within `reach` mm of the middle.
    void ray(const Vec2& pixel, double reach, Vec3& from, Vec3& way) const;
    /// Design frame to the clip space of a graphics card, column-major, for a picture of this size in pixels;
    /// depth -1 to 1 for what lies within `reach` mm of the middle. At w = 1 + k z, as above.
    Eigen::Matrix4d clip(double width, double height, double reach) const;
    /// Unit vector from a point towards the eye, in the drawing's frame.
    Vec3 towards_eye(const Vec3& p) const;
    /// Into the drawing's frame: y turned over for a left foot.
    Vec3 turned(const Vec3& p) const { return {p.x(), handed_ * p.y(), p.z()}; }

    const Vec3& forward() const { return forward_; }
    const Vec3& up() const { return up_; }
    const Vec3& right() const { return right_; }
    double pixels_per_mm() const { return pixels_per_mm_; }

  private:
    double handed_;
    Vec3 forward_, up_, right_;
    double half_field_;
    Vec3 target_ = Vec3::Zero();
    Vec2 centre_ = Vec2::Zero();
    double pixels_per_mm_ = 1.0;
    double closeness_ = 0.0;
};

}  // namespace archwright::picture
