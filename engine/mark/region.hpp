// Regions of ink: points that hang together.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/mark/ground.hpp"

namespace archwright::mark {

/// Sets of points, each connected along edges through marked points alone; ascending, in order of the lowest.
std::vector<std::vector<std::int32_t>> connected(const Skin& skin, const std::vector<std::uint8_t>& marked);

/// Ink: connected points above the lower threshold that hold one above the higher (Canny 1986, hysteresis);
/// gaps narrower than about two edges are bridged.
std::vector<std::vector<std::int32_t>> ink_regions(const Skin& skin, const InkField& ink);

/// The points and all within `reach` of them along edges, ascending.
std::vector<std::int32_t> grown(const Skin& skin, Walker& walker, const std::vector<std::int32_t>& points,
                                double reach);

/// What the region encloses: pieces of the cast that hang together with the rest of it only through the
/// region, between `least_mm2` and `most_mm2`; pieces that lie near one another as one, with what is between
/// them. Seen with the region grown by `closing_mm`, which shuts small gaps of a ring.
std::vector<std::vector<std::int32_t>> enclosed_by(const Skin& skin, Walker& walker,
                                                   const std::vector<std::int32_t>& region,
                                                   double closing_mm);

/// Outer boundary of the triangles whose corners are all among the points: its longest loop, in order; empty
/// when there is none.
std::vector<Vec3> outer_loop(const Skin& skin, const std::vector<std::int32_t>& points);

}  // namespace archwright::mark
