// Where a zone of the wall map reaches, and how far: 1 inside, 0 outside, smooth between.
#pragma once

#include <vector>

#include "engine/base/vec.hpp"
#include "engine/design/job.hpp"
#include "engine/surface/loop.hpp"
#include "engine/surface/monotone.hpp"

namespace archwright::design {

/// s(t) = 3t^2 - 2t^3 on [0,1], 0 before and 1 beyond; and its slope.
inline double wall_step(double t) {
    return t <= 0 ? 0 : t >= 1 ? 1 : t * t * (3 - 2 * t);
}
inline double wall_step_slope(double t) {
    return t <= 0 || t >= 1 ? 0 : 6 * t * (1 - t);
}

/// The weight of a zone at a place of the plan, and its gradient (1/mm).
struct ZoneWeight {
    double value = 0;
    Vec2 gradient = Vec2::Zero();
};

/// A closed curve: s(1/2 + d / blend), d the signed distance to it, positive inside. Smooth wherever the
/// blend is narrower than twice the curve's least distance to its medial axis.
class RegionReach {
  public:
    explicit RegionReach(const WallRegion& region);
    ZoneWeight at(const Vec2& p) const;
    /// Of the curve, close enough to look along it.
    const std::vector<Vec2>& points() const { return points_; }

  private:
    struct Distance {
        double inside = 0;  ///< positive inside
        Vec2 gradient = Vec2::Zero();
    };
    double parameter(std::size_t sample) const;
    Distance distance(const Vec2& p) const;
    double foot_point(const Vec2& p, std::size_t sample) const;

    surface::PeriodicCurve curve_;
    std::vector<Vec2> points_;   ///< several a span
    std::vector<Vec2> middles_;  ///< of the spans, with `radii_`: to pass over far ones
    std::vector<double> radii_;
    Vec2 low_, high_;
    double orientation_ = 1;  ///< 1 counter-clockwise
    double blend_mm_ = 1;
};

/// A strip along one border y = b(x): the product of three such steps, of the width straight across from the
/// border, and of the way from both ends along the device. An end at the device's own (0, 1) has no step.
class ColumnReach {
  public:
    /// `border`: y of the border over x, mm; `sign` 1 of the medial (the strip lies on its smaller y), -1 of
    /// the lateral. `from_x` or `to_x` beyond every device: no step there.
    ColumnReach(const WallColumn& column, surface::MonotoneCurve border, double sign, double from_x,
                double to_x);
    ZoneWeight at(const Vec2& p) const;
    /// Places along the edge of the strip, about `step` mm apart, between two x.
    std::vector<Vec2> edge(double low_x, double high_x, double step) const;

  private:
    surface::MonotoneCurve border_;
    double sign_, from_x_, to_x_, width_mm_, blend_mm_;
};

}  // namespace archwright::design
