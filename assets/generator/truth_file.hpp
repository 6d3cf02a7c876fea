// The truth of a generated cast as JSON, beside the cast.
#pragma once

#include <string>

#include "assets/generator/cast.hpp"

namespace archwright::generator {

/// JSON text: side, unit, figures (mm, degrees; the unit is in the key), landmarks in the file's own units
/// and axes, and the 4x4 matrix from the design frame (mm) to the file.
std::string truth_json(const FootTruth& truth, LengthUnit unit, const Eigen::Matrix4d& design_to_file);

}  // namespace archwright::generator
