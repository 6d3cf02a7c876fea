#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "engine/picture/renderer.hpp"

namespace archwright::picture {

Light::Light(const Camera& camera) {
    const Vec3 &f = camera.forward(), &u = camera.up(), &r = camera.right();
    sky_ = (u - 0.35 * f).normalized();
    key_ = (-0.62 * r + 0.62 * u - 0.62 * f).normalized();
    fill_left_ = (-r - 0.25 * f).normalized();
    fill_right_ = (r - 0.15 * u - 0.3 * f).normalized();
    half_ = (key_ - f).normalized();
}

double Light::on(const Fragment& fragment) const {
    const Vec3& n = fragment.normal;
    const double sky = 0.5 + 0.5 * n.dot(sky_);
    const double wrapped = std::max(0.0, (n.dot(key_) + 0.30) / 1.30);
    double light = 0.40 + 0.16 * sky + 0.52 * wrapped * wrapped;
    light += 0.14 * std::max(0.0, n.dot(fill_right_)) * 0.6 + 0.08 * std::max(0.0, n.dot(fill_left_));
    light += 0.07 * std::pow(std::max(0.0, n.dot(half_)), 36.0);
    const double edge = std::min(1.0, fragment.facing / 0.38);
    return light * (0.74 + 0.26 * edge * (2.0 - edge));
}

double Light::on_map(const Fragment& fragment) const {
    return std::clamp(0.22 + 0.86 * on(fragment), 0.78, 1.12);
}

}  // namespace archwright::picture
