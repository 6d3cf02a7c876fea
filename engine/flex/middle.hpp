// The middle surface of a built shell, as triangles to be flexed.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/flex/model.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::flex {

/// Halfway between foot side and underside over the same (u,v), inside the trim line and outside the
/// apertures.
struct Middle {
    Model model;              ///< its lamina is not set
    std::vector<Vec2> uv;     ///< of every point
    std::vector<Vec3> place;  ///< what may touch the ground under it: the underside; under a post its floor
    std::vector<char> on_post;
    std::vector<char> rim;  ///< on the trim line or an aperture
};

/// Least and greatest size of elements, mm: below, a shell has more points than are flexed; above, an arch is
/// a handful of flats.
inline constexpr double least_element_mm = 1.5, greatest_element_mm = 15.0;

/// Triangles of about `element_mm`: points at that distance along the edges, a triangular lattice inside,
/// Delaunay between. The wall is the distance of the two sides across the middle surface. A post of one solid
/// with the shell counts as wall down to its floor; `stuck` posts (curves in the shell's (u,v)) carry the
/// shell but do not stiffen it. Faults (stage "flex"): a size out of range, a shell too small for it, a wall
/// of nothing.
Outcome<Middle> middle_of(const surface::Shell& shell, const std::vector<surface::Post>& stuck,
                          double element_mm);

}  // namespace archwright::flex
