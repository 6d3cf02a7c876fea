// Height and footprint of the arch.
#pragma once

#include <optional>

#include "engine/foot/survey.hpp"

namespace archwright::foot {

/// Height above the ground within which a part of an unloaded sole counts as footprint, mm.
inline constexpr double arch_index_height_mm = 5.0;

/// Arch apex: highest point of the sole in the section y = const, between heel and heads (mm). Nothing where
/// the section does not show the sole.
std::optional<Vec3> arch_apex(const TriangleMesh& mesh, const Survey& survey, double y);

/// Arch index (Cavanagh and Rodgers 1987) on an unloaded scan: the plan of the sole within `height_mm` of the
/// ground, toes excluded, is cut into thirds along +x; area of the middle third over the whole. Nothing where
/// nothing touches.
std::optional<double> arch_index(const TriangleMesh& mesh, const Survey& survey, double height_mm);

}  // namespace archwright::foot
