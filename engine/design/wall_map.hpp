// The wall asked for at every place of the plan.
#pragma once

#include <limits>
#include <optional>
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

/// The device in plan, design frame, mm: where the wall's stations 0 and 1 lie (x of its rear and distal
/// edge), and its borders, y at the middles of equal pieces between them. Without borders no column is made.
struct DevicePlan {
    double rear_x_mm = 0;
    double distal_x_mm = 1;
    std::vector<double> medial_y_mm{}, lateral_y_mm{};

    double along(double x) const { return (x - rear_x_mm) / (distal_x_mm - rear_x_mm); }
    /// Borders as smooth curves over x.
    surface::MonotoneCurve border(const std::vector<double>& y_mm) const;
};

/// Within which a relative rigidity is held: the material's least and greatest wall.
struct WallLimits {
    double low_mm = 0;
    double high_mm = std::numeric_limits<double>::max();

    static WallLimits of(const Material& material) {
        return {material.wall_min_mm.value, material.wall_max_mm.value};
    }
};

/// Wall of a bending rigidity relative to another wall's, same material: t = t0 cbrt(D / D0), mm, since
/// D = E t^3 / (12 (1 - nu^2)) (S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells).
double wall_of_rigidity(double base_mm, double rigidity);
/// And back: D / D0 = (t / t0)^3.
double rigidity_of_wall(double base_mm, double wall_mm);

/// T(x, y) of docs/decisions.md (Wall), mm, over the plan of the design frame.
///
/// Along the foot: the base, or a monotone cubic through the stations (Fritsch and Butland 1984, SIAM J Sci
/// Stat Comput 5:300, slopes zero at both ends and constant beyond them). Over it the zones, lowest priority
/// first, of equal ones the columns (medial, lateral) before the regions in their order. A zone of weight w
/// (wall_zone.hpp) makes T <- T + w (wall - T); a scale makes T <- T (1 + w (scale - 1)), so 1 is nothing; a
/// relative rigidity is the wall base cbrt(r), held within `limits`. Scales together are held within
/// `least_wall_mm` and `greatest_wall_mm`. C1 inside those bounds, wherever a region's blend is narrower than
/// twice its curve's least distance to its medial axis. Immutable; `at` may be called from any thread.
class WallMap {
  public:
    static constexpr double least_wall_mm = 0.1, greatest_wall_mm = 40;

    WallMap(const Wall& wall, const DevicePlan& plan, const WallLimits& limits = {});
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

    /// Rigidities are relative to that of this wall, stations or not.
    double base_mm() const { return base_mm_; }
    /// D(x, y) / D(base).
    double rigidity(double x, double y) const { return rigidity_of_wall(base_mm_, at(x, y)); }

    /// No wall lies below `min` or above `max` (without scales the map is a weighted mean of the values used;
    /// with them these are bounds that no place need reach).
    double min() const { return min_; }
    double max() const { return max_; }

    /// Least and greatest wall asked: `min` and `max`, or where anything scales what is reached between the
    /// borders.
    std::pair<double, double> asked_range() const;

    struct Slope {
        double mm_per_mm = 0;
        Vec2 where = Vec2::Zero();
    };
    /// Steepest change of wall over the plan of the device: sampled every mm, and along every zone's edge.
    Slope steepest(const Vec2& low, const Vec2& high) const;

    struct Reached {
        double least_mm = 0, greatest_mm = 0;
        Vec2 least_at = Vec2::Zero(), greatest_at = Vec2::Zero();
    };
    /// Least and greatest wall between the borders, sampled every mm. Nothing when the plan has no borders.
    std::optional<Reached> reached() const;

  private:
    struct Zone;
    double base_mm_;
    DevicePlan plan_;
    surface::MonotoneCurve stations_, medial_, lateral_;
    std::vector<Zone> zones_;  ///< lowest priority first
    double min_ = 0, max_ = 0;
};

/// Every wall that is asked for, with its key: the stations, or the base when there are none, and the zones
/// of a wall or of a rigidity (held within `limits`). Scales have none of their own: `scaled_walls`.
std::vector<std::pair<std::string, double>> asked_walls(const Wall& wall, const WallLimits& limits = {});
/// Of each zone that scales, its scale times the thinnest base or station: what it comes to where no other
/// zone lies below it.
std::vector<std::pair<std::string, double>> scaled_walls(const Wall& wall);

/// The wall against the material and against itself, before any geometry: "wall.material" (below the
/// material's least wall is a stop that cannot be signed; above its greatest is a look; every such wall is
/// named), "wall.regions" (curves must be simple; a blend as wide as its region cannot reach its value), and
/// where the order has any "wall.columns" (a strip must have length and be broader than its blend) and
/// "wall.rigidity" (targets the material's walls cannot reach, with what they get instead). Each names the
/// item.
std::vector<Check> check_wall(const Wall& wall, const Material& material);

/// The steepest change of wall within a box of the plan: a look above tolerance::wall_slope_look.
Check check_wall_slope(const WallMap& map, const Vec2& low, const Vec2& high);

/// What scales made of the wall, "wall.scaled": as "wall.material", measured on the device's plan. Nothing
/// when nothing scales.
std::optional<Check> check_scaled_wall(const Wall& wall, const WallMap& map, const Material& material);

}  // namespace archwright::design
