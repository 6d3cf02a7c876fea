// What the bench found on the middle surface, at places of the shell's own surfaces.
#pragma once

#include <span>
#include <vector>

#include "engine/flex/bench.hpp"

namespace archwright::flex {

struct CarriedFlex {
    std::vector<Vec3> moved;                           ///< at the whole load, mm
    std::vector<double> foot_side_mpa, underside_mpa;  ///< von Mises; at points of the middle surface means
                                                       ///< of the triangles round them, by their areas
};

/// A place goes with the nearest place of the middle surface, on a rigid arm.
CarriedFlex carried_to(const BenchResult& result, std::span<const Vec3> places);

}  // namespace archwright::flex
