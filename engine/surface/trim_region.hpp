// The inside of the trim line (less any holes), fast for many questions.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "engine/surface/loop.hpp"

namespace archwright::surface {

/// Polygons of closed curves sorted into bands and cells: `inside` and `distance` cost the few edges near by,
/// not all of them. A point is inside when an odd number of the curves surround it.
class TrimRegion {
  public:
    explicit TrimRegion(const Outline& outline);
    explicit TrimRegion(std::vector<std::vector<Vec2>> polygons);

    bool inside(const Vec2& p) const;
    /// Distance to the nearest edge, mm in (u,v), or `limit` when none is nearer.
    double distance(const Vec2& p, double limit) const;
    const Vec2& low() const { return low_; }
    const Vec2& high() const { return high_; }

  private:
    struct Edge {
        Vec2 a, b;
    };
    void build();
    std::size_t column(double x) const;
    std::size_t row(double y) const;
    std::span<const std::uint32_t> of(const std::vector<std::uint32_t>& start,
                                      const std::vector<std::uint32_t>& items, std::size_t cell) const;

    std::vector<Edge> edges_;
    Vec2 low_ = Vec2::Zero(), high_ = Vec2::Zero();
    double cell_ = 1.0;
    std::size_t columns_ = 1, rows_ = 1;
    std::vector<std::uint32_t> band_start_, band_edges_;  // edges that cross a band of y
    std::vector<std::uint32_t> cell_start_, cell_edges_;  // edges whose box touches a cell
};

}  // namespace archwright::surface
