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
/// below that it is, along the normal of the cutter's end where it touches. Where that normal leans 60
/// degrees or more the way back out is sideways: of a ball it is told by how near its centre comes to the
/// mesh, which is the depth along the normal at any slope, upright walls too; of other ends needles tell it.
/// Drills are left out. Fault: cancelled, at once.
Outcome<TipCheck> deepest_tip(const std::vector<Operation>& operations, const TriangleMesh& keep,
                              double apart, Progress* progress);

}  // namespace archwright::mill
