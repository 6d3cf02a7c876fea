// Shells whose volume is known in closed form.
#pragma once

#include <functional>

#include "engine/surface/shell.hpp"

namespace archwright::tests {

using Map = std::function<Vec3(double u, double v)>;

/// The spline surface that equals `map` at the Greville abscissae; error falls as the fourth power of the
/// knot span, and linear maps are met exactly.
surface::SplineSurface interpolating(const surface::Basis& u, const surface::Basis& v, const Map& map);

/// A rectangle with rounded corners, centre (u, v), as a trim line of 4 * per_quarter control points.
surface::PeriodicCurve rounded_rectangle(const Vec2& centre, const Vec2& size, double radius,
                                         int per_quarter);

/// Area and length of a closed curve; the area exactly (it is a polynomial on every span), the length by
/// Gauss's rule.
double enclosed_area(const surface::PeriodicCurve& curve);
double length(const surface::PeriodicCurve& curve);

/// Flat plate, 100 x 60 x 3, foot side up at z = 3.
struct Plate {
    static constexpr double thickness = 3.0;
    surface::Shell shell;
    /// Area x thickness, and for a rounded rim (cubic, tangent to both sides, arms of length k) the bulge:
    /// its cross-section 3/5 k t carried round the trim, and its first moment 27/140 k^2 t through one turn
    /// (Pappus).
    double volume = 0.0;
};
Plate plate(surface::Rim::Kind rim, int spans = 12);

/// Spherical cap over a circle of geodesic radius r on a sphere of radius R, foot inside, wall t outward.
struct Cap {
    static constexpr double R = 80.0, r = 40.0, t = 3.0;
    surface::Shell shell;
    double volume = 0.0;  ///< 2 pi / 3 ((R + t)^3 - R^3) (1 - cos(r / R))
};
Cap cap(int spans, int trim_points);

/// Trough: part of a cylinder of radius R about an axis along x, foot inside, wall t outward.
struct Trough {
    static constexpr double R = 50.0, t = 2.5;
    surface::Shell shell;
    double volume = 0.0;  ///< enclosed area on the foot side x (t + t^2 / 2R)
};
Trough trough(int spans);

}  // namespace archwright::tests
