// Places on the curves that handles stand on.
#pragma once

#include "editor/view/handle.hpp"

namespace archwright::editor::view {

/// The place of a curve nearest to a place of the plan.
struct CurvePlace {
    Vec2 at = Vec2::Zero();
    double distance = 1e300;
    double along = 0;  ///< 0 to the number of its pieces
};
CurvePlace nearest_on(const HandleCurve& curve, const Vec2& plan);

/// Whether it holds the place: inside of a closed one, within its breadth of a line.
bool holds(const HandleCurve& curve, const Vec2& plan);

/// mm2, of a closed one; of a line its length by its breadth.
double area_of(const HandleCurve& curve);

}  // namespace archwright::editor::view
