// How handles write numbers and places into commands.
#pragma once

#include <string>
#include <vector>

#include "editor/view/handle.hpp"

namespace archwright::editor::view {

/// Without the last bits that sums leave behind: to 1e-6.
double neat(double value);
/// The place of the plan a drag means: to 0.1 mm, or exactly.
Vec2 place_of(const Drag& drag);
/// What it moves, rounded in the same way.
Vec2 shift_of(const Drag& drag);
/// A size after a drag: to 0.1 mm, or whole ones; within the range of the parameter (name of the table).
double size_of(double value, const Drag& drag, const char* parameter);
/// An angle after a drag, -180 to 180: to half degrees, or to 5.
double angle_of(double degrees, const Drag& drag);
/// Within the range of the parameter.
double in_range(double value, const char* parameter);
/// "set PATH VALUE".
std::string set_line(const std::string& path, const std::string& value);
std::string set_line(const std::string& path, double value);
/// "[[1, 2], [3, 4]]".
std::string points_json(const std::vector<Vec2>& points);
std::string points_json(const std::vector<Vec3>& points);
/// "x 112.0, y -15.0".
std::string place_words(const Vec2& place);
/// "18.4 mm, was 18.0".
std::string size_words(double now, double was, const char* unit = " mm");

}  // namespace archwright::editor::view
