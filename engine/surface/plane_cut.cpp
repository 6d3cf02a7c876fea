#include "engine/surface/plane_cut.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"
#include "engine/surface/blend.hpp"

namespace archwright::surface {

namespace {

// Rounding where the platform leaves the sole, half its height: soft enough for the carpet's knots.
constexpr double platform_soft_mm = 0.4;
// Least breadth over which the platform ends beside the plantar points.
constexpr double least_side_mm = 14.0;
// Over which y is bent to the plantar heads' lines, half its breadth.
constexpr double side_soft_mm = 5.0;
// Walking over the surface to another place of the plan: steps, their greatest length, and the plan area of a
// unit of (u,v) below which the surface is a wall.
constexpr int newton_steps = 25;
constexpr double longest_cut_step_mm = 4.0, least_plan_area = 0.05;

}  // namespace

double SkivePlane::removal(const Vec3& p) const {
    const double along = 1.0 - ease((p.x() - end_x) / fade_mm);
    if (along <= 0.0) return 0.0;
    return along * soft_positive(offset + slope * p.y() - p.z(), soft_mm);
}

Outcome<SkivePlane> lay_skive(const std::vector<Vec3>& surface, const Skive& skive, bool medial,
                              const DressSite& site) {
    SkivePlane plane;
    const double tangent = std::tan(radians(skive.angle_deg));
    plane.slope = medial ? tangent : -tangent;
    plane.end_x = site.rule.heel_centre.x() + skive.forward_mm;
    plane.fade_mm = std::max(skive.fade_mm, 1.0);
    plane.soft_mm = 0.5 * skive.blend_mm * tangent;
    double most = -1e300;
    for (const Vec3& p : surface)
        if (p.x() <= plane.end_x) most = std::max(most, plane.slope * p.y() - p.z());
    if (!(most > -1e300))
        return Fault{FaultKind::check, "dress", "The surface has no heel for a skive.",
                     site.rule.heel_centre};
    plane.offset = skive.depth_mm - most;
    return plane;
}

double PlatformPlane::addition(const SplineSurface& surface, const Vec2& uv) const {
    const Vec3 &first = site.first_plantar, &fifth = site.fifth_plantar;
    SurfacePoint at = surface.first(uv);
    const Vec2 p = at.s.head<2>();
    const double heads_x =
        fifth.x() + (first.x() - fifth.x()) * (p.y() - fifth.y()) / (first.y() - fifth.y());
    const double along = ease(1.0 + (p.x() - heads_x + length_mm) / blend_mm);
    const auto beside = [](double beyond, double to_border) {
        return 1.0 - ease(beyond / std::max(to_border, least_side_mm));
    };
    const double across = beside(p.y() - first.y(), site.rule.first_head.y() - first.y()) *
                          beside(fifth.y() - p.y(), fifth.y() - site.rule.fifth_head.y());
    if (!(along * across > 0.0)) return 0.0;
    // the place of the sole whose addition counts here, its y held between the plantar heads
    const Vec2 wanted(p.x(), p.y() + soft_positive(fifth.y() - p.y(), side_soft_mm) -
                                 soft_positive(p.y() - first.y(), side_soft_mm));
    Vec2 found = uv;
    for (int step = 0; step < newton_steps; ++step) {
        const Vec2 off = wanted - at.s.head<2>();
        if (off.norm() < tolerance::newton_step_mm) break;
        const double det = at.su.x() * at.sv.y() - at.su.y() * at.sv.x();
        if (!(std::abs(det) > least_plan_area)) break;  // a wall: nearer is not to be had
        const Vec2 move((at.sv.y() * off.x() - at.sv.x() * off.y()) / det,
                        (at.su.x() * off.y() - at.su.y() * off.x()) / det);
        const double length = move.norm();
        found = surface.clamp(found + move * std::min(1.0, longest_cut_step_mm / std::max(length, 1e-12)));
        at = surface.first(found);
    }
    return along * across * soft_positive(at.s.z() - height(at.s.y()), platform_soft_mm);
}

PlatformPlane lay_platform(const Platform& platform, const DressSite& site) {
    PlatformPlane plane;
    plane.site = site;
    plane.slope = std::tan(radians(platform.tilt_deg));
    plane.length_mm = platform.length_mm;
    plane.blend_mm = std::max(platform.blend_mm, 1.0);
    // through the head that keeps the plane below the other one: it only adds
    const Vec3 &first = site.first_plantar, &fifth = site.fifth_plantar;
    const double by_first = first.z() - plane.slope * first.y(),
                 by_fifth = fifth.z() - plane.slope * fifth.y();
    plane.through_first = by_first <= by_fifth;
    plane.offset = std::min(by_first, by_fifth);
    return plane;
}

}  // namespace archwright::surface
