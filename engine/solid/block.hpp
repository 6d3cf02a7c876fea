// A block under a trimmed surface as an exact solid, whatever the surface's slope at its border.
#pragma once

#include "engine/solid/solid.hpp"

namespace archwright::solid {

/// As build_post, without asking how steep the surface is along the curve: a mould's walls begin where a heel
/// cup stands nearly upright. What comes out is to be judged by `examine`. Faults as build_solid.
Outcome<Solid> build_block(const surface::SplineSurface& top, const surface::Post& post);

}  // namespace archwright::solid
