// A shoe's bed as a table of points.
#pragma once

#include <filesystem>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"

namespace archwright::flex {

/// Lines of two numbers, mm, between them a comma, semicolon, tab or blanks: forward of the heel centre, and
/// height; empty lines and what follows a # do not count. Measured along the middle of a shoe's bed, heel
/// seat to toes. Fault (input, stage "flex") naming file and line; what is a bed is check_support's.
Outcome<std::vector<Vec2>> read_bed_shape(const std::filesystem::path& path);

}  // namespace archwright::flex
