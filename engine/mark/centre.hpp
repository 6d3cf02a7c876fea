// The middle of a stroke of ink, finer than the mesh.
#pragma once

#include <vector>

#include "engine/mark/ground.hpp"

namespace archwright::mark {

/// One ink by which strokes are centred: some points of a skin and how much of it lies on each.
struct Ink {
    const Skin& skin;
    const InkField& field;
    std::vector<std::int32_t> points;  ///< of the region and a little more
    Vec3 colour = -Vec3::UnitX();      ///< unit: the way in colour from plaster to this ink

    /// How far a point is along that way: 0 plaster, 1 black on white; below 0 on the other side of plaster,
    /// so that noise averages out.
    double share(std::int32_t point) const { return field.off[static_cast<std::size_t>(point)].dot(colour); }
    /// Weight of a point: its area times its share of ink.
    double weight(std::int32_t point) const { return skin.area(point) * std::max(0.0, share(point)); }
};

/// Moves each point of a line across itself to the middle of the ink within `half_mm` of it (centroid of the
/// ink's share, over `along_mm` of the line), by `rounds` rounds. Even steps come in and go out.
std::vector<Vec3> centred(std::vector<Vec3> line, bool closed, const Ink& ink, double half_mm,
                          double along_mm, int rounds);

/// Breadth of the stroke along a line: its ink over its length, for ink as dark as `full`.
double breadth(const std::vector<Vec3>& line, bool closed, const Ink& ink, double full, double half_mm);

/// The ink's share in the middle of the stroke: what nine tenths of its points within `half_mm` stay below.
double contrast(const std::vector<Vec3>& line, bool closed, const Ink& ink, double half_mm);

}  // namespace archwright::mark
