// Dimensions as a workshop drawing has them: extension lines, arrows, angle arcs, leaders, each with its
// words.
#pragma once

#include <string_view>

#include "engine/picture/canvas.hpp"

namespace archwright::picture {

/// How a dimension looks; all sizes in logical pixels.
struct DimensionStyle {
    Colour line;          ///< arrows and thin lines
    Colour plate;         ///< behind the words, so that what is drawn there does not run through them
    Type words;           ///< its align is not read
    double width = 1.1;   ///< of the lines
    double arrow = 8.0;   ///< length of an arrow head
    double beyond = 4.0;  ///< an extension line begins this far from its feature, and ends so far past the
                          ///< dimension line
};

/// An arrow head with its tip at `tip`, pointing along `way` (unit).
void draw_arrow_head(Canvas& canvas, const Vec2& tip, const Vec2& way, const DimensionStyle& style);

/// A linear dimension: a line from p to q with arrows, extension lines to the features a and b they stand
/// for (a = p, b = q: none), and words (or none) on a plate at the middle. Where the line is too short for
/// both, the arrows stand outside and the words beyond q. Returns the box of the words.
Box draw_dimension(Canvas& canvas, const Vec2& a, const Vec2& b, const Vec2& p, const Vec2& q,
                   std::string_view words, const DimensionStyle& style);

/// An angle: an arc of `radius` round `centre` from the direction `from` to the direction `to` (page
/// coordinates, any length), the shorter way round, with an arrow at each end; outside the arc where it is
/// too short for both. No words: they go where there is room (draw_leader, Labels).
/// Returns the middle of the arc.
Vec2 draw_angle(Canvas& canvas, const Vec2& centre, double radius, const Vec2& from, const Vec2& to,
                const DimensionStyle& style);

/// A turn: an arc with one arrow, at its end; directions as for draw_angle.
void draw_turn(Canvas& canvas, const Vec2& centre, double radius, const Vec2& from, const Vec2& to,
               const DimensionStyle& style);

/// A leader: a dot at `at`, a line to `to`, words on a plate that begin (or, with Align::right, end; with
/// Align::centre, stand) there. Returns the box of the words.
Box draw_leader(Canvas& canvas, const Vec2& at, const Vec2& to, std::string_view words, Align align,
                const DimensionStyle& style);

/// Words on a plate whose middle line is at `at.y()`, aligned at `at.x()`. Returns the plate.
Box draw_words(Canvas& canvas, const Vec2& at, std::string_view words, Align align,
               const DimensionStyle& style);

}  // namespace archwright::picture
