// Painted with a round brush: what a stroke covers, and closed curves of few points round it.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/pattern/region.hpp"

namespace archwright::pattern {

/// A painted curve lies this near the border of what was painted, mm, both ways, and of a fine brush nearer:
/// this share of its radius, as near as the grid lets it.
inline constexpr double brush_fit_mm = 0.5, brush_fit_share = 0.06, brush_fit_least_mm = 0.12;
/// And holds as much, to this share.
inline constexpr double brush_area_share = 0.01;
/// Of a brush with this radius.
double brush_fit(double radius);
/// Coordinates of its points are multiples of this, mm, as those of points that are dragged.
inline constexpr double brush_grid_mm = 0.1;
/// Inward corners of what was painted are rounded with this share of the brush's radius, at most so much, mm;
/// what is narrower than twice that is filled, and bridges narrower than twice the bound are cut.
inline constexpr double brush_round_share = 0.2, brush_round_mm = 1.0;
/// Pieces smaller than this are crumbs, mm2: nothing of them is left.
inline constexpr double brush_crumb_mm2 = 10.0;

/// What a brush covers on its way along a line of the plan: every place within `radius` of it, mm. One place
/// is a dab, a disc.
Region swept(const std::vector<Vec2>& path, double radius);

/// What the closed curve through these points holds, as the job draws it (surface::PeriodicCurve::through).
Region held_by(const std::vector<Vec2>& outline);

/// Few points, multiples of brush_grid_mm, counter-clockwise, whose periodic cubic curve
/// (surface::PeriodicCurve::through) is simple and lies within `within_mm` of the ring, and the ring within
/// it of the curve; both hold as much, to brush_area_share. Of `keep` those that lie on the ring are among
/// them, so that what was not painted over keeps its points. Fault (usage, stage "paint"): more points than
/// `most` would be needed, or no simple curve was found.
Outcome<std::vector<Vec2>> fitted(const Ring& ring, double within_mm, const std::vector<Vec2>& keep,
                                  std::size_t most);

/// A drawn curve a stroke may meet.
struct PaintedCurve {
    std::string name;
    std::vector<Vec2> outline;
    bool joins = true;  ///< a stroke that adds joins it; else it stays as it is
    bool cut = true;    ///< a stroke that cuts cuts it
};

/// What a stroke leaves.
struct Painted {
    struct Change {
        std::string name;                           ///< of the curve that was there; empty: a new one
        std::vector<std::vector<Vec2>> outlines{};  ///< the largest first; none: it is gone
    };
    std::vector<Change> changes;  ///< of curves that are as they were none
    std::string told;             ///< what a person would not expect, in words; else empty
};

/// A stroke that adds: what it covers, with every curve it may join and meets, is one curve, which keeps the
/// name of the first of them; the others are gone. A hole that would be left is closed, and `told` says so. A
/// stroke within what is there changes nothing. Faults (usage, stage "paint"): those of `fitted`; a radius
/// that is not positive, or no place.
Outcome<Painted> paint(const std::vector<PaintedCurve>& curves, const std::vector<Vec2>& path, double radius,
                       std::size_t most_points);

/// A stroke that cuts: what it covers is taken out of every curve that it may cut; one that falls apart is as
/// many curves. Fault (usage, stage "paint") where it would leave a hole, which a curve cannot have, or
/// covers nothing of any.
Outcome<Painted> cut(const std::vector<PaintedCurve>& curves, const std::vector<Vec2>& path, double radius,
                     std::size_t most_points);

}  // namespace archwright::pattern
