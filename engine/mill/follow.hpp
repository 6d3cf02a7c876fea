// Lines over a mesh as a cutter's tip follows them.
#pragma once

#include "engine/mill/drop.hpp"
#include "engine/mill/path.hpp"

namespace archwright::mill {

/// Appends the tip's places from `from` (not itself) to `to`, straight in plan, as low as the mesh lets it
/// and no lower than the line's own heights between `from.z` and `to.z` (each at or above the mesh): chords
/// keep within `chord` of that. Where the cutter falls off an edge it goes over first and down after.
void follow(const DropGrid& drop, const Vec3& from, const Vec3& to, double chord, std::vector<Vec3>& out);

/// Leaves out points that lie within `within` of the line of those that stay.
void thin_out(std::vector<Vec3>& points, double within);

}  // namespace archwright::mill
