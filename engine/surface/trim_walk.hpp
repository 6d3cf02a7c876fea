// Walking outward on a surface along a line drawn in plan.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "engine/base/vec.hpp"
#include "engine/surface/bspline.hpp"

namespace archwright::surface {

/// A line in plan as the zero of a function: value (mm, about the distance) and gradient at (x, y).
struct PlanLine {
    std::function<double(const Vec2&, Vec2& gradient)> value;

    static PlanLine straight(const Vec2& through, const Vec2& direction);
};

struct WalkPoint {
    Vec2 uv = Vec2::Zero();
    Vec3 p = Vec3::Zero();
    Vec3 n = Vec3::UnitZ();
    double reach = 0.0;  ///< plan distance from the start along the walk's direction
};

/// Moves uv along the surface onto the plan line (Newton). False when the surface runs along the line there.
bool settle(const SplineSurface& surface, const PlanLine& line, Vec2& uv);

/// Steps of `step_mm` along the curve in which the surface meets the vertical over the plan line, from
/// `start` in the plan direction `outward`, until `stop` says so, the domain ends, or `longest_mm` is walked.
/// The first point is the settled start.
struct Walk {
    std::vector<WalkPoint> points;
    bool domain_ended = false;

    /// Point at a fractional index, settled on the line.
    WalkPoint at(const SplineSurface& surface, const PlanLine& line, double index) const;
};
struct WalkRule {
    Vec2 origin = Vec2::Zero();  ///< reach counts from here
    Vec2 outward = Vec2::UnitX();
    double step_mm = 0.5;
    double longest_mm = 150.0;
    std::function<bool(const WalkPoint&)> stop;
};
Walk walk(const SplineSurface& surface, const PlanLine& line, const Vec2& start, const WalkRule& rule);

/// Where the sole is, in plan: starts for walks.
class PlanIndex {
  public:
    explicit PlanIndex(const SplineSurface& surface);
    /// (u,v) of the sole (normal up) nearest in plan; nothing when there is none within `within_mm`.
    std::optional<Vec2> nearest(const Vec2& plan, double within_mm) const;
    /// Lowest point of the sole within `radius_mm` of a place in plan.
    std::optional<Vec2> lowest(const Vec2& plan, double radius_mm) const;

  private:
    struct Entry {
        Vec2 uv;
        Vec3 p;
    };
    std::vector<Entry> sole_;
};

}  // namespace archwright::surface
