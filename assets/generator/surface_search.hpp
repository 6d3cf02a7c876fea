// Finding places on an implicit surface: projection, rays, extreme points.
#pragma once

#include <optional>

#include "assets/generator/foot_field.hpp"

namespace archwright::generator {

/// Down the gradient onto the surface: Newton steps of at most 4 mm, to 1e-10 mm. Empty when it does not
/// settle.
std::optional<Vec3> project(const FootField& field, Vec3 p);

/// First crossing of the surface along a unit direction, within `reach` mm; the start lies on either side.
/// Steps of 1 mm to bracket it, then bisection and Newton, to 1e-11 mm.
std::optional<Vec3> ray(const FootField& field, const Vec3& from, const Vec3& direction, double reach);

/// The local extreme of the surface along a unit direction, near p: Newton on the surface with the Hessian
/// from differences of the gradient, and the gradient's own direction where that is not a maximum.
std::optional<Vec3> extreme(const FootField& field, Vec3 p, const Vec3& direction);

}  // namespace archwright::generator
