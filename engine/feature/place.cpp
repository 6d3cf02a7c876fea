#include "engine/feature/place.hpp"

#include <algorithm>

#include "engine/base/text.hpp"

namespace archwright::feature {

namespace {

constexpr double near_mm = 6.0;
constexpr double start_spacing_mm = 2.0;  // of the places a search for the nearest starts from

Fault fault(const Feature& feature, FaultKind kind, const std::string& what, std::optional<Vec3> where = {}) {
    return {kind, "features", "\"" + feature.name + "\": " + what, where};
}

std::string known_names(const Site& site) {
    std::string all;
    for (const auto& [name, points] : site.marks) all += (all.empty() ? "" : ", ") + name;
    for (const auto& [id, landmark] : site.landmarks) all += (all.empty() ? "" : ", ") + std::string(key(id));
    return all.empty() ? "none" : all;
}

}  // namespace

Layer::Layer(const surface::SplineSurface& carpet)
    : carpet_(carpet),
      index_(carpet),
      lattice_(surface::Lattice::spaced(carpet.u, carpet.v, start_spacing_mm)),
      points_(surface::sample_points(carpet, lattice_)) {}

std::optional<Spot> Layer::at(const Vec2& plan) const {
    const auto start = index_.nearest(plan, near_mm);
    if (!start) return std::nullopt;
    Vec2 uv = *start;
    constexpr int most = 20;
    constexpr double close_enough_mm = 1e-9;
    for (int k = 0; k < most; ++k) {
        const surface::SurfacePoint at = carpet_.first(uv);
        const Vec2 off = plan - at.s.head<2>();
        if (off.norm() < close_enough_mm) break;
        Eigen::Matrix2d jacobian;
        jacobian << at.su.x(), at.sv.x(), at.su.y(), at.sv.y();
        if (!(std::abs(jacobian.determinant()) > 1e-3))
            return std::nullopt;  // a wall: no place above another
        uv = carpet_.clamp(uv + jacobian.inverse() * off);
    }
    const Vec3 p = carpet_.point(uv);
    constexpr double reached_mm = 1e-3;
    if ((p.head<2>() - plan).norm() > reached_mm) return std::nullopt;
    return Spot{uv, p};
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
            return fault(feature, FaultKind::check,
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
        if (mark != site.marks.end()) {
            from = mark->second;
        } else if (landmark != site.landmarks.end()) {
            from = {landmark->second.position};
        } else {
            return fault(feature, FaultKind::check,
                         "its anchor \"" + feature.anchor +
                             "\" is neither a mark nor a landmark of this foot (" + known_names(site) + ").");
        }
    } else if (feature.points.empty()) {
        return fault(feature, FaultKind::check,
                     "it has no place: give an anchor (a mark or a landmark) or points in plan.");
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
