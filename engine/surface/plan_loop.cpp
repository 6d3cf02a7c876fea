#include "engine/surface/plan_loop.hpp"

#include <optional>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/plan_place.hpp"

namespace archwright::surface {

namespace {

constexpr double seed_spacing_mm = 2.0;

Fault plan_fault(const std::string& message, const std::optional<Vec3>& where = std::nullopt) {
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

}  // namespace

Outcome<PeriodicCurve> plan_loop(const SplineSurface& surface, const std::vector<Vec2>& plan) {
    constexpr std::size_t least_points = 4;
    if (plan.size() < least_points) return plan_fault("A loop drawn in plan needs at least four points.");
    const Lattice lattice = Lattice::spaced(surface.u, surface.v, seed_spacing_mm);
    const LatticeFrames frames = sample_frames(surface, lattice);
    std::vector<Vec2> points;
    points.reserve(plan.size());
    for (const Vec2& p : plan) {
        const auto start = p.allFinite() ? seed(lattice, frames, p) : std::nullopt;
        const auto uv = start ? place_over(surface, p, *start, tolerance::post_cosine) : std::nullopt;
        if (!uv) {
            const Vec3 where =
                p.allFinite() ? Vec3(p.x(), p.y(), start ? surface.point(*start).z() : 0.0) : Vec3::Zero();
            return plan_fault("A loop leaves the surface, or comes where it is too steep, at " +
                                  place(where) + ". Draw it further inside.",
                              where);
        }
        points.push_back(*uv);
    }
    return PeriodicCurve::through(points);
}

}  // namespace archwright::surface
