// Small places of a cast made anew from what lies round them. On request only.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::examine {

/// Transition at the inside of a zone's edge, mm: our choice, the breadth that hides a step of the noise.
inline constexpr double repair_blend_mm = 2.0;

/// What is made anew: all of the cast within reach of one place, or of the line through several.
struct RepairZone {
    std::string name;          ///< for messages
    std::vector<Vec3> points;  ///< on the cast, in the mesh's own coordinates and unit
    double reach_mm = 8.0;
};

/// How a scan lies, as far as a repair has to know: unit, and directions in the mesh's coordinates.
struct ScanFrame {
    double mm_per_unit = 1.0;
    bool inside_out = false;    ///< the triangles face the foot's inside
    Vec3 toes = Vec3::UnitX();  ///< heel to toes
    Vec3 up = Vec3::UnitZ();    ///< to the back of the foot
};

/// What a repair did.
struct RepairFigure {
    std::string name;
    Vec3 place = Vec3::Zero();  ///< middle of the zone, the mesh's own coordinates
    double reach_mm = 0.0;
    double largest_mm = 0.0;    ///< greatest movement, positive away from the foot (plaster was missing)
    Vec3 where = Vec3::Zero();  ///< of it, after the repair
    double volume_mm3 = 0.0;    ///< between before and after, positive away from the foot
    double around_mm = 0.0;     ///< rms of the cast round the zone about the fitted surface
    std::size_t moved = 0;      ///< points of the mesh
    double left_mm = 0.0;       ///< of the line's ends, where the cast bends too far: left as they were
};

struct Repaired {
    TriangleMesh mesh;  ///< the same points and triangles in the same order, some points moved
    std::vector<RepairFigure> figures;
};

/// Distance of a place from one point or the line through several.
double distance_to_line(const Vec3& p, const std::vector<Vec3>& line);

/// Takes out the samples of each zone (of all zones at once, so that no zone is filled from another's fault),
/// fits the fairest surface with knots of 3 mm to what lies round it (engine/surface/fit.hpp), and moves the
/// zone's points onto it along the zone's normal; the last `repair_blend_mm` inside its edge is a transition.
/// Nothing outside the zone moves. Faults (stage "repair", FaultKind::input), each naming the zone and what
/// to do: no cast there; more than a fraction of its surroundings missing; it bends too far round the foot
/// (ends of a line that do are left out and told).
Outcome<Repaired> repair(const TriangleMesh& scan, const ScanFrame& frame,
                         const std::vector<RepairZone>& zones, Progress* progress = nullptr);

/// Height of the round dimple or dome near a zone's one place, over the foot as it goes on below it (degree 6
/// beside the dome; a repair goes down to the same): mm, positive away from the foot. Nothing where none
/// explains the cast there, or where it cannot be repaired.
std::optional<double> dome_height(const TriangleMesh& cast, const ScanFrame& frame, const RepairZone& zone);

}  // namespace archwright::examine
