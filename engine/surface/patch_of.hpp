// A spline patch over part of the plane of (u,v), through what a function says.
#pragma once

#include <functional>

#include "engine/surface/bspline.hpp"

namespace archwright::surface {

/// The surface over the rectangle low..high that fits `at` (called with places of the whole (u,v), from
/// several threads at once) by least squares on knot spans of at most `span_mm`. Its own (u,v) begins at
/// `low`. Error of fourth order in the span for a smooth function.
SplineSurface patch_of(const std::function<Vec3(const Vec2& uv)>& at, const Vec2& low, const Vec2& high,
                       double span_mm);

/// A surface over those of its knot spans alone that hold the rectangle low..high, with where they begin in
/// its (u,v). The same surface to rounding: least squares meet a spline on its own knots.
struct CutOut {
    SplineSurface surface;
    Vec2 origin = Vec2::Zero();
};
CutOut cut_out(const SplineSurface& whole, const Vec2& low, const Vec2& high);

}  // namespace archwright::surface
