// Surfaces seen in plan, rendered into a box of the page.
#pragma once

#include "engine/picture/drafting.hpp"
#include "engine/picture/subject.hpp"

namespace archwright::picture {

/// Heights above the ground beyond this are not sole and not printed, mm.
inline constexpr double sole_height_mm = 34.0;

/// The sole as its print, over what stands in the box: seen from below and turned over, so that it reads from
/// above; the lowest surface wins. Hill shading from the upper left with contours every 2 (faint) and 10 mm
/// (stronger), or coloured by height when a scale is given. Higher than sole_height_mm nothing is drawn.
void print_sole(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject, const Axes& axes,
                const MapScale* heights);

/// The part of the cast that print_sole shows.
Box3 sole_box(const Subject& subject);

/// The shell's foot side from above, coloured by one value a point, over what stands in the box.
void print_foot_side(Canvas& canvas, const Box& box, const Subject& subject, const Axes& axes,
                     const std::vector<double>& values, const MapScale& scale);

}  // namespace archwright::picture
