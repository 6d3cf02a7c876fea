// Rough patches: where the surface is less smooth than the rest of the cast.
#pragma once

#include <vector>

#include "engine/examine/relief.hpp"

namespace archwright::examine {

struct RoughPatch {
    Mask nodes;
    Vec2 node = Vec2::Zero();  ///< (i, j) of its middle
    double area = 0.0;         ///< mm^2
    double rms = 0.0;          ///< mm: root mean square of what is finer than 2 mm, beyond the cast's own
    double usual = 0.0;        ///< mm: the cast's own
    double ratio = 0.0;        ///< of the two together to the usual
};

/// Root mean square of the relief less its 2 mm blur, averaged over 5 mm, against its median over the sole;
/// patches over 1.5 times that and 0.08 mm. Looks `within` a mask: borders are
/// too bent. Largest first.
std::vector<RoughPatch> find_rough(const Relief& relief, const Mask& within, const Mask& leave_out);

}  // namespace archwright::examine
