// Triangles from the foot's field.
#pragma once

#include "assets/generator/foot_field.hpp"

namespace archwright::generator {

/// A dual net (one vertex for each piece of surface in a lattice cell, one quadrilateral for each crossed
/// lattice edge), its vertices then moved onto the surface. Ambiguous cells carry a vertex for each sheet, so
/// that sheets never share one. Cut by the plane at the ankle height, whose rim lies exactly on it. Only
/// blocks of the lattice near the surface are visited; any number of threads gives the same mesh.
Outcome<TriangleMesh> surface_net(const FootField& field, double edge_mm, Progress* progress);

}  // namespace archwright::generator
