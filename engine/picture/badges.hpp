// Numbers beside what they are about, none on another.
#pragma once

#include <vector>

#include "engine/picture/canvas.hpp"

namespace archwright::picture {

/// Where badges of this size (half widths, logical pixels) stand: each as near as can be to its anchor, above
/// and to the right of it for choice, within the box, off the boxes of `keep_off` and off each other. One
/// that finds no room anywhere stands at its anchor.
std::vector<Vec2> place_badges(const std::vector<Vec2>& anchors, const std::vector<Vec2>& half,
                               const Box& within, const std::vector<Box>& keep_off);

}  // namespace archwright::picture
