// What the repairs of a cast changed: the scan before and after them, side by side.
#pragma once

#include "engine/build/device.hpp"
#include "engine/picture/sole_relief.hpp"

namespace archwright::picture {

/// The scan as it came and as repaired, in the design frame; the same points and triangles in both, those
/// within `about_mm` of a repair alone.
struct RepairChange {
    TriangleMesh before, after;
    std::vector<double>
        moved;  ///< at every point along the surface's normal, mm, positive away from the foot
    std::vector<double> relief_before, relief_after;  ///< local relief; not a number off the sole
    double greatest_mm = 0.0;                         ///< of |moved|
};

/// `about_mm`: how far round each repair's place and reach the cast is kept.
RepairChange change_of(const build::Received& received, const SoleRelief& sole, double about_mm);

}  // namespace archwright::picture
