// Twice continuously differentiable building blocks of the foot's field.
#pragma once

#include <vector>

#include "assets/generator/dual.hpp"

namespace archwright::generator {

/// Lesser of two, rounded where they differ by less than k: min(a,b) - k/6 (1 - |a-b|/k)^3. C2, and exactly
/// min(a,b) elsewhere, so a part far away changes nothing.
template <class T>
T smooth_min(const T& a, const T& b, double k) {
    const double gap = std::abs(value(a) - value(b));
    const T& least = value(a) < value(b) ? a : b;
    if (gap >= k) return least;
    const T& other = value(a) < value(b) ? b : a;
    const T h = (1.0 / k) * (k - (other - least));
    return least - (k / 6.0) * (h * h * h);
}

/// Greater of two, rounded the same way.
template <class T>
T smooth_max(const T& a, const T& b, double k) {
    return -smooth_min(T(-a), T(-b), k);
}

/// 0 below `from`, 1 above `to`, the quintic 6t^5 - 15t^4 + 10t^3 between. C2.
template <class T>
T smooth_step(const T& at, double from, double to) {
    const double t = (value(at) - from) / (to - from);
    if (t <= 0.0) return T(0.0);
    if (t >= 1.0) return T(1.0);
    return chain(at, t * t * t * (t * (6.0 * t - 15.0) + 10.0),
                 30.0 * t * t * (t - 1.0) * (t - 1.0) / (to - from));
}

/// Natural cubic spline through knots: C2, straight outside the knots.
class Spline {
  public:
    Spline() = default;
    /// Knots strictly increasing, at least two.
    Spline(std::vector<double> knots, std::vector<double> values);

    template <class T>
    T operator()(const T& at) const {
        double slope = 0.0;
        const double f = evaluate(value(at), slope);
        return chain(at, f, slope);
    }

  private:
    double evaluate(double at, double& slope) const;

    std::vector<double> knots_, values_, bending_;
};

/// A point of the field in either kind of number.
template <class T>
struct Point {
    T x, y, z;
};

/// Rounded bone: distance to the segment from a to b, less a radius going from ra to rb. The place along the
/// segment is clamped softly, so that the surface has no curvature jump where the ends begin.
struct Bone {
    Vec3 a, b;
    double ra = 1.0, rb = 1.0;

    template <class T>
    T operator()(const Point<T>& p) const {
        const Vec3 d = b - a;
        const T px = p.x - a.x(), py = p.y - a.y(), pz = p.z - a.z();
        const double l2 = d.squaredNorm();
        T t = (d.x() / l2) * px + (d.y() / l2) * py + (d.z() / l2) * pz;
        t = smooth_max(T(0.0), smooth_min(T(1.0), t, softness), softness);
        const T qx = px - d.x() * t, qy = py - d.y() * t, qz = pz - d.z() * t;
        return root(qx * qx + qy * qy + qz * qz + tiny) - (ra + (rb - ra) * t);
    }

    static constexpr double softness = 0.35;  ///< share of the length over which the clamp is rounded
    static constexpr double tiny = 1e-6;      ///< mm^2, keeps the root smooth on the axis, deep inside
};

}  // namespace archwright::generator
