// Flat regions bounded by polygons: joined, cut, grown. Exact arithmetic on a grid of
// tolerance::pattern_grid_mm (B. Vatti 1992, by the Clipper library of A. Johnson).
#pragma once

#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::pattern {

/// A closed polygon, mm; the last point joins the first.
using Ring = std::vector<Vec2>;

/// mm2, positive when counter-clockwise.
double signed_area(const Ring& ring);
/// mm, all round.
double perimeter(const Ring& ring);

/// Outer borders counter-clockwise, holes clockwise; none of them cross.
class Region {
  public:
    Region() = default;
    /// What the polygon winds round, whichever way; crossings of itself are resolved.
    explicit Region(const Ring& ring);
    /// Every place within `radius` of an open line, mm; of one place a disc.
    static Region along(const std::vector<Vec2>& line, double radius);

    const std::vector<Ring>& rings() const { return rings_; }
    bool empty() const { return rings_.empty(); }

    Region joined(const Region& other) const;
    Region common(const Region& other) const;
    Region without(const Region& other) const;
    /// Every border moved outward by `mm` (inward when negative), corners rounded outward.
    Region grown(double mm) const;
    /// Notches narrower than twice `radius` filled, and corners inward rounded with it.
    Region closed(double radius) const;
    /// Spikes narrower than twice `radius` taken off, and corners outward rounded with it.
    Region opened(double radius) const;
    /// The outer border of the largest piece, counter-clockwise, without points that lie within three times
    /// tolerance::pattern_file_mm of a neighbour or of the line between neighbours; empty when there is none.
    Ring largest() const;

  private:
    std::vector<Ring> rings_;
};

}  // namespace archwright::pattern
