// OBJ (Wavefront, Advanced Visualizer, appendix B1): points, polygons, and the colours scanners add to
// points.
#pragma once

#include "engine/scan/read_source.hpp"

namespace archwright::scan {

Outcome<Reading> read_obj(const Source& source);

}  // namespace archwright::scan
