// The finished trim line against what was asked of it.
#pragma once

#include "engine/base/check.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/trim_line.hpp"

namespace archwright::build {

/// "trim.asked": cup depths, heights at the arch and the corners' radius, measured on the finished curve. A
/// look where one is off by more than its named tolerance, naming it with both figures.
Check check_trim(const surface::TrimLine& trim, const surface::TrimRule& rule);

/// Where the distal edge ends under one metatarsal head.
struct DistalReach {
    foot::LandmarkId head;
    double behind_mm =
        0.0;  ///< from the edge forward to the head's plantar point along +x; negative: past it
};
/// At every plantar head whose y the edge spans.
std::vector<DistalReach> distal_reach(const surface::SplineSurface& carpet, const surface::TrimLine& trim,
                                      const foot::Landmarks& landmarks);

/// "trim.distal": a look where the edge reaches under a metatarsal head, on which the foot would then roll.
Check check_distal(const std::vector<DistalReach>& reach);

}  // namespace archwright::build
