// Dents and bumps: round places that stand in or out.
#pragma once

#include <vector>

#include "engine/examine/relief.hpp"

namespace archwright::examine {

/// A dome (1 - (r/R)^2)^2 on a cubic surface, as it fits the relief round a place.
struct Dimple {
    Vec2 node = Vec2::Zero();  ///< (i, j) of its middle, between nodes
    double height = 0.0;       ///< mm, + away from the foot: negative is a dent
    double height_sd = 0.0;    ///< from misfit and noise
    double radius = 0.0;       ///< R, mm
    double share = 0.0;        ///< share of the cubic's misfit that the dome explains, 0..1
    double roundness =
        0.0;            ///< least over mean height of eight sectors half way out: 1 round, 0 or less a valley
    double seen = 0.0;  ///< share of the place's neighbourhood that is there and undisturbed
};

/// Looks for domes of radius 5 to 13 mm over the sole by least squares at every node (a matched filter:
/// G. L. Turin 1960, orthogonal to cubics), takes the places where height x sqrt(share) is greatest and at
/// least `least_mm`, and refines middle and radius there. Nodes of `leave_out` (lines, other faults) take no
/// part. Greatest first.
std::vector<Dimple> find_dimples(const Relief& relief, const Mask& leave_out, double least_mm);

}  // namespace archwright::examine
