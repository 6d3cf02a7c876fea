#include "engine/feature/part.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/feature/figures.hpp"
#include "engine/surface/blend.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/level_loop.hpp"
#include "engine/surface/patch_of.hpp"

namespace archwright::feature {

namespace {

constexpr double search_mm = 0.5;  // spacing of the lattices that look for a part's extent and outline
constexpr double beyond_mm = 3.0;  // a patch goes on so far beyond the feature, so that its ends are calm
constexpr double least_area_mm2 = 7.0;  // 3 mm across
constexpr double come_share = 0.4;      // of a flank's breadth, over which the clearance comes
// Near the trim line a part ends as if it thinned by so much per mm, rounded over so much of thickness: a
// sharp corner of the outline would swing.
constexpr double ramp = 0.3, corner_mm = 0.3;

// Share of the clearance where a seat has this share of its depth. Flanks run by ease(t): its inverse is how
// far up the flank a place lies, so that the clearance is as smooth as the flank itself.
double side_share(double of_depth) {
    double low = 0.0, high = 1.0;
    constexpr int halvings = 48;
    for (int k = 0; k < halvings; ++k) {
        const double t = 0.5 * (low + high);
        (surface::ease(t) > of_depth ? high : low) = t;
    }
    return surface::ease((1.0 - low) / come_share);
}

struct Extent {
    Vec2 low = Vec2::Constant(1e300), high = Vec2::Constant(-1e300);
    const FeatureMap::Laid* overlapped = nullptr;
    Vec3 where = Vec3::Zero();
};

// Where the feature is felt, and what else is felt there.
Extent extent_of(const FeatureMap::Laid& one, const FeatureMap& all, const surface::SplineSurface& carpet) {
    Extent extent;
    const surface::Lattice lattice = surface::Lattice::spaced(carpet.u, carpet.v, search_mm);
    const std::vector<Vec3> points = surface::sample_points(carpet, lattice);
    for (std::size_t k = 0; k < points.size(); ++k) {
        const Vec2 uv = lattice.uv(k);
        const double own = std::abs(one.shape.at(uv, points[k]));
        if (own == 0.0) continue;
        extent.low = extent.low.cwiseMin(uv);
        extent.high = extent.high.cwiseMax(uv);
        if (own < felt_mm || extent.overlapped != nullptr) continue;
        for (const FeatureMap::Laid& other : all.laid()) {
            if (other.feature.name == one.feature.name) continue;
            if (std::abs(other.shape.at(uv, points[k])) < felt_mm) continue;
            extent.overlapped = &other;
            extent.where = points[k];
        }
    }
    return extent;
}

// Spans of its patches: flanks are the finest thing on a feature.
double span_of(const Feature& feature) {
    const double fine = feature.kind == Feature::Kind::metatarsal_dome
                            ? 0.05 * std::min(feature.length_mm, feature.width_mm)
                            : feature.flank_mm / 10.0;
    return std::clamp(fine, 0.3, 0.8);
}

// Greatest distance of a face from what it was fitted to, within the part's outline.
double misfit(const LaidPart& laid, const surface::SplineSurface& face,
              const std::function<Vec3(const Vec2&)>& asked) {
    constexpr double spacing_mm = 0.37;  // no simple share of a span: places between the samples of the fit
    const surface::Lattice lattice = surface::Lattice::spaced(face.u, face.v, spacing_mm);
    const surface::TrimRegion inside{surface::Outline(laid.body.trim)};
    double most = 0.0;
    for (std::size_t k = 0; k < lattice.size(); ++k) {
        const Vec2 uv = lattice.uv(k);
        if (inside.inside(uv)) most = std::max(most, (face.point(uv) - asked(laid.origin + uv)).norm());
    }
    return most;
}

double greatest(const FeatureMap::Laid& one) {
    return one.feature.relief() ? one.feature.depth_mm : one.feature.height_mm;
}

}  // namespace

Outcome<LaidPart> lay_part(const FeatureMap::Laid& one, const FeatureMap& all,
                           const surface::SplineSurface& carpet, const surface::SplineSurface& foot_side,
                           const surface::TrimRegion& trim) {
    const Feature& feature = one.feature;
    const OwnPart& part = feature.part;
    if (!feature.seat() && !feature.stuck_on())
        return fault_of(feature,
                        "a groove or an aperture cannot hold a part of its own; a cavity (a plug), a pad, a "
                        "dome and a bar can. Take its part.material out.");
    const Extent extent = extent_of(one, all, carpet);
    if (extent.overlapped != nullptr)
        return fault_of(feature,
                        "as a part of its own it cannot overlap \"" + extent.overlapped->feature.name +
                            "\", which it does at " + place(extent.where) +
                            ". Move one of the two, or make it one solid with the shell (part.material).",
                        extent.where);
    const double size = greatest(one);
    const Vec3 at = one.shape.spine.empty() ? Vec3::Zero() : one.shape.spine.front().p;
    const auto nothing_left = [&] {
        return fault_of(feature,
                        "nothing of its part is left: it is nowhere thicker than " +
                            rounded(tolerance::part_edge_mm, 1) +
                            " mm over 3 mm inside the trim line. Make it larger, or move it inside.",
                        at);
    };
    if (!(size > 0.0) || extent.low.x() > extent.high.x()) return nothing_left();

    // share of its greatest depth or height
    const auto share = [&](const Vec2& uv) { return std::abs(one.shape.at(uv, carpet.point(uv))) / size; };
    const bool seat = feature.seat();
    const auto gap = [&](double of_depth) {
        return seat ? part.glue_mm + (part.clearance_mm - part.glue_mm) * side_share(of_depth) : part.glue_mm;
    };
    const auto top = [&](const Vec2& uv) {
        const surface::SurfacePoint s = carpet.first(uv);
        return Vec3(s.s + (seat ? part.proud_mm : size) * share(uv) * s.normal());
    };
    const auto bottom = [&](const Vec2& uv) {
        const surface::SurfacePoint f = foot_side.first(uv);
        return Vec3(f.s + gap(share(uv)) * f.normal());
    };
    const auto spare = [&](const Vec2& uv) {
        return (top(uv) - bottom(uv)).dot(carpet.normal(uv)) - tolerance::part_edge_mm;
    };
    const auto to_trim = [&](const Vec2& uv) {
        constexpr double far_mm = 20.0;
        const double distance = trim.distance(uv, far_mm);
        return (trim.inside(uv) ? distance : -distance) - tolerance::loop_apart_mm;
    };
    const auto there = [&](const Vec2& uv) {
        const double thick = spare(uv), inside = ramp * to_trim(uv);
        return thick - surface::soft_positive(thick - inside, corner_mm);
    };
    const Vec2 margin = Vec2::Constant(beyond_mm);
    const Vec2 low = carpet.clamp(extent.low - margin), high = carpet.clamp(extent.high + margin);
    const auto outline = surface::level_loop(there, low, high, search_mm, least_area_mm2);
    if (!outline) return nothing_left();
    const auto whole = surface::level_loop(spare, low, high, search_mm, least_area_mm2);
    if (whole && whole->others_mm2 > 0.0)
        return fault_of(feature,
                        "its part falls into pieces: between them it is thinner than " +
                            rounded(tolerance::part_edge_mm, 1) +
                            " mm. Make it higher or broader there, or order each piece as its own.",
                        at);

    LaidPart laid;
    laid.feature = feature;
    laid.origin = low;
    const double span = span_of(feature);
    laid.body.carpet = surface::patch_of([&](const Vec2& uv) { return carpet.point(uv); }, low, high, span);
    laid.body.foot_side = surface::patch_of(top, low, high, span);
    laid.body.underside = surface::patch_of(bottom, low, high, span);
    laid.body.trim = outline->curve;
    for (Vec2& p : laid.body.trim.control) p -= low;
    laid.body.rim.kind = surface::Rim::Kind::square;
    laid.fit_mm = std::max(misfit(laid, laid.body.foot_side, top), misfit(laid, laid.body.underside, bottom));
    if (whole)
        laid.lost_share = std::max(0.0, 1.0 - outline->curve.signed_area() / whole->curve.signed_area());
    if (seat)
        laid.side = [shape = one.shape, patch = laid.body.carpet, low, size](const Vec2& uv) {
            return side_share(std::abs(shape.at(low + uv, patch.point(uv))) / size);
        };
    return laid;
}

}  // namespace archwright::feature
