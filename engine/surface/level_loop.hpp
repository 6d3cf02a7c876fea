// The closed curve in (u,v) round the places where a field is positive.
#pragma once

#include <functional>
#include <optional>

#include "engine/surface/loop.hpp"

namespace archwright::surface {

struct LevelLoop {
    PeriodicCurve curve;
    double others_mm2 = 0.0;  ///< enclosed by the other pieces that there are
};

/// Found by marching squares on a lattice of `step_mm` over low..high (taken as negative on its border), its
/// points then set on the zero of the field itself; smooth between them, counter-clockwise. Of several pieces
/// the largest. Nothing when it encloses less than `least_mm2`.
std::optional<LevelLoop> level_loop(const std::function<double(const Vec2& uv)>& field, const Vec2& low,
                                    const Vec2& high, double step_mm, double least_mm2);

}  // namespace archwright::surface
