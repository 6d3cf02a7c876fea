// The device's trim line in plan, and its medial and lateral border there.
#pragma once

#include <vector>

#include "engine/base/vec.hpp"
#include "engine/design/job.hpp"
#include "engine/design/wall_map.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::build {

/// The trim line seen from above, closed, design frame, mm: eight points a span.
std::vector<Vec2> trim_in_plan(const surface::SplineSurface& carpet, const surface::PeriodicCurve& trim);

/// The outermost places of such a line on both sides at one x.
struct PlanBorder {
    double medial_y_mm = 0.0, lateral_y_mm = 0.0;
};
/// `x` must lie between the line's ends.
PlanBorder border_at(const std::vector<Vec2>& line, double x);

/// The device in plan: the box of its trim line; its ends along the axis are where the wall's stations 0 and
/// 1 lie, its borders what the columns run along.
struct PlanBox {
    Vec2 low = Vec2::Constant(1e300), high = Vec2::Constant(-1e300);
    design::DevicePlan device;
};
PlanBox plan_box(const surface::SplineSurface& carpet, const surface::PeriodicCurve& trim);

/// The strip of a column of the wall, closed: along the border from heel to toes, back along its inner edge.
/// Empty when it has no length.
std::vector<Vec2> column_in_plan(const std::vector<Vec2>& line, const design::WallColumn& column,
                                 bool medial);

}  // namespace archwright::build
