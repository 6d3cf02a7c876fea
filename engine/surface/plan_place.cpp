#include "engine/surface/plan_place.hpp"

#include <cmath>

#include "engine/base/tolerances.hpp"

namespace archwright::surface {

std::optional<Vec2> place_over(const SplineSurface& surface, const Vec2& plan, const Vec2& start,
                               double least_cosine) {
    constexpr int most_steps = 30;
    constexpr double longest_step_mm = 2.0;
    Vec2 uv = start;
    for (int k = 0; k < most_steps; ++k) {
        const SurfacePoint at = surface.first(uv);
        const Vec2 miss = plan - at.s.head<2>();
        const double det = at.su.x() * at.sv.y() - at.su.y() * at.sv.x();
        if (!(std::abs(det) > tolerance::degenerate)) return std::nullopt;
        const Vec2 step((miss.x() * at.sv.y() - miss.y() * at.sv.x()) / det,
                        (at.su.x() * miss.y() - at.su.y() * miss.x()) / det);
        const double size = step.norm();
        uv = surface.clamp(uv + (size > longest_step_mm ? step * (longest_step_mm / size) : step));
        if (size < tolerance::newton_step_mm) break;
    }
    const SurfacePoint at = surface.first(uv);
    constexpr double met_mm = 1e-6;
    if ((plan - at.s.head<2>()).norm() > met_mm || at.normal().z() < least_cosine) return std::nullopt;
    return uv;
}

}  // namespace archwright::surface
