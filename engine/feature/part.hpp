// Parts of their own: a plug in its seat, a pad stuck on. A body between two surfaces over one patch of
// (u,v).
#pragma once

#include <functional>

#include "engine/base/outcome.hpp"
#include "engine/feature/map.hpp"
#include "engine/surface/shell.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::feature {

/// A part as laid on a shell. Its foot side is its top, its underside what lies on the shell, its trim its
/// outline; the side between them is square.
struct LaidPart {
    Feature feature;
    surface::Shell body;         ///< over a (u,v) of its own
    Vec2 origin = Vec2::Zero();  ///< where that begins in the shell's (u,v)
    /// Share of the full clearance at a place of the body's own (u,v): 0 over the floor of a seat, 1 along
    /// its flank. Empty of a pad.
    std::function<double(const Vec2& uv)> side;
    double fit_mm = 0.0;      ///< greatest distance of its faces from the fields they stand for
    double lost_share = 0.0;  ///< of its area, where it would run over the trim line
};

/// Lays the part of one feature that asks for one. Over a pad the underside is the shell's foot side moved
/// out by the glue's gap, the top the pad's own surface. Over a cavity the underside is the seat moved out by
/// the glue's gap over its floor and by the clearance along its flank (between the two over the
/// lowest two fifths of the flank's breadth); the top is the undisturbed foot side, raised by `proud_mm` over
/// the floor and less along the flank. Either ends where it would be thinner than tolerance::part_edge_mm,
/// and tolerance::loop_apart_mm inside the trim line. `all` are the features of the foot, part or not; faults
/// (stage "features", naming it): a kind that can be no part, a feature it overlaps, nothing left of it.
Outcome<LaidPart> lay_part(const FeatureMap::Laid& one, const FeatureMap& all,
                           const surface::SplineSurface& carpet, const surface::SplineSurface& foot_side,
                           const surface::TrimRegion& trim);

}  // namespace archwright::feature
