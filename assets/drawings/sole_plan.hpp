// The sole seen from above, with what of it the shell takes.
#pragma once

#include "assets/drawings/page.hpp"
#include "assets/drawings/specimen.hpp"

namespace archwright::drawings {

/// The cast in plan, over it the surface inside the trim line with level curves every 5 mm.
void sole_in_plan(Page& page, const picture::Box& box, const picture::Axes& axes, Side side,
                  const Made& made);

/// Points in space as they lie in plan.
std::vector<Vec2> in_plan(const picture::Axes& axes, const std::vector<Vec3>& points);

}  // namespace archwright::drawings
