// Is there a sole, and what is missing of it.
#pragma once

#include <vector>

#include "engine/mesh/topology.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/scan/receive_plan.hpp"

namespace archwright::scan {

/// A hole in the sole.
struct Hole {
    Vec3 centre = Vec3::Zero();  ///< file coordinates and units
    double diameter_mm = 0.0;    ///< of the circle with the hole's area
    double perimeter_mm = 0.0;
};

struct SoleCoverage {
    double open_share = 0.0;  ///< of the sole's plan between heel and toe roots, 0..1
    std::vector<Hole> holes;  ///< largest first
};

/// Share of the sole's plan, from heel to the roots of the toes and 10 nominal mm inside its border, that has
/// nothing at sole height.
double open_share(const Plan& plan);

/// Boundary loops that lie in the sole, at least hole_reported_mm across, largest first. `rim` is the loop
/// that is the cast's opening (-1: none) and is left out.
std::vector<Hole> sole_holes(const TriangleMesh& mesh, const std::vector<BoundaryLoop>& loops, int rim,
                             const Plan& plan, double mm_per_unit);

}  // namespace archwright::scan
