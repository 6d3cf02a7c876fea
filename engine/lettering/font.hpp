// Single-stroke capitals, digits and signs of our own drawing.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::lettering {

/// A line through points; one point alone is a dot.
using Stroke = std::vector<Vec2>;

/// The middle lines of one character, in units of a sixth of the capitals' height: y from 0 to 6, x from 0 to
/// `width`. Arcs are flattened.
struct Glyph {
    double width = 0.0;
    std::vector<Stroke> strokes;
};
inline constexpr double capital_units = 6.0;

/// Every character there is: A-Z, 0-9, "-", ".", "/" and space.
inline constexpr std::string_view characters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-./ ";

/// Nothing for a character that is not among them.
std::optional<Glyph> glyph(char character);

}  // namespace archwright::lettering
