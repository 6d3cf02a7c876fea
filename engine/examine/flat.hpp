// Flattened places: a heel or a border set down before the plaster was hard.
#pragma once

#include <optional>

#include "engine/examine/relief.hpp"

namespace archwright::examine {

struct Flat {
    Mask nodes;                          ///< the flat place
    Vec3 place = Vec3::Zero();           ///< its middle, on the cast
    Vec3 normal = Vec3::UnitZ();         ///< of its plane, up
    double area = 0.0;                   ///< mm^2
    double length = 0.0, breadth = 0.0;  ///< mm: four standard deviations along its two ways
    double depth = 0.0;                  ///< mm: how far what lies round it would bulge below the plane
    double depth_sd = 0.0;
};

/// The largest plane within 0.15 mm of the relief inside `region` (planes through 7 mm neighbourhoods,
/// refined on their own inliers), and how deep it cuts: a surface of fourth degree fitted to the 18 mm round
/// it, carried over it. Nothing where the region is too small.
std::optional<Flat> find_flat(const Relief& relief, const Mask& region, const Mask& leave_out);

}  // namespace archwright::examine
