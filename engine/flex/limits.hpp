// Limits and tolerances of the flexing shell, each with its reason.
#pragma once

#include <cstddef>

namespace archwright::flex::limit {

/// Points of a shell: some 30 times what a device at 3 mm needs; more would fill the memory with the factor.
inline constexpr std::size_t most_points = 100000;
/// A triangle's area over the square of its longest side below which its own axes are not to be trusted.
inline constexpr double least_slimness = 1e-6;
/// Least over greatest share of the six rigid motions that the supports must hold: far above rounding, far
/// below two points of support a hair apart.
inline constexpr double least_hold = 1e-10;
/// Forces out of balance over the sum of the elements' forces at a point: beyond this it is no solution.
/// (Rounding alone leaves 1e-17 to 1e-15.)
inline constexpr double residual = 1e-12;

/// What rigid ground may give in: a hundredth of a coat of paint, and what the tests demand.
inline constexpr double penetration_mm = 1e-3;
/// Slip after which friction is at its full: below what anyone measures on a bench, and far above rounding.
inline constexpr double slip_mm = 0.01;
/// Rounds of contact and friction before it is given up; devices take 10 to 100.
inline constexpr int most_rounds = 1000;
/// Of those that factor the whole shell (beds): each takes as long as a linear answer.
inline constexpr int most_whole_rounds = 400;
/// Contact has settled when no point is out of balance by more than this share of the load, and friction when
/// its bounds differ from friction x normal force by less than this share, all contacts together.
inline constexpr double settled = 1e-9, friction_settled = 1e-6;
/// A shell that moves further than so many times its own size has been tipped or lifted off its ground.
inline constexpr double lifted_sizes = 3.0;

}  // namespace archwright::flex::limit
