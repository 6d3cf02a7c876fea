// Faults and marks at random places of the sole.
#pragma once

#include "assets/generator/cast.hpp"

namespace archwright::generator {

/// Every length of a shape times `factor`; angles as they are.
FootShape scaled(FootShape shape, double factor);

/// Adds dents (1 to 3 mm deep, two in three beside the 4th and 5th heads, where fingers hold the foot),
/// creases (20 to 60 mm, 0.7 to 1.8 mm, ridge or furrow) and holes (3 to 7 mm), apart from each other, by
/// the seed of the spec.
void place_faults(CastSpec& spec, const Foot& foot, int dents, int creases, int holes);

/// Plaster colours with a fascia line and a spot at the 5th metatarsal base, contrast 0.6.
Colours usual_ink(const Foot& foot);

/// Any attitude in space: uniform over rotations (Shoemake 1992), by the seed.
Mat3 random_tilt(std::uint64_t seed);

}  // namespace archwright::generator
