// Heights of single features over the carpet, as fields.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/feature/place.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::feature {

/// The height a feature asks for at a point of the carpet, mm along its normal: > 0 raised, < 0 cut. Zero
/// outside `low`..`high`. Two continuous derivatives, except along the ridge through a dome's highest point
/// (one) and where a drawn curve bends sharply. Safe from several threads at once.
struct Shape {
    std::function<double(const Vec2& uv, const Vec3& p)> height;
    Vec3 low = Vec3::Zero(), high = Vec3::Zero();  ///< box it stays within, design frame
    std::vector<Spot> spine;                       ///< its middle, or the points of its line: where it is
    double asked_mm = 0.0;                         ///< greatest height or depth asked for, unsigned

    double at(const Vec2& uv, const Vec3& p) const {
        return (p.array() >= low.array()).all() && (p.array() <= high.array()).all() ? height(uv, p) : 0.0;
    }
};

/// Lays one feature on the carpet. Distances from lines and curves are straight ones in space to the line
/// laid on the surface; an ellipse is measured in the tangent plane of its middle, across its edge by first
/// order (G. Taubin 1991, IEEE PAMI 13:1115). `heads` gives dome and bar the line of the heads. Faults:
/// place_of; a groove of fewer than two points, a curve that crosses itself, a dome or bar in front of the
/// sole.
Outcome<Shape> shape_of(const Feature& feature, const Site& site, const Layer& layer,
                        const surface::TrimRule& heads);

}  // namespace archwright::feature
