// Landmarks are places on the cast: where a marked one lies on it.
#pragma once

#include "engine/foot/landmarks.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::foot {

/// The triangle of a mesh nearest to a place, by going through all of them: a tree would cost more than a few
/// places. `triangle` is -1 for an empty mesh.
struct NearestOn {
    double distance = 0.0;  ///< in the mesh's unit
    Vec3 point = Vec3::Zero();
    std::int32_t triangle = -1;
};
NearestOn nearest_on(const TriangleMesh& mesh, const Vec3& p);

/// Breadth of the cast whose mean course counts for a landmark's height: wider than a scanner's noise,
/// narrower than a head (mm; our choice).
inline constexpr double landmark_patch_mm = 4.0;

/// The landmarks brought onto the cast along its normal: the foot of each on the quadric through the cast's
/// points within landmark_patch_mm of it (so that one noisy triangle decides nothing). One that lies further
/// than tolerance::landmark_off_look_mm off, or beyond the cast's edge, stays where it was set. `cast` and
/// `landmarks` in the same coordinates, `mm_per_unit` their unit.
Landmarks on_cast(const TriangleMesh& cast, double mm_per_unit, const Landmarks& landmarks);

}  // namespace archwright::foot
