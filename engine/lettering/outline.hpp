// The borders of strokes: where their flanks begin at the surface and end at the floor.
#pragma once

#include <vector>

#include "engine/lettering/layout.hpp"

namespace archwright::lettering {

/// A closed polygon, mm; the last point joins the first.
using Ring = std::vector<Vec2>;

struct Outlines {
    std::vector<Ring> edge;   ///< half a stroke's breadth from the middle lines: outer rings and holes
    std::vector<Ring> floor;  ///< further in by the flank's run; each of its rings lies within the edge
};

/// Offsets all middle lines together, with round ends, so that strokes that meet are one (Clipper library of
/// A. Johnson, on a grid of tolerance::pattern_grid_mm); chords within half of tolerance::outline_chord_mm,
/// edges up to half a millimetre long. No two rings touch.
Outlines outlines(const Layout& layout, const Style& style);

}  // namespace archwright::lettering
