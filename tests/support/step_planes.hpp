// The planes a STEP file holds, read from its text without a geometry library.
#pragma once

#include <string>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::tests {

/// Unit normals (the axes of their placements) of the planes in a STEP file's text, in the file's order.
std::vector<Vec3> plane_normals(const std::string& text);

}  // namespace archwright::tests
