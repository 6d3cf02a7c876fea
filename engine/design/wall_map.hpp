// The wall asked for at every place of the plan.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/vec.hpp"
#include "engine/design/job.hpp"
#include "engine/design/material.hpp"
#include "engine/surface/loop.hpp"
#include "engine/surface/monotone.hpp"

namespace archwright::design {

/// Where the wall's stations 0 and 1 lie: x of the device's rear and distal edge, design frame, mm.
struct DeviceLength {
    double rear_x_mm = 0;
    double distal_x_mm = 1;
};

/// T(x, y) of docs/decisions.md (Wall), mm, over the plan of the design frame.
///
/// Along the foot: the base, or a monotone cubic through the stations (Fritsch and Butland 1984, SIAM J Sci
/// Stat Comput 5:300, slopes zero at both ends and constant beyond them). Over it the regions, lowest
/// priority first: T <- T + w (wall - T) with w = s(1/2 + d / blend), s(t) = 3t^2 - 2t^3 on [0,1], d the
/// signed distance to the region's curve, positive inside. C1 wherever the blend is narrower than twice the
/// curve's least distance to its medial axis. Immutable; `at` may be called from any thread.
class WallMap {
  public:
    WallMap(const Wall& wall, const DeviceLength& length);
    ~WallMap();
    WallMap(const WallMap&);
    WallMap& operator=(const WallMap&);
    WallMap(WallMap&&) noexcept;
    WallMap& operator=(WallMap&&) noexcept;

    double at(double x, double y) const;

    struct Sample {
        double wall_mm = 0;
        Vec2 gradient = Vec2::Zero();  ///< mm per mm
    };
    Sample sample(double x, double y) const;

    /// No wall lies below `min` or above `max` (the map is a weighted mean of the values used).
    double min() const { return min_; }
    double max() const { return max_; }

    struct Slope {
        double mm_per_mm = 0;
        Vec2 where = Vec2::Zero();
    };
    /// Steepest change of wall over the plan of the device: sampled every mm, and along every region's curve.
    Slope steepest(const Vec2& low, const Vec2& high) const;

  private:
    struct Region;
    double base_mm_;
    DeviceLength length_;
    surface::MonotoneCurve stations_;
    std::vector<Region> regions_;  ///< lowest priority first
    double min_ = 0, max_ = 0;
};

/// Every wall that is asked for, with its key: the stations, or the base when there are none, and the
/// regions.
std::vector<std::pair<std::string, double>> asked_walls(const Wall& wall);

/// The wall against the material and against itself, before any geometry: "wall.material" (below the
/// material's least wall is a stop that cannot be signed; above its greatest is a look; every such wall is
/// named), "wall.regions" (curves must be simple; a blend as wide as its region cannot reach its value). Each
/// names the item.
std::vector<Check> check_wall(const Wall& wall, const Material& material);

/// The steepest change of wall within a box of the plan: a look above tolerance::wall_slope_look.
Check check_wall_slope(const WallMap& map, const Vec2& low, const Vec2& high);

}  // namespace archwright::design
