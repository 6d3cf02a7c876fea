// A program judged by where its cutters' tips are: another way than needles, and one that no scratch escapes
// by passing between two of them.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mill/drop.hpp"
#include "engine/mill/path.hpp"

namespace archwright::mill {

/// The deepest cut into a mesh.
struct TipCheck {
    double depth_mm = 0.0;  ///< along the normal where the cutter meets the mesh
    Vec3 where = Vec3::Zero();
};

/// The tip of every feed let down on the mesh at places no more than `apart` mm from each other: how far
/// below that it is, along the normal of the cutter's end where it touches. Only where that normal leans less
/// than 60 degrees: by steeper walls the way back out is sideways, and needles tell it; so do they for the
/// sharp edge of a flat nose. Drills are left out. Fault: cancelled.
Outcome<TipCheck> deepest_tip(const std::vector<Operation>& operations, const TriangleMesh& keep,
                              double apart, Progress* progress);

}  // namespace archwright::mill
