// Following the rule of the trim line outward on a surface, one station at a time.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/surface/trim_line.hpp"
#include "engine/surface/trim_walk.hpp"

namespace archwright::surface {

/// No trim line nearer to the middle than this, mm.
inline constexpr double least_trim_reach_mm = 8.0;

/// A check of the stage "trim" with its place.
Fault trim_fault(std::string message, const Vec3& where);

/// Refers to surface and rule, which must outlive it.
class TrimFollower {
  public:
    TrimFollower(const SplineSurface& surface, const TrimRule& rule);

    /// First of all: the height cup depths are measured from.
    std::optional<Fault> find_datum();
    double datum() const { return datum_; }

    /// A section across the axis at x, walked to both sides.
    std::optional<Fault> section(double x, bool medial, TrimStation& station);
    /// A ray of the fan round the heel; the angle is counted from straight back, positive to medial.
    std::optional<Fault> ray(double angle, TrimStation& station);
    /// The distal edge in (u,v) from beyond the lateral border to beyond the medial one.
    Outcome<std::vector<Vec2>> distal() const;
    /// Lowest point of the section at x, between the sections walked.
    double section_low(double x);

  private:
    double extra(const TrimStation& station) const;
    double lowest_near(Vec2 uv) const;
    void stop_at(const Walk& path, const PlanLine& line, double datum, double height, double wide_enough,
                 double share, TrimStation& station) const;

    const SplineSurface& surface_;
    const TrimRule& rule_;
    PlanIndex index_;
    TrimShift shift_;
    Vec2 heel_;
    double datum_ = 0.0;
    std::vector<std::pair<double, double>> lows_;  ///< x, z
    bool sorted_ = false;
};

}  // namespace archwright::surface
