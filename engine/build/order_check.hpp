// An order against itself, its shoe, its material and the foot's marks: before any geometry, all in one go.
#pragma once

#include <vector>

#include "engine/base/check.hpp"
#include "engine/design/job.hpp"
#include "engine/design/material.hpp"

namespace archwright::build {

/// Where an order contradicts itself. Common practice without a source unless said otherwise
/// (docs/presets.md).
namespace order_limit {

/// Cup depths of this and more are deep: shallow 8-10, standard 12-14, deep 16-20 mm.
inline constexpr double deep_cup_mm = 16;
/// A skive wants this cup on its side.
inline constexpr double skive_cup_mm = 14;
/// A skive in mm and an inversion in degrees that come to more than this together want a cup of ...
inline constexpr double strong_skive = 5;
/// ... this depth (20-22 mm).
inline constexpr double strong_skive_cup_mm = 20;
/// Under a foot without feeling, changes of wall and edges of a skive are blended over this at the least (our
/// choice).
inline constexpr double soft_blend_mm = 5;

}  // namespace order_limit

/// Every contradiction of the order for one foot, each a look with an id of its own ("order.deep_cup", ...),
/// its figure, its limit and what to do; a single pass ("order.contradictions") when there is none. Needs no
/// geometry: the heads' distance comes from the job's own landmarks. The order's flags have their cautions
/// (cautions.hpp) and the wall's range its check (design::check_wall): neither is said twice.
std::vector<Check> check_order(const design::Job& job, Side side, const design::Material& material);

/// All that can be told of one foot before its cast is opened: cautions, contradictions, the wall against its
/// material. A material that is not known is a stop that names the nearest one.
std::vector<Check> first_checks(const design::Job& job, Side side, const design::Materials& materials);

}  // namespace archwright::build
