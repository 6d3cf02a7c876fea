// The outline of an insole: one simple closed polygon.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"

namespace archwright::shoe {

/// Most points an outline may have, sampled curves included: some 0.05 mm apart round a large insole.
inline constexpr std::size_t most_outline_points = 20'000;
/// Extent along the longer side that is believed of an insole, mm (our choice, wide of any shoe).
inline constexpr double shortest_insole_mm = 80.0;
inline constexpr double longest_insole_mm = 400.0;

/// A simple closed polygon, mm, counter-clockwise; the last point is joined to the first.
class Outline {
  public:
    /// From points in either sense; consecutive points within a nanometre count once. Faults (input) begin
    /// with `name`: fewer than three points or no area, too many, a coordinate that is no number or larger
    /// than 1e6 mm, a crossing or touch of itself with its place.
    static Outcome<Outline> of(std::vector<Vec2> points, const std::string& name);

    const std::vector<Vec2>& points() const { return points_; }
    /// mm2.
    double area() const;
    /// Centre of area.
    Vec2 centre() const;
    /// Second moments of area about the centre: [xx, xy, yy], mm4.
    Vec3 moments() const;
    /// Where a ray along +-y at `x` leaves the polygon: least and greatest y, or nothing beside it.
    struct Section {
        double low = 0.0, high = 0.0;
        bool empty = true;
        double breadth() const { return empty ? 0.0 : high - low; }
        double middle() const { return 0.5 * (low + high); }
    };
    Section section(double x) const;

    /// q = `turn` * p + `shift`; a turn that mirrors keeps the sense counter-clockwise.
    Outline moved(const Eigen::Matrix2d& turn, const Vec2& shift) const;

  private:
    std::vector<Vec2> points_;
};

}  // namespace archwright::shoe
