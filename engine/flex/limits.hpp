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

}  // namespace archwright::flex::limit
