// How a device lies in its block: tilt, place, undercuts.
#pragma once

#include "engine/mill/reach.hpp"

namespace archwright::mill {

/// Surface that no three-axis cutter sees, neither from +z nor from -z.
struct Undercut {
    double area_mm2 = 0.0;
    Vec3 where = Vec3::Zero();  ///< centre of the largest hidden triangle
};
/// On a grid: a triangle counts as hidden when its middle lies more than 0.2 mm under what stands above it
/// and over what hangs below it, at every node of the grid round it: a strip of a step beside an edge is let
/// off.
Undercut undercut(const TriangleMesh& mesh, double step);

/// Turn about y (pitch), then about x (roll), degrees.
Mat3 tilt(double pitch_deg, double roll_deg);

/// A device turned so that a three-axis mill sees the most of it; among equals the flattest, among those the
/// least turned.
struct Tilt {
    double pitch_deg = 0.0, roll_deg = 0.0;
    double undercut_mm2 = 0.0;
    double height_mm = 0.0;
};
/// Tries pitch and roll up to `most_deg` in steps of `step_deg`; 0: as it stands.
Tilt best_tilt(const TriangleMesh& mesh, double most_deg, double step_deg);

}  // namespace archwright::mill
