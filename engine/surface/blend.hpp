// The few curves by which everything that is added or cut fades into what was there.
#pragma once

#include <algorithm>

namespace archwright::surface {

/// 0 below 0, 1 above 1, 6 t^5 - 15 t^4 + 10 t^3 between: two continuous derivatives.
inline double ease(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * t * (t * (6.0 * t - 15.0) + 10.0);
}

/// (1 - r^2)^3 within the unit disc, 0 outside: two continuous derivatives, 1 at the middle. Over an ellipse
/// of half axes a, b its integral is pi a b / 4.
inline double bump(double r_squared) {
    if (r_squared >= 1.0) return 0.0;
    const double q = 1.0 - r_squared;
    return q * q * q;
}

/// max(t, 0) with its corner rounded over |t| < k by (t + k)^3 (3 k - t) / (16 k^3): two continuous
/// derivatives, exact outside.
inline double soft_positive(double t, double k) {
    if (t >= k) return t;
    if (t <= -k) return 0.0;
    const double s = t + k;
    return s * s * s * (3.0 * k - t) / (16.0 * k * k * k);
}

}  // namespace archwright::surface
