// Shells over surfaces whose every figure is known: plane, cylinder, sphere cap, saddle, torus patch.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "engine/surface/shell.hpp"
#include "engine/surface/wall_field.hpp"

namespace archwright::tests {

/// A surface in closed form over [0, length_u] x [0, length_v], nearly isometric, its normal su x sv towards
/// the foot. All lengths mm.
struct AnalyticSurface {
    std::string name;
    double length_u = 0, length_v = 0;
    std::function<surface::SurfacePoint(const Vec2& uv)> at;  ///< with second derivatives

    Vec3 point(const Vec2& uv) const { return at(uv).s; }
    Vec3 normal(const Vec2& uv) const { return at(uv).normal(); }
    /// The spline of `spans_u` x `spans_v` knot spans nearest to it (separable least squares, O(h^4)).
    surface::SplineSurface carpet(int spans_u, int spans_v) const;
};

AnalyticSurface plane(double length_u, double length_v);
/// Axis along x; radius > 0 is a gutter (bends towards the foot), < 0 a ridge.
AnalyticSurface cylinder(double length_u, double length_v, double radius);
/// Radius > 0 a cup, < 0 a dome.
AnalyticSurface sphere(double length_u, double length_v, double radius);
/// z = (x^2 / radius_u + y^2 / radius_v) / 2 about the middle, of opposite signs for a saddle.
AnalyticSurface saddle(double length_u, double length_v, double radius_u, double radius_v);
/// Outer half of a torus seen from inside its tube: ring radius, tube radius.
AnalyticSurface torus(double length_u, double length_v, double ring, double tube);
/// A gutter with arc-length profile: a flat sole between walls that climb to `wall_degrees`, an arch and a
/// heel that curls up: shaped and bent like a foot orthosis.
AnalyticSurface foot_like();

/// Closed curves in (u,v).
surface::PeriodicCurve uv_circle(const Vec2& centre, double radius, int points = 24);
/// The circle at polar angle `alpha` about the middle of sphere(...), exact in space.
surface::PeriodicCurve sphere_circle(const AnalyticSurface& sphere, double radius, double alpha, int points);
/// Inset of the domain with rounded ends, waisted on one side, like a trim line.
surface::PeriodicCurve foot_trim(const AnalyticSurface& surface, double inset);

/// Integral of f over the inside of a curve: Green's theorem, Gauss-Legendre across, fine steps along.
double integrate(const surface::PeriodicCurve& curve, const std::function<double(const Vec2&)>& f);

/// Steiner's formula for the solid between the surface and its offset by t away from the foot, walled along
/// the normals (a square rim): volume = integral of t + H t^2 + K t^3 / 3 (2 H = k1 + k2), areas of its sides
/// = integrals of 1 and (1 + t k1)(1 + t k2).
struct OffsetSolid {
    double volume, foot_area, under_area;
};
OffsetSolid offset_solid(const AnalyticSurface& surface, const surface::PeriodicCurve& trim, double t);

/// The wall t' at one (u,v) by brute force over exact formulas: dense balls, then the best of them refined by
/// a shrinking pattern. Independent of the engine's lattices and patches.
double brute_exit(const AnalyticSurface& surface, const std::vector<surface::BallLayer>& layers,
                  const Vec2& uv, double reach);

}  // namespace archwright::tests
