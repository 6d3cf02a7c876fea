// What is written on a sheet of a pattern: beside it in a column, and on the part that is cut out.
#pragma once

#include "engine/surface/loop.hpp"
#include "exporters/pattern_sheet.hpp"

namespace archwright::exporters {

// strokes that the legend shows as they are drawn
inline const PatternSheet::Stroke cut_like{"cut", PatternSheet::Layer::cut, {}, true, 0.35};
inline const PatternSheet::Stroke edge_like{"shell edge", PatternSheet::Layer::mark, {}, true, 0.25,
                                            {3.0, 1.6}};
inline const PatternSheet::Stroke axis_like{"axis", PatternSheet::Layer::mark, {}, false,
                                            0.18,   {7.0, 1.2, 1.0, 1.2}};

/// Breadth of one line of text, mm; 0 where there is no font.
double width_of(const std::string& text, double size_mm, picture::Weight weight);

/// The letter of the side in a box; returns the box's breadth.
double side_letter(PatternSheet& sheet, const Vec2& top_left, double size_mm, Side side);

/// Everything in the column from (x, y) down, no broader than `room`; returns the y under it.
double write_column(PatternSheet& sheet, const pattern::Pattern& pattern, double x, double y, double room);

/// What goes with the part once it is cut out, written and drawn inside its line: spots, words, the sides and
/// the axis. `cut` and `axis` in page coordinates, `edge` what is drawn of the shell's edge: words keep off
/// it.
void write_on_part(PatternSheet& sheet, const pattern::Pattern& pattern, const std::vector<Vec2>& cut,
                   const std::vector<Vec2>& edge, const std::vector<pattern::Spot>& spots,
                   const std::vector<Vec2>& axis);

}  // namespace archwright::exporters
