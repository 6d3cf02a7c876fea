#include "engine/build/repair_effect.hpp"

#include <cmath>

#include "engine/base/text.hpp"
#include "engine/build/stages.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::build {

namespace {

std::optional<double> value(const std::vector<foot::Measurement>& measured, const char* id) {
    const foot::Measurement* m = foot::find(measured, id);
    return m == nullptr ? std::nullopt : std::optional(m->value);
}

}  // namespace

Outcome<RepairEffect> repair_effect(const Received& received, const Surfaced& surfaced,
                                    const design::FootDesign& foot, Side side, const design::Repair& repair,
                                    Progress& progress) {
    design::FootDesign mended = foot;
    mended.repairs.push_back(repair);
    if (mended.repairs.back().name.empty()) mended.repairs.back().name = "proposed";
    const auto after = receive_stage(received.cast, mended, side, "JOB", progress);
    if (!after) return after.fault();
    const auto surface = surface_stage(*after, mended, progress);
    if (!surface) return surface.fault();

    RepairEffect effect;
    effect.forefoot_before_deg = value(received.measurements, "forefoot_to_rearfoot");
    effect.forefoot_after_deg = value(after->measurements, "forefoot_to_rearfoot");
    effect.arch_before_mm = value(received.measurements, "arch_height");
    effect.arch_after_mm = value(after->measurements, "arch_height");
    const surface::SplineSurface& before = surfaced.carpet.surface;
    const surface::SplineSurface& now = surface->carpet.surface;
    constexpr double spacing_mm = 2.0;
    const surface::Lattice lattice = surface::Lattice::spaced(before.u, before.v, spacing_mm);
    const std::vector<Vec3> points = surface::sample_points(before, lattice);
    const surface::TrimRegion inside{surface::Outline(surfaced.trim.curve)};
    // the two flat domains need not agree: each sample starts from the nearest node of a coarse lattice
    const surface::Lattice starts = surface::Lattice::spaced(now.u, now.v, 8.0);
    const std::vector<Vec3> start_points = surface::sample_points(now, starts);
    for (std::size_t k = 0; k < points.size(); ++k) {
        if (!inside.inside(lattice.uv(k))) continue;
        const Vec3 p = after->standing.frame.to_design(received.standing.frame.to_scan(points[k]));
        std::size_t nearest = 0;
        for (std::size_t s = 1; s < start_points.size(); ++s)
            if ((start_points[s] - p).squaredNorm() < (start_points[nearest] - p).squaredNorm()) nearest = s;
        Vec2 uv = starts.uv(nearest);
        const double apart = now.project(p, uv);
        ++effect.samples;
        if (apart > effect.foot_side_mm) {
            effect.foot_side_mm = apart;
            effect.where = now.point(uv);
        }
    }
    return effect;
}

std::string sentence(const RepairEffect& effect) {
    std::string text = "Repaired, the foot side would lie up to " + rounded(effect.foot_side_mm, 2) +
                       " mm elsewhere, at " + place(effect.where);
    if (effect.forefoot_before_deg && effect.forefoot_after_deg)
        text += "; forefoot to rearfoot " + inclination(*effect.forefoot_before_deg) + " now, " +
                inclination(*effect.forefoot_after_deg) + " then";
    if (effect.arch_before_mm && effect.arch_after_mm &&
        std::abs(*effect.arch_before_mm - *effect.arch_after_mm) >= 0.05)
        text += "; arch height " + rounded(*effect.arch_before_mm, 1) + " mm now, " +
                rounded(*effect.arch_after_mm, 1) + " mm then";
    return text + ".";
}

}  // namespace archwright::build
