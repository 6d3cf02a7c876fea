#include "engine/surface/plan_loop.hpp"

#include <cmath>
#include <optional>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/surface/lattice.hpp"

namespace archwright::surface {

namespace {

constexpr double seed_spacing_mm = 2.0;
constexpr int most_steps = 30;

Fault fault(const std::string& message, const std::optional<Vec3>& where = std::nullopt) {
    return {FaultKind::check, "loops", message, where};
}

// Nearest node in plan among those whose surface faces up.
std::optional<Vec2> seed(const Lattice& lattice, const LatticeFrames& frames, const Vec2& p) {
    std::optional<std::size_t> best;
    double least = 0.0;
    for (std::size_t k = 0; k < lattice.size(); ++k) {
        if (frames.normals[k].z() < tolerance::post_cosine) continue;
        const double distance2 = (frames.points[k].head<2>() - p).squaredNorm();
        if (best && distance2 >= least) continue;
        best = k;
        least = distance2;
    }
    if (!best) return std::nullopt;
    return lattice.uv(*best);
}

// (u,v) of the place over p, from a start near it.
std::optional<Vec2> settle(const SplineSurface& surface, const Vec2& p, Vec2 uv) {
    for (int k = 0; k < most_steps; ++k) {
        const SurfacePoint at = surface.first(uv);
        const Vec2 miss = p - at.s.head<2>();
        const double det = at.su.x() * at.sv.y() - at.su.y() * at.sv.x();
        if (!(std::abs(det) > tolerance::degenerate)) return std::nullopt;
        const Vec2 step((miss.x() * at.sv.y() - miss.y() * at.sv.x()) / det,
                        (at.su.x() * miss.y() - at.su.y() * miss.x()) / det);
        const double size = step.norm();
        uv = surface.clamp(uv + (size > seed_spacing_mm ? step * (seed_spacing_mm / size) : step));
        if (size < tolerance::newton_step_mm) break;
    }
    const SurfacePoint at = surface.first(uv);
    constexpr double met_mm = 1e-6;
    if ((p - at.s.head<2>()).norm() > met_mm || at.normal().z() < tolerance::post_cosine) return std::nullopt;
    return uv;
}

}  // namespace

Outcome<PeriodicCurve> plan_loop(const SplineSurface& surface, const std::vector<Vec2>& plan) {
    constexpr std::size_t least_points = 4;
    if (plan.size() < least_points) return fault("A loop drawn in plan needs at least four points.");
    const Lattice lattice = Lattice::spaced(surface.u, surface.v, seed_spacing_mm);
    const LatticeFrames frames = sample_frames(surface, lattice);
    std::vector<Vec2> points;
    points.reserve(plan.size());
    for (const Vec2& p : plan) {
        const auto start = p.allFinite() ? seed(lattice, frames, p) : std::nullopt;
        const auto uv = start ? settle(surface, p, *start) : std::nullopt;
        if (!uv) {
            const Vec3 where =
                p.allFinite() ? Vec3(p.x(), p.y(), start ? surface.point(*start).z() : 0.0) : Vec3::Zero();
            return fault("A loop leaves the surface, or comes where it is too steep, at " + place(where) +
                             ". Draw it further inside.",
                         where);
        }
        points.push_back(*uv);
    }
    return PeriodicCurve::through(points);
}

}  // namespace archwright::surface
