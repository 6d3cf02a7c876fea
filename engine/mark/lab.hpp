// Colours as people see them: differences of equal size look equally large.
#pragma once

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::mark {

/// CIELAB of an sRGB colour under its own white, D65 (CIE 15:2004, IEC 61966-2-1): L* 0 to 100, a*, b*.
Vec3 lab(const TriangleMesh::Colour& colour);

/// Share of light that comes back, 0 to 1, of a lightness L* (CIE 15:2004).
double luminance(double lightness);

}  // namespace archwright::mark
