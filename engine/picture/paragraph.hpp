// Words on as many lines as they take.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/picture/canvas.hpp"

namespace archwright::picture {

/// Plain text of a report as a page shows it: "+-", "mm^2", "mm2" and "mm3" with their own signs.
std::string typeset(std::string text);

/// The text in lines no wider than `width` (logical pixels), broken between words; a word that is wider by
/// itself is broken where it must be. Nothing is left out.
std::vector<std::string> lines_of(const Canvas& canvas, std::string_view text, double width,
                                  const Type& type);

/// Distance of the lines of a paragraph.
inline double leading(const Type& type) {
    return 1.25 * type.size;
}

}  // namespace archwright::picture
