// Flat areas where a cutter's axis may stand: level curves of a height grid, joined, cut, grown. Exact
// arithmetic on a grid of 1e-5 mm (B. Vatti 1992, by the Clipper library of A. Johnson).
#pragma once

#include <vector>

#include "engine/mill/reach.hpp"

namespace archwright::mill {

using Loop = std::vector<Vec2>;  ///< the last point joins the first

/// Outer borders counter-clockwise, holes clockwise: whoever walks along them has the outside on the right.
using Area = std::vector<Loop>;

/// Where the grid is at or below `level` (linear between its nodes). Beside the grid counts as above.
Area at_or_below(const HeightGrid& grid, double level);
/// Where the grid has a height at all (the shadow of a mesh by top_heights), to half a step.
Area shadow(const HeightGrid& tops);

Area common(const Area& a, const Area& b);
Area joined(const Area& a, const Area& b);
Area without(const Area& a, const Area& b);
/// Every border moved outward by `mm`, inward when negative; corners rounded. Loops come without points that
/// lie nearer than 0.005 mm to the line of their neighbours.
Area grown(const Area& area, double mm);
/// mm2, holes taken off.
double size(const Area& area);
bool contains(const Area& area, const Vec2& p);

}  // namespace archwright::mill
