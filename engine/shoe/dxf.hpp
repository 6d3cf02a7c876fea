// The outline in a DXF drawing.
#pragma once

#include <string>
#include <string_view>

#include "engine/shoe/read.hpp"

namespace archwright::shoe {

/// LINE, ARC, LWPOLYLINE and POLYLINE with their bulges, SPLINE by its control points, of the model space,
/// seen from above. Its unit is $INSUNITS. Faults as read_drawing; the hash is left empty.
Outcome<Drawing> read_dxf(std::string_view text, const std::string& name);

}  // namespace archwright::shoe
