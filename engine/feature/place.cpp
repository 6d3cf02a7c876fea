#include "engine/feature/place.hpp"

#include <algorithm>

#include "engine/base/text.hpp"
#include "engine/surface/plan_place.hpp"

namespace archwright::feature {

namespace {

constexpr double near_mm = 6.0;
constexpr double start_spacing_mm = 2.0;  // of the places a search for the nearest starts from

std::string known_names(const Site& site) {
    std::string all;
    for (const auto& [name, points] : site.marks) all += (all.empty() ? "" : ", ") + name;
    for (const auto& [id, landmark] : site.landmarks) all += (all.empty() ? "" : ", ") + std::string(key(id));
    return all.empty() ? "none" : all;
}

}  // namespace

Fault fault_of(const Feature& feature, const std::string& what, std::optional<Vec3> where) {
    return {FaultKind::check, "features", "\"" + feature.name + "\": " + what, where};
}

Layer::Layer(const surface::SplineSurface& carpet)
    : carpet_(carpet),
      index_(carpet),
      lattice_(surface::Lattice::spaced(carpet.u, carpet.v, start_spacing_mm)),
      points_(surface::sample_points(carpet, lattice_)) {}

std::optional<Spot> Layer::at(const Vec2& plan) const {
    const auto start = index_.nearest(plan, near_mm);
    if (!start) return std::nullopt;
    constexpr double least_cosine = 1e-3;  // a mark may lie high on a wall
    const auto uv = surface::place_over(carpet_, plan, *start, least_cosine);
    if (!uv) return std::nullopt;
    return Spot{*uv, carpet_.point(*uv)};
}

Spot Layer::nearest(const Vec3& p) const {
    const auto best = std::min_element(points_.begin(), points_.end(), [&](const Vec3& a, const Vec3& b) {
        return (a - p).squaredNorm() < (b - p).squaredNorm();
    });
    Vec2 uv = lattice_.uv(static_cast<std::size_t>(best - points_.begin()));
    carpet_.project(p, uv);
    return {uv, carpet_.point(uv)};
}

Outcome<std::vector<Spot>> place_of(const Feature& feature, const Site& site, const Layer& layer) {
    std::vector<Spot> spots;
    const Vec2 move(feature.forward_mm, feature.medial_mm);
    const auto lay = [&](const Vec2& plan) -> std::optional<Fault> {
        const auto spot = layer.at(plan);
        if (!spot)
            return fault_of(feature,
                            "there is no sole at x " + rounded(plan.x(), 0) + ", y " + rounded(plan.y(), 0) +
                                " of the plan: move it onto the shell.",
                            Vec3(plan.x(), plan.y(), 0.0));
        spots.push_back(*spot);
        return std::nullopt;
    };
    std::vector<Vec3> from;
    if (!feature.anchor.empty()) {
        const auto mark = site.marks.find(feature.anchor);
        const auto id = foot::landmark_id(feature.anchor);
        const auto landmark = id ? site.landmarks.find(*id) : site.landmarks.end();
        if (site.refused_marks.count(feature.anchor) > 0)
            return fault_of(feature, "its mark \"" + feature.anchor +
                                         "\" was refused: accept that mark, anchor it elsewhere, or take "
                                         "it out.");
        if (mark != site.marks.end()) {
            from = mark->second;
        } else if (landmark != site.landmarks.end()) {
            from = {landmark->second.position};
        } else {
            return fault_of(feature, "its anchor \"" + feature.anchor +
                                         "\" is neither a mark nor a landmark of this foot (" +
                                         known_names(site) + ").");
        }
    } else if (feature.points.empty()) {
        return fault_of(feature, "it has no place: give an anchor (a mark or a landmark) or points in plan.");
    }
    for (const Vec3& p : from) {
        // a mark lies on the cast: what was added below it moves along the carpet's normal
        const Spot spot = layer.nearest(p);
        if (move.isZero())
            spots.push_back(spot);
        else if (auto trouble = lay(spot.p.head<2>() + move))
            return *trouble;
    }
    if (from.empty())
        for (const Vec2& plan : feature.points)
            if (auto trouble = lay(plan + move)) return *trouble;
    return spots;
}

}  // namespace archwright::feature
