// A stroke of the brush as commands: curves with a value, never loose places.
#pragma once

#include "editor/view/handle.hpp"

namespace archwright::editor::view {

/// What the brush paints.
enum class Paint {
    wall,    ///< regions of the wall, mm
    smooth,  ///< zones to be smoothed, 0 to 1
};

/// One stroke, from press to release.
struct Stroke {
    Paint paint = Paint::wall;
    std::vector<Vec2> path;  ///< of its middle, plan, design frame
    double radius_mm = 10;
    double value = 3;      ///< what a new curve gets
    bool cuts = false;     ///< takes away
    std::string chosen{};  ///< the curve that is selected, or empty
};

/// Range of a brush's radius, mm.
inline constexpr double least_brush_mm = 2, most_brush_mm = 40;

/// Path of the parameter table of what is painted: "wall.regions[].wall_mm".
const char* parameter_of(Paint paint);
/// Word of its command "select".
const char* thing_of(Paint paint);
/// The value of a curve of this name; nothing where there is none.
std::optional<double> value_of(const design::FootDesign& foot, Paint paint, const std::string& name);

/// What a stroke does. One that adds joins the chosen curve and those with the brush's value, where it meets
/// them; one that cuts cuts the chosen one, or where none is chosen every one it covers
/// (pattern::paint, pattern::cut). `part` names the curve that is painted then, `words` what a person would
/// not expect. No commands where nothing changes. Faults: theirs.
Outcome<Moved> painted(const design::FootDesign& foot, const Stroke& stroke);

}  // namespace archwright::editor::view
