// Moves on arcs in plan: measured, walked along, fitted to curves.
#pragma once

#include "engine/mill/path.hpp"

namespace archwright::mill {

/// Angle a move turns through about its centre, 0 (straight) to a full turn, radians. The end may lie a
/// little nearer to the centre than the beginning, as rounded figures of a program have it: the radius then
/// changes evenly, and so does z.
double turned_by(const Vec3& from, const Move& move);
/// Length of a move's way, mm.
double way_length(const Vec3& from, const Move& move);
/// Unit directions in which a move begins and ends; zero where it goes nowhere.
std::array<Vec3, 2> directions(const Vec3& from, const Move& move);

/// Appends the places of a move that follow `from`: the end alone of a straight one, of an arc so many that
/// the chords between keep within `within` mm of it (at most 2,000); the last is move.to.
void walk(Vec3 from, const Move& move, double within, std::vector<Vec3>& out);

/// The moves from the first point of a curve to its last: arcs of three or more of its lines where one stays
/// within `within` mm of these lines, at their ends and in their middles, in plan and in height; else the
/// lines themselves. Arcs begin and end in points of the curve, turn less than 175 degrees, have radii of 0.3
/// to 300 mm and rise or fall by half their length at most.
std::vector<Move> with_arcs(const std::vector<Vec3>& points, double feed, double within);

}  // namespace archwright::mill
