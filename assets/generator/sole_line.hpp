// A line drawn on the sole.
#pragma once

#include <vector>

#include "assets/generator/foot.hpp"

namespace archwright::generator {

/// A polyline laid on the sole from corners in plan, one point at each mm.
class SoleLine {
  public:
    /// Empty when a corner is off the sole.
    static std::optional<SoleLine> lay(const Foot& foot, const std::vector<Vec2>& corners, bool closed);

    struct Nearest {
        double distance_mm = 0.0;
        double along_mm = 0.0;
    };
    /// Nearest place on the line; `reach` far away or more is answered with 1e9.
    Nearest nearest(const Vec3& p, double reach) const;
    double length() const { return along_.back(); }

  private:
    std::vector<Vec3> points_;
    std::vector<double> along_;
    Box3 box_;
};

}  // namespace archwright::generator
