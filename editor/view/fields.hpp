// Values at the points of a surface that maps show and that are worked out here, behind the screen.
#pragma once

#include <functional>
#include <vector>

#include "engine/mesh/bvh.hpp"

namespace archwright::editor::view {

/// No larger ball is looked for, mm.
inline constexpr double largest_ball_mm = 25.0;

/// Radius of the largest ball, at most `most`, that touches the surface at p on the side of the unit normal n
/// and cuts into it nowhere by more than `gouge`: a ball-nosed tool of that radius reaches the place, a
/// larger one does not. By shrinking to the nearest point of the surface until none is nearer (J. Ma, S. Bae,
/// S. Choi, 3D medial axis point approximation using nearest neighbors and the normal field, Visual Computer
/// 28, 2012), with the gouge allowed.
double reach_radius(const Bvh& surface, const Vec3& p, const Vec3& n, double gouge,
                    double most = largest_ball_mm);

/// Angle of a surface with this normal against the ground, degrees, 0 to 90; 0 where there is no normal.
double slope_of(const Vec3& normal);

/// Free height over the plane z = ground under a place of the plan: of the lowest of the bodies there.
/// Infinity where none is.
double free_height(const std::vector<const Bvh*>& bodies, const Vec2& plan, double ground);

/// All but one in two hundred of these stay within it, either way; 1 for none.
double usual_greatest(std::vector<float> values);

/// One value a point, on every core.
std::vector<float> each_point(std::size_t count, const std::function<double(std::size_t)>& value);

}  // namespace archwright::editor::view
