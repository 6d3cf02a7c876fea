// A skin mark: what was drawn on the foot and printed itself off on the cast.
#pragma once

#include <string>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::mark {

/// What is drawn: one point, a line along its ink's centre, or an area within its outline.
enum class Kind { spot, line, area };

/// What a mark stands for; a person says so, the program only guesses.
enum class Meaning { plantar_fascia, lesion, pain, bone, heel_bisection, malleolus, trim, other };

/// Ink found on a cast, with a guess of what it means. Design frame, mm.
struct InkMark {
    Kind kind = Kind::spot;
    std::vector<Vec3> points;  ///< on the cast: a spot's centre; along the line; round the area, not closed
    Meaning guess = Meaning::other;
    double confidence = 0.0;  ///< 0..1, that it is ink drawn by a person
    double contrast = 0.0;    ///< with the plaster round it: colour difference over the plaster's lightness
                              ///< (CIELAB), at most 1
    double breadth_mm = 0.0;  ///< of the ink: across a line or a ring; diameter of a spot
    double length_mm = 0.0;   ///< of a line; round an area; 0 for a spot
    double area_mm2 = 0.0;    ///< within an area's outline; of a spot's ink
    bool ring = false;        ///< an area whose outline alone is drawn
    std::string name;         ///< usual for such a mark: "fascia", "lesion", "heel-spot"
    std::string sentence;     ///< what was found, where, and why the guess
};

}  // namespace archwright::mark
