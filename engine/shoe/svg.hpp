// The outline in an SVG drawing.
#pragma once

#include <string>
#include <string_view>

#include "engine/shoe/read.hpp"

namespace archwright::shoe {

/// Paths, polygons, polylines, lines, rectangles, circles and ellipses with their transforms, inside groups;
/// what is not displayed or stands in definitions is left out. Its size is that of the page: width and height
/// in mm, cm, in, pt or pc over the viewBox. Faults as read_drawing; the hash is left empty.
Outcome<Drawing> read_svg(std::string_view text, const std::string& name);

}  // namespace archwright::shoe
