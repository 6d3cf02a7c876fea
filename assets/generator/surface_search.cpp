#include "assets/generator/surface_search.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace archwright::generator {

namespace {

constexpr double settled_mm = 1e-10;
constexpr double longest_step_mm = 4.0;
constexpr double hessian_step_mm = 1e-4;

Eigen::Matrix3d hessian(const FootField& field, const Vec3& p) {
    Eigen::Matrix3d h;
    for (int i = 0; i < 3; ++i) {
        const Vec3 e = hessian_step_mm * Vec3::Unit(i);
        h.col(i) = (field.dual(p + e).gradient() - field.dual(p - e).gradient()) / (2.0 * hessian_step_mm);
    }
    return 0.5 * (h + h.transpose());
}

}  // namespace

std::optional<Vec3> project(const FootField& field, Vec3 p) {
    for (int i = 0; i < 60; ++i) {
        const Dual f = field.dual(p);
        const double g2 = f.gradient().squaredNorm();
        if (!(g2 > 1e-4)) return std::nullopt;  // a critical point deep inside: nothing leads out
        Vec3 step = f.gradient() * (f.v / g2);
        const double length = step.norm();
        if (length > longest_step_mm) step *= longest_step_mm / length;
        p -= step;
        if (length < settled_mm) return p;
    }
    return std::nullopt;
}

std::optional<Vec3> ray(const FootField& field, const Vec3& from, const Vec3& direction, double reach) {
    const bool inside = field(from) < 0.0;
    double low = 0.0, high = 0.0;
    while ((field(from + high * direction) < 0.0) == inside) {
        low = high;
        high += 1.0;
        if (high > reach) return std::nullopt;
    }
    double t = 0.5 * (low + high);
    for (int i = 0; i < 100 && high - low > 1e-12; ++i) {
        const Dual f = field.dual(from + t * direction);
        ((f.v < 0.0) == inside ? low : high) = t;
        const double slope = f.gradient().dot(direction);
        const double next = slope != 0.0 ? t - f.v / slope : low;
        const double before = t;
        t = next > low && next < high ? next : 0.5 * (low + high);
        if (std::abs(t - before) < 1e-12) break;
    }
    return from + t * direction;
}

std::optional<Vec3> extreme(const FootField& field, Vec3 p, const Vec3& direction) {
    for (int i = 0; i < 200; ++i) {
        const std::optional<Vec3> on = project(field, p);
        if (!on) return std::nullopt;
        p = *on;
        const Vec3 g = field.dual(p).gradient();
        const Vec3 n = g.normalized();
        // two unit vectors along the surface
        const Vec3 e1 = n.unitOrthogonal(), e2 = n.cross(e1);
        const Eigen::Vector2d slope(direction.dot(e1), direction.dot(e2));
        if (slope.norm() < 1e-10) return p;
        Eigen::Matrix<double, 3, 2> e;
        e << e1, e2;
        const Eigen::Matrix2d bend = -(direction.dot(n) / g.norm()) * (e.transpose() * hessian(field, p) * e);
        Eigen::Vector2d step = 6.0 * slope;
        if (bend.trace() < 0.0 && bend.determinant() > 0.0) step = -bend.inverse() * slope;
        if (step.norm() > longest_step_mm) step *= longest_step_mm / step.norm();
        p += e * step;
    }
    return std::nullopt;
}

}  // namespace archwright::generator
