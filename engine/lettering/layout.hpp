// Lines of text set in strokes: where every letter's middle lines lie, in mm.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/lettering/font.hpp"

namespace archwright::lettering {

/// Size of the letters, mm.
struct Style {
    double height_mm = 5.0;  ///< over all, strokes with their breadth
    double stroke_mm = 0.9;  ///< breadth of a stroke where it meets the surface; its ends are round
    double depth_mm = 0.4;   ///< square to the surface
};

/// Of the flanks against the surface (our choice: steep enough to throw a shadow, shallow enough to print
/// without support and to clean).
inline constexpr double flank_deg = 60.0;
/// What a flank takes of the breadth, on each side, mm.
double flank_run_mm(const Style& style);

inline constexpr std::size_t longest_text = 24;
/// Why a text cannot be set, as a sentence to follow the text itself; empty when it can. Characters of the
/// font, longest_text of them at most.
std::string text_trouble(std::string_view text);
/// Why a style cannot be made, to follow the key of what holds it (".stroke_mm ..."); empty when it can.
std::string style_trouble(const Style& style);

struct Letter {
    char character = ' ';
    std::vector<Stroke> strokes;
};

/// Letters about the middle (0, 0) of the whole: x along the lines, y up.
struct Layout {
    std::vector<Letter> letters;    ///< without spaces
    Vec2 half_size = Vec2::Zero();  ///< of the box round all strokes with their breadth
    double stroke_length() const;   ///< of all middle lines, as drawn; mm
};

/// Sets lines one below the other, each in the middle. Characters the font lacks are left out.
Layout set_lines(const std::vector<std::string>& lines, const Style& style);

}  // namespace archwright::lettering
