// The passes a side is planned of.
#pragma once

#include "engine/mill/emit.hpp"

namespace archwright::mill {

/// Loops of one roughing level, innermost first; each closed (its first point again at its end), none lower
/// than `level` or than the mesh lets the cutter (its `drop` plus `offset`).
std::vector<std::vector<Vec3>> level_loops(const Area& where, double level, double step, const DropGrid& drop,
                                           double offset, Direction direction);

/// Parallel lines along x, `step` apart, over `where`, and one more midway wherever the two beside it lie
/// further apart than that along the surface; in each only what touches the mesh above `floor`.
struct LineSetting {
    double step = 0.5;
    double floor = -30.0;
    double chord = 0.004;
    double steep_deg = 45.0;
    bool one_way = false;
    Direction direction = Direction::climb;
};
std::vector<std::vector<Vec3>> parallel_lines(const Area& where, const DropGrid& drop,
                                              const LineSetting& setting);

/// Curves of equal height `step` apart down from the highest, where the tip's surface is steeper than
/// `steep_deg`; pieces of them elsewhere are left out.
std::vector<std::vector<Vec3>> waterlines(const HeightGrid& tips, const DropGrid& drop, double step,
                                          double floor, double steep_deg, double chord, Direction direction);

/// Once round every outline, outside and in apertures, at the height where the cutter leaves the mesh less
/// `below`.
std::vector<std::vector<Vec3>> contours(const HeightGrid& tips, const DropGrid& drop, double floor,
                                        double below, double chord, Direction direction);

/// Along the creases of the tip's surface that parallel lines run beside: places where the cutter touches on
/// both sides of a hollow. Found where lines along y, `step` apart, bend up sharply; joined from line to
/// line. Where they come to a wall, short pieces of the lines themselves, with the way up it.
std::vector<std::vector<Vec3>> valleys(const Area& where, const DropGrid& drop, double step, double floor,
                                       double chord);

/// Where a finer cutter comes at least `told` mm lower than the one before it, over these devices alone (a
/// grid of `step`), grown by the finer one's radius: where its axis stands to cut that.
Outcome<Area> left_for(const TriangleMesh& devices, const DropGrid& before, const DropGrid& finer,
                       double floor, double step, double told);

/// The parts of runs that lie over `where`, cut at its very borders.
std::vector<std::vector<Vec3>> parts_over(const std::vector<std::vector<Vec3>>& runs, const Area& where);

/// Holes drilled straight down from z = 0, `peck` mm at a time with the chips cleared between.
Operation drill_holes(const std::vector<Vec2>& places, const Cutter& drill, const Speeds& speeds,
                      double depth, double peck, double clearance);

/// Ordered so that each begins near where the one before it ended (within what `runs` allows: a run keeps its
/// direction).
void shorten_ways(std::vector<std::vector<Vec3>>& runs);

}  // namespace archwright::mill
