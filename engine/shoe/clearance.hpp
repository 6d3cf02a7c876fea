// How far a point is past the edge of an insole.
#pragma once

#include <vector>

#include "engine/shoe/outline.hpp"

namespace archwright::shoe {

/// Nearest place of an edge, and how far past it a point lies.
struct Past {
    double mm = 0.0;  ///< outside positive, inside negative: the distance to the edge
    Vec2 nearest;     ///< on the edge
    Vec2 outward;     ///< unit vector across the edge there, away from the inside
};

/// An outline made ready for many questions. Corners that lie within a tenth of tolerance::outline_chord_mm
/// of the line between the others are left out: a drawing may have thousands of them.
class Edge {
  public:
    explicit Edge(const Outline& outline);

    /// Distance to that polygon, exact, with its sign.
    Past past(const Vec2& p) const;

  private:
    struct Segment {
        Vec2 from, to;
    };
    std::size_t column(double x) const;

    std::vector<Segment> segments_;
    std::vector<std::vector<std::uint32_t>> columns_;  ///< segments over each stretch of x
    double low_ = 0.0, width_ = 1.0;
};

}  // namespace archwright::shoe
