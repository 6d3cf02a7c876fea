// Whether the apertures and posts of a shell can be made where they lie.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::surface {

/// Apertures and posts are simple curves inside the trim line, none within another, and apart from it and
/// from one another by tolerance::loop_apart_mm and the reach of the wider rim (beside another loop also that
/// of a flare), mm in (u,v); posts can stand (check_post). Faults (stage "trim", "features" or "posts", by
/// the curve) name both curves and the place. A shell without loops passes.
Outcome<Done> check_loops(const Shell& shell);

}  // namespace archwright::surface
