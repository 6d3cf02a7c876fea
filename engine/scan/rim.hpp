// The rim of a cast: where the surface ends, ragged, folded or doubled.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/mesh/topology.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/scan/up.hpp"

namespace archwright::scan {

/// The largest opening of the cast and its state.
struct RimReport {
    bool open = false;           ///< false for a closed surface: nothing else is meaningful then
    Vec3 centre = Vec3::Zero();  ///< file coordinates
    Vec3 normal = Vec3::Zero();  ///< unit, out of the opening, file coordinates
    double perimeter_mm = 0.0;
    double ragged_mm = 0.0;     ///< 95th percentile of the distance of the rim from its own smoothed course
    bool folded = false;        ///< the surface turns back on itself at the rim
    double folded_mm = 0.0;     ///< length of rim that does
    double excluded_mm2 = 0.0;  ///< area kept out of the usable surface
};

/// Vector area of a closed polygon: its direction is the normal of the plane the loop encloses most area in,
/// its length that area.
Vec3 vector_area(const TriangleMesh& mesh, const BoundaryLoop& loop);

/// Index of the loop that is the cast's opening: the longest, if it is long enough to be one; -1 otherwise.
int find_rim(const std::vector<BoundaryLoop>& loops, double extent);

/// That loop as an opening; `middle` is the middle of the surface (the opening looks away from it).
Opening opening_of(const TriangleMesh& mesh, const BoundaryLoop& loop, const Vec3& middle);

/// Examines the rim and marks in `usable` (one byte a triangle; may be empty on entry, when all are usable)
/// what must be kept out: a band as wide as the rim is ragged, and everything from the rim to the place where
/// a folded rim turns back.
RimReport examine_rim(const TriangleMesh& mesh, const Topology& topology, const BoundaryLoop& loop,
                      const Opening& opening, double mm_per_unit, std::vector<std::uint8_t>& usable);

}  // namespace archwright::scan
